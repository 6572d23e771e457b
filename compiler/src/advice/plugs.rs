//! Sockets for the rows that say none. The free ones are proposed in order and tried all at once; only where that
//! does not work is the list halved, down to the rows that need another socket than the next.

use super::candidates::{self, Candidate};
use super::trial::{Leave, Trial};
use crate::Analysis;
use crate::diagnostics::Edit;
use crate::project::Files;
use crate::rig::Point;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Sockets to try for one source that cannot have the next free one, and trials for all sources.
const TRIES_OF_ONE: usize = 24;
const TRIES: usize = 96;

/// For each of these diagnostics, of sources without a socket, the first that works along with the others'.
pub fn sockets(root: &Path, files: &dyn Files, analysis: &Analysis, without: &[usize]) -> BTreeMap<usize, Candidate> {
    let rows: Vec<Row> = without
        .iter()
        .filter_map(|index| {
            Some(Row { index: *index, sockets: candidates::sockets(analysis, analysis.found.get(*index)?.span) })
        })
        .collect();
    let trial = Trial::new(root, files, analysis, without, Leave::Last);
    let mut search = Search { trial, left: TRIES, taken: BTreeSet::new(), edits: Vec::new(), chosen: BTreeMap::new() };
    search.settle(&rows);
    search.chosen
}

struct Row {
    /// Its diagnostic.
    index: usize,
    sockets: Vec<Candidate>,
}

struct Search<'a> {
    trial: Trial<'a>,
    left: usize,
    taken: BTreeSet<(usize, Point)>,
    edits: Vec<Edit>,
    chosen: BTreeMap<usize, Candidate>,
}

impl Search<'_> {
    fn settle(&mut self, rows: &[Row]) {
        let next = self.next_free(rows);
        if !next.is_empty() && self.works(&next) {
            return self.choose(next);
        }
        match rows {
            [] => {}
            [only] => self.settle_one(only),
            _ => {
                let (first, second) = rows.split_at(rows.len() / 2);
                self.settle(first);
                self.settle(second);
            }
        }
    }

    /// The next free socket for each row; none where a row has none.
    fn next_free(&self, rows: &[Row]) -> Vec<(usize, Candidate)> {
        let mut taken = self.taken.clone();
        let mut list = Vec::new();
        for row in rows {
            let Some(free) = row.sockets.iter().find(|socket| socket.takes.is_disjoint(&taken)) else {
                return Vec::new();
            };
            taken.extend(&free.takes);
            list.push((row.index, free.clone()));
        }
        list
    }

    /// The next free one has been tried.
    fn settle_one(&mut self, row: &Row) {
        let free = row.sockets.iter().filter(|socket| socket.takes.is_disjoint(&self.taken)).skip(1);
        let free: Vec<Candidate> = free.take(TRIES_OF_ONE).cloned().collect();
        for socket in free {
            let choice = vec![(row.index, socket)];
            if self.works(&choice) {
                return self.choose(choice);
            }
        }
    }

    fn works(&mut self, choice: &[(usize, Candidate)]) -> bool {
        let Some(left) = self.left.checked_sub(1) else { return false };
        self.left = left;
        let edits = choice.iter().flat_map(|(_, candidate)| candidate.edits.iter().cloned());
        self.trial.works(&self.edits.iter().cloned().chain(edits).collect::<Vec<_>>())
    }

    fn choose(&mut self, choice: Vec<(usize, Candidate)>) {
        for (index, candidate) in choice {
            self.taken.extend(&candidate.takes);
            self.edits.extend(candidate.edits.iter().cloned());
            self.chosen.insert(index, candidate);
        }
    }
}
