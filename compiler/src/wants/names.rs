//! Names of sources and groups, as `of`, `keep`, `record … but`, `personal` and `expect` use them.

use super::{Scene, Target};
use crate::diagnostics::{Diagnostic, Edit};
use crate::project::{Show, nearest};
use crate::rig::Asked;
use crate::syntax::ast::{Dotted, Sources, Term, Terms};

impl Scene {
    /// The sources that a name means here: an act's own name first, then the house's; a row's name
    /// means all its sources, `keys.left` one of them.
    pub fn sources_named(&self, name: &str) -> Option<&[usize]> {
        let own = self.act.as_ref().and_then(|act| self.by_name.get(&format!("{act}.{name}")));
        own.or_else(|| self.by_name.get(name)).map(Vec::as_slice)
    }

    pub(super) fn joined(name: &Dotted) -> String {
        name.parts.iter().map(|part| part.value.as_str()).collect::<Vec<_>>().join(".")
    }

    /// What a list of names and points means, in order. `None` where a part means nothing, which has
    /// been said; names that this act's rows replaced are passed over with a note.
    pub fn targets(&self, terms: &Terms, desk: Option<u32>, found: &mut Vec<Diagnostic>) -> Option<Vec<Target>> {
        let mut targets = Vec::new();
        let mut whole = true;
        let mut bank: Option<&Dotted> = None;
        for term in &terms.terms {
            bank = term.name.as_ref().or(bank);
            let Some(name) = bank else { continue };
            match term.range {
                None => whole &= self.named(term, name, &mut Vec::new(), &mut targets, found),
                Some(_) => {
                    let one = Term { name: Some(name.clone()), range: term.range, span: term.span };
                    let list = Terms { terms: vec![one], span: term.span };
                    match self.rig.points(&list, Asked::Feeds, desk, found) {
                        Some(points) => targets.extend(points.into_iter().map(Target::Point)),
                        None => whole = false,
                    }
                }
            }
        }
        whole.then_some(targets)
    }

    fn named(
        &self,
        term: &Term,
        name: &Dotted,
        groups: &mut Vec<String>,
        targets: &mut Vec<Target>,
        found: &mut Vec<Diagnostic>,
    ) -> bool {
        let joined = Self::joined(name);
        if let Some(sources) = self.sources_named(&joined) {
            targets.extend(sources.iter().copied().map(Target::Source));
            return true;
        }
        if let Some(members) = self.groups.get(&joined) {
            if groups.contains(&joined) {
                found.push(Diagnostic::error(
                    "group-of-itself",
                    term.span,
                    format!("group `{joined}` is a part of itself"),
                ));
                return false;
            }
            groups.push(joined);
            let mut whole = true;
            for member in &members.terms {
                if let Some(name) = &member.name {
                    whole &= self.named(member, name, groups, targets, found);
                }
            }
            groups.pop();
            return whole;
        }
        if self.replaced.contains(&joined) {
            let act = self.act.as_deref().unwrap_or_default();
            found.push(Diagnostic::note(
                "name-replaced-in-act",
                term.span,
                format!("act `{act}` has another source in the place of `{joined}`, which drops out here"),
            ));
            return true;
        }
        let unread = name.parts.iter().any(|part| self.rig.broken.contains(&part.value));
        if !unread {
            found.push(self.unknown_source(&joined, name));
        }
        false
    }

    fn unknown_source(&self, joined: &str, name: &Dotted) -> Diagnostic {
        let problem = Diagnostic::error("unknown-name", name.span, format!("no input is called `{joined}`"));
        let known = self.by_name.keys().chain(self.groups.keys()).map(String::as_str);
        match nearest(joined, known) {
            Some(near) => problem.help(format!("did you mean `{near}`?")).fix(
                format!("write `{near}`"),
                vec![Edit { span: name.span, text: near.to_string() }],
                false,
            ),
            None => problem.help("declare it in an `inputs` list, or take the name out"),
        }
    }

    /// Source indices that `of`, `record` or `but` mean: points of banks among them are no inputs.
    pub fn inputs_meant(&self, sources: &Sources, found: &mut Vec<Diagnostic>) -> Option<Vec<usize>> {
        match sources {
            Sources::Named(terms) => self.only_sources(terms, found),
            Sources::All { but, .. } => {
                let but = match but {
                    Some(terms) => self.only_sources(terms, found)?,
                    None => Vec::new(),
                };
                Some((0..self.sources.len()).filter(|source| !but.contains(source)).collect())
            }
        }
    }

    pub(super) fn only_sources(&self, terms: &Terms, found: &mut Vec<Diagnostic>) -> Option<Vec<usize>> {
        let targets = self.targets(terms, None, found)?;
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
        for terms in self.groups.values() {
            let _ = self.targets(terms, None, found);
        }
    }
}
