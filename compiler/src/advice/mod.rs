//! The first change that works: for rows that cannot hold together, edits are tried in a fixed order,
//! each by compiling the edited text, so that what is proposed is known to compile. One edit before two;
//! where no change works, the rows to drop, lowest priority first.

mod candidates;
mod meeting;
mod plugs;
mod runs;
mod trial;

use crate::diagnostics::{Diagnostic, Edit, Fix, Label};
use crate::project::Files;
use crate::source::Span;
use crate::{Analysis, route::Unit};
use candidates::Candidate;
use std::collections::BTreeSet;
use std::path::Path;
use trial::{Leave, Trial};

/// Changes that one conflict may try, and two at a time. Counted, so that the advice is the same on
/// every machine.
const TRIES: usize = 160;
const TRIES_OF_TWO: usize = 40;
/// Changes that work and are tried along with those of other conflicts.
const TRIES_ALONG: usize = 8;
/// More conflicts than this are told without advice.
const CONFLICTS: usize = 6;

/// Ports to try for what is past a link's last slot, and how many such links are told another port.
const TRIES_OF_PORTS: usize = 24;
const PAST_LINKS: usize = 4;

/// Adds to every conflict, and to every source without a socket, the first change that works. Conflicts of a
/// run of rows that one change mends are told as one.
pub fn advise(root: &Path, files: &dyn Files, analysis: &mut Analysis) {
    let told: Vec<(usize, Vec<Unit>)> = analysis.told.clone();
    let mut joined: BTreeSet<usize> = BTreeSet::new();
    let mut left = CONFLICTS;
    let mut before = Before::default();
    for (index, units) in &told {
        if joined.contains(index) {
            continue;
        }
        if left == 0 {
            break;
        }
        left -= 1;
        let bench = Bench { root, files, analysis, before: &before };
        if let Some((change, with)) = bench.whole_run(&told, *index, units, &joined) {
            tell_with(analysis, *index, &with);
            before.add(*index, Some(&change));
            before.conflicts.extend(&with);
            joined.extend(with);
            note(analysis.found.get_mut(*index), Some(change));
            continue;
        }
        let change = bench.change_for(*index, units);
        before.add(*index, change.as_ref());
        note(analysis.found.get_mut(*index), change);
    }
    let nowhere = |(_, told): &(usize, &Diagnostic)| told.rule == "source-nowhere" && told.help.is_empty();
    let nowhere: Vec<usize> = analysis.found.iter().enumerate().filter(nowhere).map(|(index, _)| index).collect();
    let mut sockets = plugs::sockets(root, files, analysis, &nowhere);
    for index in nowhere {
        let Some(diagnostic) = analysis.found.get_mut(index) else { continue };
        match sockets.remove(&index) {
            Some(change) => note(Some(diagnostic), Some(change)),
            None => diagnostic.help.push("write `from` and the socket, or `from any`".to_string()),
        }
    }
    let past = |(_, told): &(usize, &Diagnostic)| told.rule == "slot-past-the-link" && told.help.is_empty();
    let past: Vec<usize> = analysis.found.iter().enumerate().filter(past).map(|(index, _)| index).collect();
    for (count, index) in past.into_iter().enumerate() {
        let change = if count < PAST_LINKS { port_for(root, files, analysis, index) } else { None };
        let Some(diagnostic) = analysis.found.get_mut(index) else { continue };
        match change {
            Some(change) => note(Some(diagnostic), Some(change)),
            None => diagnostic.help.push("plug some of them into another box, nearer to the desk".to_string()),
        }
    }
    let mut index = 0;
    analysis.found.retain(|_| {
        index += 1;
        !joined.contains(&(index - 1))
    });
}

/// The first free port of a desk where all of them arrive.
fn port_for(root: &Path, files: &dyn Files, analysis: &Analysis, index: usize) -> Option<Candidate> {
    let trial = Trial::new(root, files, analysis, &[index], Leave::Last);
    let about = &analysis.found.get(index)?.about;
    let rig = &analysis.scenes.first()?.rig;
    let near = rig.joined(about.iter().filter_map(|name| rig.device_named(name)));
    let near = near.into_iter().map(|device| rig.device_name(device).to_string()).collect();
    let ports = candidates::ports(analysis, &near).into_iter().filter(|port| port.is_of(about));
    ports.into_iter().take(TRIES_OF_PORTS).find(|port| trial.works(&port.edits))
}

fn note(diagnostic: Option<&mut Diagnostic>, change: Option<Candidate>) {
    let Some(diagnostic) = diagnostic else { return };
    match change {
        Some(change) => {
            diagnostic.help.push(change.label.clone());
            for (span, message) in change.shows {
                diagnostic.labels.push(Label { span, message });
            }
            diagnostic.fixes.push(Fix { label: change.label, edits: change.edits, safe: false });
        }
        None => diagnostic.help.push("move one of these rows, or take one out".to_string()),
    }
}

/// Points at the rows that one change mends along with the first.
fn tell_with(analysis: &mut Analysis, first: usize, with: &[usize]) {
    let told: Vec<(Span, String, Vec<String>)> = with
        .iter()
        .filter_map(|index| analysis.found.get(*index))
        .map(|other| {
            let who = other.about.first().map_or_else(|| "this row".to_string(), |name| format!("`{name}`"));
            (other.span, format!("and {who} likewise"), other.about.clone())
        })
        .collect();
    let Some(diagnostic) = analysis.found.get_mut(first) else { return };
    for (span, message, about) in told {
        diagnostic.labels.push(Label { span, message });
        diagnostic.about.extend(about);
    }
}

/// What was proposed for other conflicts already.
#[derive(Default)]
struct Before {
    conflicts: Vec<usize>,
    edits: Vec<Edit>,
}

impl Before {
    fn add(&mut self, conflict: usize, change: Option<&Candidate>) {
        if let Some(change) = change {
            self.conflicts.push(conflict);
            self.edits.extend(change.edits.iter().cloned());
        }
    }

    /// These edits and the earlier ones, where they can stand together.
    fn and(&self, edits: &[Edit]) -> Option<Vec<Edit>> {
        let apart = |one: &Edit, two: &Edit| {
            one.span.file != two.span.file || one.span.end < two.span.start || two.span.end < one.span.start
        };
        let all_apart = edits.iter().all(|edit| self.edits.iter().all(|other| apart(edit, other)));
        all_apart.then(|| self.edits.iter().chain(edits).cloned().collect())
    }
}

/// Where changes are tried.
#[derive(Clone, Copy)]
struct Bench<'a> {
    root: &'a Path,
    files: &'a dyn Files,
    analysis: &'a Analysis,
    before: &'a Before,
}

impl<'a> Bench<'a> {
    fn trial(&self, conflicts: &[usize], leave: Leave) -> Trial<'a> {
        Trial::new(self.root, self.files, self.analysis, conflicts, leave)
    }

    /// Where several conflicts are of one run of rows: the change that mends them all, and the others.
    fn whole_run(
        &self,
        told: &[(usize, Vec<Unit>)],
        index: usize,
        units: &[Unit],
        joined: &BTreeSet<usize>,
    ) -> Option<(Candidate, Vec<usize>)> {
        let rule = self.analysis.found.get(index)?.rule;
        let scene = units.first()?.scene;
        let row = candidates::rows(self.analysis, units).first().cloned()?;
        let run = runs::around(&row)?;
        let of_run = |(other, units): &&(usize, Vec<Unit>)| {
            let same = self.analysis.found.get(*other).is_some_and(|found| found.rule == rule);
            same && !joined.contains(other) && run.has(row.scene, units, scene)
        };
        let all: Vec<usize> = told.iter().filter(of_run).map(|(other, _)| *other).collect();
        if all.len() < 2 || !all.contains(&index) {
            return None;
        }
        let trial = self.trial(&all, Leave::Last);
        let works = run.candidates().into_iter().find(|candidate| trial.works(&candidate.edits))?;
        Some((works, all.into_iter().filter(|other| *other != index).collect()))
    }

    /// The first change that works along with what was proposed before, else the first that works.
    fn first_that_works(&self, index: usize, single: &[Candidate], trial: &Trial) -> Option<Candidate> {
        let mut working = single.iter().take(TRIES).filter(|candidate| trial.works(&candidate.edits));
        if self.before.conflicts.is_empty() {
            return working.next().cloned();
        }
        let all: Vec<usize> = self.before.conflicts.iter().copied().chain([index]).collect();
        let together = self.trial(&all, Leave::Last);
        let mut first = None;
        for candidate in working.take(TRIES_ALONG) {
            if self.before.and(&candidate.edits).is_some_and(|edits| together.works(&edits)) {
                return Some(candidate.clone());
            }
            first = first.or(Some(candidate));
        }
        first.cloned()
    }

    fn change_for(&self, index: usize, units: &[Unit]) -> Option<Candidate> {
        let trial = self.trial(&[index], Leave::Last);
        let single = candidates::of(self.analysis, units);
        if let Some(works) = self.first_that_works(index, &single, &trial) {
            return Some(works);
        }
        let other = self.trial(&[index], Leave::First);
        if other.leaves() != trial.leaves()
            && let Some(works) = self.first_that_works(index, &single, &other)
        {
            return Some(works);
        }
        if let Some(works) = candidates::pairs(&single).take(TRIES_OF_TWO).find(|two| trial.works(&two.edits)) {
            return Some(works);
        }
        candidates::drops(self.analysis, units).into_iter().find(|candidate| trial.works(&candidate.edits))
    }
}
