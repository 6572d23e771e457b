//! What `without` took out leaves the lists that named it, with a note; a row that cannot do without is
//! told, all of them at the line that took the device out.

use super::acts::in_act;
use super::attrs;
use super::changes::{Taken, part_of_act};
use super::show::{Patch, Removed, Row};
use crate::diagnostics::Diagnostic;
use crate::source::{At, Span};
use crate::syntax::ast::{Attr, AttrKind, Dotted, Expect, Name, Sources, Term, Terms};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// How many rows one diagnostic points at.
const SHOWN: usize = 12;

/// The names that are gone from one ground.
pub(super) struct Gone<'a> {
    names: HashMap<&'a str, &'a Taken>,
    act: Option<&'a str>,
}

impl<'a> Gone<'a> {
    /// Without the names that an act declares anew for itself.
    pub fn new(taken: impl Iterator<Item = &'a Taken>, own: &BTreeSet<String>, act: Option<&'a str>) -> Self {
        let names =
            taken.filter(|taken| !own.contains(&taken.name)).map(|taken| (taken.name.as_str(), taken)).collect();
        Gone { names, act }
    }

    pub fn is_empty(&self) -> bool {
        self.names.is_empty()
    }

    /// A row of which nothing was left, with everything that may have taken it out.
    pub fn removed(&self, row: Span) -> impl Iterator<Item = Removed> {
        let spans: BTreeSet<Span> = self.names.values().map(|taken| taken.span).collect();
        spans.into_iter().map(move |by| Removed { row, by, act: self.act.map(str::to_string) })
    }

    /// What took out the source, group or act that a term without a number names.
    fn of_term(&self, term: &Term) -> Option<&'a Taken> {
        if term.range.is_some() {
            return None;
        }
        self.of_name(term.name.as_ref()?).filter(|taken| !taken.device)
    }

    fn of_name(&self, dotted: &Dotted) -> Option<&'a Taken> {
        let first = part_of_act(dotted, self.act).first()?;
        self.names.get(first.value.as_str()).copied()
    }

    fn device(&self, name: &Name) -> Option<&'a Taken> {
        self.names.get(name.value.as_str()).copied().filter(|taken| taken.device)
    }

    fn note(&self, name: &str, span: Span, taken: &Taken, rest: &str) -> Diagnostic {
        let message = format!("`{name}` has been taken out, so it drops out here{rest}");
        let told = Diagnostic::note("name-taken-out", span, message).label(taken.span, "taken out here").about(name);
        match self.act {
            Some(act) => in_act(told, act),
            None => told,
        }
    }
}

/// Takes the names that are gone out of every list of the patch. A row of which nothing is left goes too,
/// but for a mix and a group, which then hold nothing.
pub(super) fn lose_names(patch: &mut Patch, gone: &Gone<'_>, out: &mut Vec<Diagnostic>) {
    patch.keeps.retain_mut(|row| {
        lose(&mut row.node.what, gone, "", out);
        !row.node.what.terms.is_empty()
    });
    for row in &mut patch.groups {
        lose(&mut row.node.members, gone, "", out);
    }
    patch.personal.retain_mut(|row| {
        lose(&mut row.node.row.feeds, gone, "", out);
        !row.node.row.feeds.terms.is_empty()
    });
    patch.records.retain_mut(|row| lose_sources(&mut row.node.what, gone, out));
    for attr in patch.outputs.iter_mut().flat_map(|row| &mut row.node.row.attrs) {
        if let AttrKind::Of(sources) = &mut attr.kind {
            lose_sources(sources, gone, out);
        }
    }
}

/// `false` where nothing is left.
fn lose_sources(sources: &mut Sources, gone: &Gone<'_>, out: &mut Vec<Diagnostic>) -> bool {
    match sources {
        Sources::All { but, .. } => {
            if let Some(terms) = but {
                lose(terms, gone, "", out);
            }
            *but = but.take().filter(|terms| !terms.terms.is_empty());
            true
        }
        Sources::Named(terms) => {
            lose(terms, gone, "", out);
            !terms.terms.is_empty()
        }
    }
}

fn lose(terms: &mut Terms, gone: &Gone<'_>, rest: &str, out: &mut Vec<Diagnostic>) {
    let mut lost: Vec<(Term, &Taken)> = Vec::new();
    terms.terms.retain(|term| match gone.of_term(term) {
        Some(taken) => {
            lost.push((term.clone(), taken));
            false
        }
        None => true,
    });
    let left = if terms.terms.is_empty() && !lost.is_empty() { ", and nothing is left in this list" } else { rest };
    out.extend(lost.iter().map(|(term, taken)| gone.note(&taken.name, term.span, taken, left)));
}

/// Expectations about what is gone are dropped, with a note.
pub(super) fn lose_expects(expects: &mut Vec<At<Expect>>, gone: &Gone<'_>, out: &mut Vec<Diagnostic>) {
    expects.retain(|expect| {
        let dotted: Vec<&Dotted> = match &expect.value {
            Expect::Reaches { what, place, .. } => what.name.iter().chain(&place.name).collect(),
            Expect::Latency { from, to, .. } => from.name.iter().chain(&to.name).collect(),
            Expect::Spare { .. } => Vec::new(),
        };
        let spare = match &expect.value {
            Expect::Spare { on: Some(on), .. } => gone.device(on),
            _ => None,
        };
        let found = spare.or_else(|| dotted.into_iter().find_map(|name| gone.of_name(name)));
        if let Some(taken) = found {
            out.push(gone.note(&taken.name, expect.span, taken, ", and this is no longer expected"));
        }
        found.is_none()
    });
}

/// Rows that a desk takes with it when it goes: its second wants, lists like another's, its recordings.
pub(super) fn lose_desk_rows(patch: &mut Patch, gone: &Gone<'_>, out: &mut Vec<Diagnostic>) {
    let mut lost: BTreeMap<Span, (&Taken, usize, Span)> = BTreeMap::new();
    let mut goes = |desk: Option<&Name>, span: Span| match desk.and_then(|desk| gone.device(desk)) {
        Some(taken) => {
            lost.entry(taken.span).or_insert((taken, 0, span)).1 += 1;
            true
        }
        None => false,
    };
    patch.inputs.retain(|row| attrs::declares(&row.node.row) || !goes(row.node.desk.as_ref(), row.span));
    patch.same_inputs.retain(|row| !goes(Some(&row.node.desk), row.span));
    patch.records.retain(|row| !goes(row.node.desk.as_ref(), row.span));
    for (taken, rows, first) in lost.into_values() {
        let rows = if rows == 1 { "this row goes".to_string() } else { format!("{rows} rows go") };
        out.push(gone.note(&taken.name, first, taken, &format!("; {rows} with it")));
    }
}

/// One error for each device that is gone and that rows still name.
pub(super) fn tell_devices_in_use(patch: &Patch, clock: Option<&Name>, gone: &Gone<'_>, out: &mut Vec<Diagnostic>) {
    let mut uses: BTreeMap<Span, (&Taken, BTreeSet<Span>)> = BTreeMap::new();
    let mut uses_name = |name: &Name, row: Span| {
        if let Some(taken) = gone.device(name) {
            uses.entry(taken.span).or_insert_with(|| (taken, BTreeSet::new())).1.insert(row);
        }
    };
    for_each_device_name(patch, &mut uses_name);
    if let Some(clock) = clock {
        uses_name(clock, clock.span);
    }
    for (taken, rows) in uses.into_values() {
        let count =
            if rows.len() == 1 { "one line still needs".into() } else { format!("{} lines still need", rows.len()) };
        let message = format!("`{}` is taken out, and {count} it", taken.name);
        let told = Diagnostic::error("box-taken-out-but-used", taken.span, message)
            .about(taken.name.clone())
            .help("move them with `change …`, take them out with `without …`, or leave the device in");
        let told = rows.iter().take(SHOWN).fold(told, |told, row| told.label(*row, "needs it"));
        let told = match rows.len().saturating_sub(SHOWN) {
            0 => told,
            more => told.help(format!("{more} more lines need it that are not shown")),
        };
        out.push(match gone.act {
            Some(act) => in_act(told, act),
            None => told,
        });
    }
}

/// Every first word of a point, port or block's head, with the row that says it.
fn for_each_device_name(patch: &Patch, each: &mut impl FnMut(&Name, Span)) {
    for row in &patch.devices {
        in_attrs(&row.node.attrs, row.span, each);
    }
    for row in &patch.links {
        in_dotted(&row.node.from, row.span, each);
        in_dotted(&row.node.to, row.span, each);
    }
    for row in &patch.looms {
        in_terms(&row.node.from, row.span, each);
        in_terms(&row.node.to, row.span, each);
    }
    for row in &patch.inputs {
        head(row.node.desk.as_ref(), row, each);
        in_attrs(&row.node.row.attrs, row.span, each);
    }
    for row in &patch.same_inputs {
        each(&row.node.of, row.span);
    }
    for row in &patch.outputs {
        head(row.node.desk.as_ref(), row, each);
        in_attrs(&row.node.row.attrs, row.span, each);
    }
    for row in &patch.personal {
        head(row.node.desk.as_ref(), row, each);
        in_terms(&row.node.row.feeds, row.span, each);
    }
    for row in &patch.sets {
        in_terms(&row.node.to, row.span, each);
        in_terms(&row.node.from, row.span, each);
    }
}

fn head<T>(desk: Option<&Name>, row: &Row<T>, each: &mut impl FnMut(&Name, Span)) {
    if let Some(desk) = desk {
        each(desk, row.span);
    }
}

fn in_attrs(attrs: &[Attr], row: Span, each: &mut impl FnMut(&Name, Span)) {
    for attr in attrs {
        match &attr.kind {
            AttrKind::On(name) | AttrKind::RedundantOn(name) | AttrKind::Via(name) | AttrKind::FromAny(Some(name)) => {
                in_dotted(name, row, each);
            }
            AttrKind::From(terms) => in_terms(terms, row, each),
            AttrKind::To(lists) => lists.iter().for_each(|terms| in_terms(terms, row, each)),
            AttrKind::GainBy(desk) => each(desk, row),
            AttrKind::BackupOf(device) => each(device, row),
            _ => {}
        }
    }
}

fn in_terms(terms: &Terms, row: Span, each: &mut impl FnMut(&Name, Span)) {
    for name in terms.terms.iter().filter_map(|term| term.name.as_ref()) {
        in_dotted(name, row, each);
    }
}

fn in_dotted(dotted: &Dotted, row: Span, each: &mut impl FnMut(&Name, Span)) {
    if let Some(first) = dotted.parts.first() {
        each(first, row);
    }
}
