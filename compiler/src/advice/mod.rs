//! The first change that works: for rows that cannot hold together, edits are tried in a fixed order,
//! each by compiling the edited text, so that what is proposed is known to compile. One edit before two;
//! where no change works, the rows to drop, lowest priority first.

mod candidates;
mod trial;

use crate::diagnostics::{Diagnostic, Fix};
use crate::project::Files;
use crate::{Analysis, route::Unit};
use candidates::Candidate;
use std::path::Path;
use trial::Trial;

/// Changes that one conflict may try, and two at a time. Counted, so that the advice is the same on
/// every machine.
const TRIES: usize = 160;
const TRIES_OF_TWO: usize = 40;
/// More conflicts than this are told without advice.
const CONFLICTS: usize = 6;

/// Adds to every conflict the first change that works.
pub fn advise(root: &Path, files: &dyn Files, analysis: &mut Analysis) {
    let told: Vec<(usize, Vec<Unit>)> = analysis.told.clone();
    for (index, units) in told.into_iter().take(CONFLICTS) {
        let trial = Trial::new(root, files, analysis, index);
        let change = change_for(analysis, &units, &trial);
        if let Some(diagnostic) = analysis.found.get_mut(index) {
            note(diagnostic, change);
        }
    }
}

fn note(diagnostic: &mut Diagnostic, change: Option<Candidate>) {
    match change {
        Some(change) => {
            diagnostic.help.push(change.label.clone());
            diagnostic.fixes.push(Fix { label: change.label, edits: change.edits, safe: false });
        }
        None => diagnostic.help.push("move one of these rows, or take one out".to_string()),
    }
}

fn change_for(analysis: &Analysis, units: &[Unit], trial: &Trial) -> Option<Candidate> {
    let single = candidates::of(analysis, units);
    if let Some(works) = single.iter().take(TRIES).find(|candidate| trial.works(&candidate.edits)) {
        return Some(works.clone());
    }
    if let Some(works) = candidates::pairs(&single).take(TRIES_OF_TWO).find(|two| trial.works(&two.edits)) {
        return Some(works);
    }
    candidates::drops(analysis, units).into_iter().find(|candidate| trial.works(&candidate.edits))
}
