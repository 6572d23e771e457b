//! Names of sources and groups, as `of`, `keep`, `record … but`, `personal` and `expect` use them.

use super::{Scene, Target};
use crate::diagnostics::{Diagnostic, Edit, Sort};
use crate::project::{Show, attrs, nearest};
use crate::rig::Asked;
use crate::source::Span;
use crate::syntax::ast::{Dotted, Sources, Term, Terms};
use std::collections::{BTreeMap, BTreeSet};

/// Who names something: a row of the act finds the act's own names first, a row of the house only the
/// house's.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Speaker {
    House,
    Act,
}

impl Speaker {
    pub fn of(act: Option<&String>) -> Speaker {
        if act.is_some() { Speaker::Act } else { Speaker::House }
    }
}

/// Sources that acts declare, by name, each with its acts.
pub type OfActs = BTreeMap<String, Vec<String>>;

/// What every act declares of its own.
pub fn of_acts(show: &Show) -> OfActs {
    let mut found = OfActs::new();
    for act in &show.acts {
        let own = act.patch.inputs.iter().filter(|row| row.act.is_some() && attrs::declares(&row.node.row));
        for row in own {
            found.entry(row.node.row.name.value.clone()).or_default().push(act.name.value.clone());
        }
    }
    found
}

/// What a list of names means so far.
struct Naming<'a> {
    speaker: Speaker,
    /// Groups that are open, for finding one that is a part of itself.
    open: Vec<String>,
    /// Groups that are in the list already: a group said twice means no more than once.
    done: BTreeSet<String>,
    targets: Vec<Option<Target>>,
    found: &'a mut Vec<Diagnostic>,
}

impl Scene {
    /// The sources that a name means here; a row's name means all its sources, `keys.left` one of them.
    pub fn sources_named(&self, name: &str, speaker: Speaker) -> Option<&[usize]> {
        let own = self.act.as_ref().filter(|_| speaker == Speaker::Act);
        let own = own.and_then(|act| self.by_name.get(&format!("{act}.{name}")));
        own.or_else(|| self.by_name.get(name)).map(Vec::as_slice)
    }

    /// A part of a row that came to no sources, which has been said.
    pub(super) fn part_of_nothing(&self, name: &str, speaker: Speaker) -> bool {
        let row = name.rsplit_once('.').and_then(|(row, _)| self.sources_named(row, speaker));
        row.is_some_and(<[usize]>::is_empty)
    }

    pub(super) fn joined(name: &Dotted) -> String {
        name.parts.iter().map(|part| part.value.as_str()).collect::<Vec<_>>().join(".")
    }

    /// What a list of names and points means, in order. `None` where a part means nothing, which has
    /// been said; names that this act's rows replaced are passed over with a note.
    pub fn targets(
        &self,
        terms: &Terms,
        desk: Option<u32>,
        speaker: Speaker,
        found: &mut Vec<Diagnostic>,
    ) -> Option<Vec<Target>> {
        Some(self.targets_in_place(terms, desk, speaker, found)?.into_iter().flatten().collect())
    }

    /// The same with an empty place for every source that this act's rows replaced.
    pub fn targets_in_place(
        &self,
        terms: &Terms,
        desk: Option<u32>,
        speaker: Speaker,
        found: &mut Vec<Diagnostic>,
    ) -> Option<Vec<Option<Target>>> {
        let mut naming = Naming { speaker, open: Vec::new(), done: BTreeSet::new(), targets: Vec::new(), found };
        let mut whole = true;
        let mut bank: Option<&Dotted> = None;
        for term in &terms.terms {
            bank = term.name.as_ref().or(bank);
            let Some(name) = bank else { continue };
            match term.range {
                None => whole &= self.named(term, name, &mut naming),
                Some(_) => {
                    let one = Term { name: Some(name.clone()), range: term.range, span: term.span };
                    let list = Terms { terms: vec![one], span: term.span };
                    match self.rig.points(&list, Asked::Feeds, desk, naming.found) {
                        Some(points) => naming.targets.extend(points.into_iter().map(|p| Some(Target::Point(p)))),
                        None => whole = false,
                    }
                }
            }
        }
        whole.then_some(naming.targets)
    }

    fn named(&self, term: &Term, name: &Dotted, naming: &mut Naming) -> bool {
        let joined = Self::joined(name);
        if let Some(sources) = self.sources_named(&joined, naming.speaker) {
            naming.targets.extend(sources.iter().map(|source| Some(Target::Source(*source))));
            return true;
        }
        if let Some((members, speaker)) = self.groups.get(&joined) {
            return self.group(term, joined, members, *speaker, naming);
        }
        if let Some(count) = self.replaced.get(&joined) {
            let act = self.act.as_deref().unwrap_or_default();
            naming.found.push(Diagnostic::note(
                "name-replaced-in-act",
                term.span,
                format!("act `{act}` has another source in the place of `{joined}`, which drops out here"),
            ));
            naming.targets.extend(std::iter::repeat_n(None, *count));
            return true;
        }
        if !self.is_unread(name) && !self.part_of_nothing(&joined, naming.speaker) {
            naming.found.push(self.unknown_source(&joined, name, naming.speaker));
        }
        false
    }

    fn group(&self, term: &Term, name: String, members: &Terms, speaker: Speaker, naming: &mut Naming) -> bool {
        if let Some(begins) = naming.open.iter().position(|open| *open == name) {
            // A ring is told once: at the group that comes first by name.
            let ring = naming.open.get(begins..).unwrap_or_default();
            if naming.open.first() == ring.iter().min() {
                let message = format!("group `{name}` is a part of itself");
                naming.found.push(
                    Diagnostic::error("group-of-itself", term.span, message)
                        .help(format!("take `{name}` out of this list")),
                );
            }
            return false;
        }
        if !naming.done.insert(name.clone()) {
            return true;
        }
        naming.open.push(name);
        let outside = std::mem::replace(&mut naming.speaker, speaker);
        let mut whole = true;
        for member in &members.terms {
            if let Some(name) = &member.name {
                whole &= self.named(member, name, naming);
            }
        }
        naming.speaker = outside;
        naming.open.pop();
        whole
    }

    /// Its name may have been declared where nobody could read it.
    pub(super) fn is_unread(&self, name: &Dotted) -> bool {
        name.parts.iter().any(|part| self.rig.broken.contains(&part.value))
    }

    pub(super) fn unknown_source(&self, joined: &str, name: &Dotted, speaker: Speaker) -> Diagnostic {
        if let Some(problem) = self.of_another_act(joined, name.span, speaker) {
            return problem;
        }
        let message = format!("no input is called `{joined}`");
        let problem = Diagnostic::unknown(Sort::Source, joined, name.span, message);
        if ["all", "everything", "everyone"].contains(&joined) {
            let edit = Edit { span: name.span, text: "all inputs".to_string() };
            return problem.help("write `all inputs`").fix("write `all inputs`", vec![edit], false);
        }
        let known = self.by_name.keys().chain(self.groups.keys()).map(String::as_str);
        problem.near_or(name.span, nearest(joined, known), "declare it in an `inputs` list, or take the name out")
    }

    /// A name that an act declares, where a row of the house or of another act says it.
    pub(super) fn of_another_act(&self, joined: &str, span: Span, speaker: Speaker) -> Option<Diagnostic> {
        let acts = self.of_acts.get(joined)?;
        let owner = acts.first()?;
        let own = self.act.as_deref().filter(|_| speaker == Speaker::Act);
        let message = match own {
            Some(act) => format!("`{joined}` belongs to act `{owner}`, and this row to act `{act}`"),
            None => format!("`{joined}` belongs to act `{owner}`, and this row to the house"),
        };
        let help = match own {
            Some(_) => format!("declare `{joined}` outside the acts, or in this one too"),
            None => format!("move this row into `act {owner}`, or declare `{joined}` outside the acts"),
        };
        Some(
            Diagnostic::unknown(Sort::OfAnAct, format!("{owner}.{joined} {}", own.unwrap_or_default()), span, message)
                .help(help),
        )
    }

    /// Source indices that `of`, `record` or `but` mean: points of banks among them are no inputs.
    pub fn inputs_meant(&self, sources: &Sources, speaker: Speaker, found: &mut Vec<Diagnostic>) -> Option<Vec<usize>> {
        match sources {
            Sources::Named(terms) => self.only_sources(terms, speaker, found),
            Sources::All { but, .. } => {
                let but = match but {
                    Some(terms) => self.only_sources(terms, speaker, found)?,
                    None => Vec::new(),
                };
                Some((0..self.sources.len()).filter(|source| !but.contains(source)).collect())
            }
        }
    }

    pub(super) fn only_sources(
        &self,
        terms: &Terms,
        speaker: Speaker,
        found: &mut Vec<Diagnostic>,
    ) -> Option<Vec<usize>> {
        let targets = self.targets(terms, None, speaker, found)?;
        let mut sources = Vec::new();
        for target in targets {
            match target {
                Target::Source(source) if !sources.contains(&source) => sources.push(source),
                Target::Source(_) => {}
                Target::Point(point) => {
                    // A point of a bank is an input if some row's source comes from there.
                    let given = self.sources.iter().position(|source| source.spot == super::Spot::Origin(point));
                    match given {
                        Some(source) => sources.push(source),
                        None => {
                            let message = format!("`{}` is no input", self.rig.point_text(point));
                            found.push(
                                Diagnostic::error("not-an-input", terms.span, message)
                                    .help("name inputs or groups here"),
                            );
                            return None;
                        }
                    }
                }
            }
        }
        Some(sources)
    }

    /// Every group's members exist, and no group hides a source.
    pub(super) fn check_groups(&self, _show: &Show, found: &mut Vec<Diagnostic>) {
        for (terms, speaker) in self.groups.values() {
            let _ = self.targets(terms, None, *speaker, found);
        }
    }
}
