//! One part, checked by itself: the ordinary phases over a text that has its chunks and no others. What it
//! would say is kept for either case, since what is wrong elsewhere keeps checks quiet here.

use super::chunk::{Chunk, Stands};
use crate::diagnostics::{Diagnostic, Missed};
use crate::project::{Allow, Files, load};
use crate::route::Effort;
use crate::rules::{self, Told};
use crate::{advice, draft, unchecked};
use std::collections::BTreeSet;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

/// What a check says, by its number.
pub(super) type Said = Vec<(usize, Vec<Diagnostic>)>;

/// Places are those of its own text.
pub(super) struct Part {
    pub chunks: Vec<Arc<Chunk>>,
    /// Where each chunk starts, and the end.
    pub starts: Vec<usize>,
    /// Whether the show has more desks than it.
    pub is_part: bool,
    /// What is told before any check of the plan.
    pub found: Vec<Diagnostic>,
    pub told: Told,
    /// Every row has its way, so that what is silent is known: told where that holds of all parts.
    pub routed: bool,
    pub silences: Vec<Diagnostic>,
    /// The second evaluator sees something else.
    pub not_proven: bool,
    pub settled: bool,
    pub if_settled: Said,
    pub if_not: Said,
    pub missed: BTreeSet<Missed>,
    /// `keys.left`, for "did you mean".
    pub parts_of_sources: Vec<String>,
    pub allows: Vec<Allow>,
    pub begins_a_show: bool,
    /// Something is told with the first change that works.
    pub wants_advice: bool,
    advised: OnceLock<Vec<Diagnostic>>,
}

/// The text of a part, as the root of a show.
pub(super) struct OnePart {
    pub text: String,
    pub is_part: bool,
}

impl Files for OnePart {
    fn read(&self, _: &Path) -> io::Result<Vec<u8>> {
        Ok(self.text.clone().into_bytes())
    }

    fn canonical(&self, path: &Path) -> PathBuf {
        path.to_path_buf()
    }

    fn is_part(&self) -> bool {
        self.is_part
    }
}

/// Rules whose help is the first change that works.
const ADVISED: &[&str] = &["source-nowhere", "slot-past-the-link"];

impl Part {
    pub fn check(root: &Path, chunks: Vec<Arc<Chunk>>, is_part: bool) -> Part {
        let files = one_part(&chunks, is_part);
        let (project, loaded) = load(root, &files);
        let mut analysis = unchecked(project, loaded, &Effort::default());
        let not_proven = !analysis.not_proven().is_empty();
        let facts = analysis.facts();
        let settled = facts.settled;
        let if_settled = if settled { rules::each(&facts) } else { Vec::new() };
        let if_not = rules::each(&facts.unsettled());
        let checked = if_settled.iter().chain(&if_not).flat_map(|(_, said)| said);
        let missed = analysis.found.iter().chain(checked).filter_map(|one| one.missed.clone()).collect();
        let sources = analysis.scenes.iter().flat_map(|scene| &scene.sources).map(|source| &source.name);
        let parts_of_sources = sources.filter(|name| name.contains('.')).cloned().collect();
        let unhelped = |one: &Diagnostic| ADVISED.contains(&one.rule) && one.help.is_empty();
        let wants_advice = !analysis.told.is_empty() || analysis.found.iter().any(unhelped);
        let routed = analysis.solution.is_whole();
        let silent = draft::silences(&analysis.scenes, &analysis.solution).len();
        let silences = analysis.found.split_off(analysis.found.len() - silent);
        let mut starts = vec![0];
        starts.extend(chunks.iter().scan(0, |at, chunk| {
            *at += chunk.text.len();
            Some(*at)
        }));
        Part {
            starts,
            chunks,
            is_part,
            told: Told::of(&analysis.found),
            routed,
            silences,
            found: analysis.found,
            not_proven,
            settled,
            if_settled,
            if_not,
            missed,
            parts_of_sources,
            begins_a_show: analysis.show.head.is_some(),
            allows: analysis.show.allows,
            wants_advice,
            advised: OnceLock::new(),
        }
    }

    pub fn is_of(&self, chunks: &[Arc<Chunk>], is_part: bool) -> bool {
        self.is_part == is_part
            && self.chunks.len() == chunks.len()
            && self.chunks.iter().zip(chunks).all(|(a, b)| a.id == b.id)
    }

    /// What the checks say, where all that there is was found right and everywhere else, or was not.
    pub fn said(&self, settled: bool) -> &Said {
        if settled { &self.if_settled } else { &self.if_not }
    }

    /// Whether it says an error in either case.
    pub fn has_errors(&self) -> bool {
        let said = self.if_settled.iter().chain(&self.if_not).flat_map(|(_, said)| said);
        self.found.iter().chain(&self.silences).chain(said).any(Diagnostic::is_error)
    }

    /// All that it has to say where nothing is wrong elsewhere, with the first changes that work.
    pub fn advised(&self, root: &Path) -> &[Diagnostic] {
        self.advised.get_or_init(|| {
            let files = one_part(&self.chunks, self.is_part);
            let mut analysis = crate::analyse(root, &files);
            advice::advise(root, &files, &mut analysis);
            analysis.found
        })
    }

    /// What a byte of its text stands in, by the number of the chunk.
    pub fn chunk_at(&self, at: usize) -> Option<(usize, usize)> {
        let last = self.chunks.len().checked_sub(1)?;
        let chunk = self.starts.partition_point(|start| *start <= at).saturating_sub(1).min(last);
        Some((chunk, at - self.starts.get(chunk)?))
    }

    /// Told in every part alike.
    pub fn is_everywhere(&self, chunk: usize) -> bool {
        self.chunks.get(chunk).is_some_and(|chunk| chunk.stands == Stands::Everywhere)
    }
}

fn one_part(chunks: &[Arc<Chunk>], is_part: bool) -> OnePart {
    OnePart { text: chunks.iter().map(|chunk| chunk.text.as_ref()).collect(), is_part }
}
