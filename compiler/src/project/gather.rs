//! A project's files become one show: declarations first, then changes, then the acts over the house.

use super::acts;
use super::changes::{self, Context, Ground, Op, Outcome, Reach, Taken, starts_with_act};
use super::declare::{ActDraft, Draft, Stand};
use super::show::{Act, Patch, Removed, Show};
use super::taken_out::{Gone, lose_desk_rows, lose_expects, lose_names, tell_devices_in_use};
use super::{Include, Project, attrs};
use crate::diagnostics::{Diagnostic, Sort};
use crate::quantity::Quantity;
use crate::source::{At, FileId, Span};
use crate::syntax::ast::{Expect, Name, What};
use std::collections::{BTreeMap, BTreeSet};

/// All that the files say, with changes applied. What could not be applied is told and left as it was.
pub fn gather(project: &Project) -> (Show, Vec<Diagnostic>) {
    let mut draft = declare(project);
    draft.tell_shadowed();
    let broken: BTreeSet<String> = project.parsed.values().flat_map(|parsed| parsed.broken.iter().cloned()).collect();
    let mut ops = std::mem::take(&mut draft.ops);
    let mut diagnostics = std::mem::take(&mut draft.diagnostics);
    give_to_acts(&mut ops, &draft);
    ops.retain_mut(|op| acts::restrict(op, &mut diagnostics));
    tell_empty(project, &ops, &mut diagnostics);
    in_file_order(project, &mut ops);
    let reach = reach_of(project, &ops);
    let acts_out = take_acts_out(&mut draft, &ops, &reach, &broken, project.incomplete, &mut diagnostics);
    let (incomplete, in_acts) = (project.incomplete, sources_of_acts(&draft));
    let laying =
        Laying { ops: &ops, reach: &reach, broken: &broken, incomplete, in_acts, diagnostics, removed: Vec::new() };
    let (mut show, diagnostics) = laying.lay(draft, acts_out);
    show.root = Some(project.root);
    show.files = files_as_included(project);
    (show.part, show.incomplete) = (project.part, project.incomplete);
    show.broken = broken;
    (show, diagnostics)
}

/// Every file's statements, in the house or in the acts that include them.
fn declare(project: &Project) -> Draft {
    let mut draft = Draft::default();
    let stand = |file| Stand { file, in_root: file == project.root, act: None };
    let take = |draft: &mut Draft, file: FileId, stand: Stand<'_>| {
        if let Some(parsed) = project.parsed.get(&file) {
            draft.file(&parsed.statements, stand);
        }
    };
    for file in &project.std {
        take(&mut draft, *file, stand(*file));
    }
    let mut house = project.reach(project.root, |include| include.act.is_none());
    house.insert(project.root);
    for file in project.order.iter().filter(|file| house.contains(file)) {
        take(&mut draft, *file, stand(*file));
    }
    for (act, files) in act_files(project, &house) {
        for file in project.order.iter().filter(|file| files.contains(file)) {
            take(&mut draft, *file, Stand { file: *file, in_root: false, act: Some(&act) });
        }
    }
    draft
}

/// The files that each act includes and the house does not.
fn act_files(project: &Project, house: &BTreeSet<FileId>) -> BTreeMap<String, BTreeSet<FileId>> {
    let mut found: BTreeMap<String, BTreeSet<FileId>> = BTreeMap::new();
    let of_acts = |include: &&Include| include.act.is_some() && house.contains(&include.from);
    for include in project.includes.iter().filter(of_acts) {
        let files = found.entry(include.act.clone().unwrap_or_default()).or_default();
        files.insert(include.to);
        files.extend(project.reach(include.to, |include| include.act.is_none()));
        files.retain(|file| !house.contains(file));
    }
    found
}

fn sources_of_acts(draft: &Draft) -> BTreeMap<String, Vec<String>> {
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for act in &draft.acts {
        let rows = act.own.inputs.iter().map(|row| &row.node.row).filter(|row| attrs::declares(row));
        for row in rows {
            found.entry(row.name.value.clone()).or_default().push(act.name.value.clone());
        }
    }
    found
}

/// `change input kestrel.kick …` outside the act is a change inside it.
fn give_to_acts(ops: &mut [Op], draft: &Draft) {
    let names = draft.act_names();
    for op in ops.iter_mut().filter(|op| op.act.is_none()) {
        op.act = starts_with_act(&op.what, &names).map(|act| act.value.clone());
    }
}

/// A `change` that names no attribute is told, unless its line could not be read.
fn tell_empty(project: &Project, ops: &[Op], out: &mut Vec<Diagnostic>) {
    let unread = |op: &Op| {
        let told = project.parsed.get(&op.file).into_iter().flat_map(|parsed| &parsed.diagnostics);
        told.clone().any(|told| told.span.start <= op.span.end && op.span.start <= told.span.end)
    };
    for op in ops.iter().filter(|op| op.attrs.as_ref().is_some_and(Vec::is_empty)) {
        if !unread(op) {
            let told = Diagnostic::warning("change-without-effect", op.span, "this `change` says nothing new");
            out.push(told.help("say after the name what changes, as `from stage-left 13`"));
        }
    }
}

fn in_file_order(project: &Project, ops: &mut [Op]) {
    let place: BTreeMap<FileId, usize> = project.order.iter().enumerate().map(|(at, file)| (*file, at)).collect();
    ops.sort_by_key(|op| (place.get(&op.file).copied(), op.span));
}

fn reach_of(project: &Project, ops: &[Op]) -> Reach {
    let files: BTreeSet<FileId> = ops.iter().map(|op| op.file).collect();
    Reach { below: files.into_iter().map(|file| (file, project.reached_from(file))).collect() }
}

fn files_as_included(project: &Project) -> Vec<FileId> {
    let mut files = project.order.clone();
    files.sort();
    files
}

/// `without act kestrel`. A change of that act in a file that the taking-out does not cover is too late.
fn take_acts_out(
    draft: &mut Draft,
    ops: &[Op],
    reach: &Reach,
    broken: &BTreeSet<String>,
    incomplete: bool,
    out: &mut Vec<Diagnostic>,
) -> Vec<Taken> {
    let mut taken: Vec<Taken> = Vec::new();
    for op in ops {
        let (What::Act(name), None) = (&op.what, &op.attrs) else { continue };
        let Some(act) = draft.acts.iter().find(|act| act.name.value == name.value) else {
            if !incomplete && !broken.contains(&name.value) && !taken.iter().any(|gone| gone.name == name.value) {
                out.push(no_such_act(draft, name));
            }
            continue;
        };
        for late in ops.iter().filter(|late| late.act.as_ref() == Some(&name.value)) {
            let inside = late.span.file == act.span.file && act.span.range().contains(&late.span.range().start);
            if !inside && !reach.includes(op.file, late.file) && outside_act(late) {
                let message = format!("the act `{}` is taken out, and this line would change it", name.value);
                let told = Diagnostic::error("changed-and-taken-out", late.span, message);
                out.push(told.label(op.span, "taken out here").help("keep one of the two lines"));
            }
        }
        taken.push(Taken { name: name.value.clone(), span: op.span, device: false });
        draft.acts.retain(|act| act.name.value != name.value);
    }
    taken
}

/// A change that names its act: one that stands in the act's braces, or in a file that the act includes,
/// need not.
fn outside_act(op: &Op) -> bool {
    let acts: BTreeSet<String> = op.act.iter().cloned().collect();
    starts_with_act(&op.what, &acts).is_some()
}

fn no_such_act(draft: &Draft, name: &Name) -> Diagnostic {
    let known = draft.act_names();
    let told =
        Diagnostic::error("change-of-nothing", name.span, format!("there is no act `{}` to take out", name.value));
    let near = super::names::nearest(&name.value, known.iter().map(String::as_str));
    told.missing(Sort::Changed, Some(name.value.clone())).near(name.span, near)
}

/// Changes laid over the declarations.
struct Laying<'a> {
    ops: &'a [Op],
    reach: &'a Reach,
    broken: &'a BTreeSet<String>,
    incomplete: bool,
    /// The sources that acts declare, each with its acts.
    in_acts: BTreeMap<String, Vec<String>>,
    diagnostics: Vec<Diagnostic>,
    /// Rows of which nothing was left.
    removed: Vec<Removed>,
}

impl Laying<'_> {
    fn lay(mut self, draft: Draft, acts_out: Vec<Taken>) -> (Show, Vec<Diagnostic>) {
        let (mut house, mut rate, mut clock) = (draft.house, draft.rate, draft.clock);
        let mut expects = draft.expects;
        let outcome = self.change(&mut house, (&mut rate, &mut clock), None, &[]);
        let taken: Vec<Taken> = outcome.taken.into_iter().chain(acts_out).collect();
        let gone = Gone::new(taken.iter(), &BTreeSet::new(), None);
        self.lose(&mut house, &mut expects, &gone);
        tell_devices_in_use(&house, clock.as_ref(), &gone, &mut self.diagnostics);
        let mut show = Show {
            head: draft.head,
            library: draft.library,
            allows: draft.allows,
            changes: outcome.changed,
            removed: outcome.removed,
            taken_out: names_of(&taken),
            ..Show::default()
        };
        for act in draft.acts {
            let act = self.act(act, &house, &expects, &taken, &mut show);
            show.acts.push(act);
        }
        let acts: BTreeSet<&str> = acts_out_names(&taken, &show.acts);
        show.allows.retain(|allow| !allow.act.as_deref().is_some_and(|act| acts.contains(act)));
        acts::in_order_of_the_day(&mut show.acts);
        show.removed.append(&mut self.removed);
        (show.house, show.rate, show.clock, show.expects) = (house, rate, clock, expects);
        (show, self.diagnostics)
    }

    fn act(
        &mut self,
        draft: ActDraft,
        house: &Patch,
        house_expects: &[At<Expect>],
        house_taken: &[Taken],
        show: &mut Show,
    ) -> Act {
        let name = draft.name.value.clone();
        let own: BTreeSet<String> = names_in(&draft.own);
        // The house's own rows have been told already.
        let gone = Gone::new(house_taken.iter(), &own, Some(&name));
        tell_devices_in_use(&draft.own, None, &gone, &mut self.diagnostics);
        let mut patch = over(house, draft.own);
        let (mut rate, mut clock) = (None, None);
        let outcome = self.change(&mut patch, (&mut rate, &mut clock), Some(&name), house_taken);
        let mut expects: Vec<_> = house_expects.iter().cloned().chain(draft.expects).collect();
        let all = house_taken.iter().chain(&outcome.taken);
        let gone = Gone::new(all, &own, Some(&name));
        self.lose(&mut patch, &mut expects, &gone);
        let gone = Gone::new(outcome.taken.iter(), &own, Some(&name));
        tell_devices_in_use(&patch, None, &gone, &mut self.diagnostics);
        show.changes.extend(outcome.changed);
        show.removed.extend(outcome.removed);
        Act {
            name: draft.name,
            title: draft.title,
            from: draft.from,
            to: draft.to,
            span: draft.span,
            patch,
            expects,
            taken_out: names_of(&outcome.taken),
        }
    }

    fn change(
        &mut self,
        patch: &mut Patch,
        (rate, clock): (&mut Option<At<Quantity>>, &mut Option<Name>),
        act: Option<&str>,
        taken_out: &[Taken],
    ) -> Outcome {
        let ops: Vec<&Op> = self.ops.iter().filter(|op| op.act.as_deref() == act).collect();
        let (reach, broken, in_acts) = (self.reach, self.broken, &self.in_acts);
        let context = Context { reach, broken, incomplete: self.incomplete, in_acts, taken_out };
        let mut outcome = changes::apply(&ops, &mut Ground { patch, rate, clock, act }, &context);
        let told = std::mem::take(&mut outcome.diagnostics);
        self.diagnostics.extend(told.into_iter().map(|told| match act {
            Some(act) => acts::in_act(told, act),
            None => told,
        }));
        outcome
    }

    fn lose(&mut self, patch: &mut Patch, expects: &mut Vec<At<Expect>>, gone: &Gone<'_>) {
        if gone.is_empty() {
            return;
        }
        let before = rows_that_may_go(patch);
        lose_names(patch, gone, &mut self.diagnostics);
        lose_expects(expects, gone, &mut self.diagnostics);
        lose_desk_rows(patch, gone, &mut self.diagnostics);
        for row in before.difference(&rows_that_may_go(patch)) {
            self.removed.extend(gone.removed(*row));
        }
    }
}

/// Rows that go where nothing is left of what they name.
fn rows_that_may_go(patch: &Patch) -> BTreeSet<Span> {
    let lists = patch.keeps.iter().map(|row| row.span).chain(patch.records.iter().map(|row| row.span));
    let inputs = patch.inputs.iter().map(|row| row.span).chain(patch.same_inputs.iter().map(|row| row.span));
    lists.chain(inputs).chain(patch.personal.iter().map(|row| row.span)).collect()
}

fn acts_out_names<'a>(taken: &'a [Taken], left: &[Act]) -> BTreeSet<&'a str> {
    let is_left = |name: &str| left.iter().any(|act| act.name.value == name);
    taken.iter().map(|taken| taken.name.as_str()).filter(|name| !is_left(name)).collect()
}

fn names_of(taken: &[Taken]) -> Vec<At<String>> {
    taken.iter().map(|taken| At::new(taken.name.clone(), taken.span)).collect()
}

/// The sources, groups and devices that a patch declares.
fn names_in(patch: &Patch) -> BTreeSet<String> {
    let inputs = patch.inputs.iter().map(|row| &row.node.row).filter(|row| attrs::declares(row)).map(|row| &row.name);
    let groups = patch.groups.iter().map(|row| &row.node.name);
    let devices = patch.devices.iter().map(|row| &row.node.name);
    inputs.chain(groups).chain(devices).map(|name| name.value.clone()).collect()
}

/// The house's rows, then the act's own.
fn over(house: &Patch, own: Patch) -> Patch {
    let mut patch = house.clone();
    patch.devices.extend(own.devices);
    patch.links.extend(own.links);
    patch.looms.extend(own.looms);
    patch.spare_cables.extend(own.spare_cables);
    patch.inputs.extend(own.inputs);
    patch.same_inputs.extend(own.same_inputs);
    patch.outputs.extend(own.outputs);
    patch.personal.extend(own.personal);
    patch.records.extend(own.records);
    patch.keeps.extend(own.keeps);
    patch.groups.extend(own.groups);
    patch.sets.extend(own.sets);
    patch
}
