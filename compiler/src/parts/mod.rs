//! A large show, checked by its parts: the text is cut into statements, those that share a name are one part,
//! and a part is checked by itself with the ordinary phases. After an edit only what it touched is read and
//! checked again. What is told is what the whole would tell, or nothing: never something else.

mod chunk;
mod joins;
mod near;
mod part;
mod told;

use crate::Compiled;
use crate::at_once::at_once;
use crate::diagnostics::Diagnostic;
use crate::project::std_texts;
use crate::source::FileId;
use crate::syntax::cut;
use crate::syntax::words::STATEMENT_WORDS;
use chunk::{Chunk, Sort, Stands};
use part::{OnePart, Part};
use rustc_hash::{FxHashMap, FxHasher};
use std::collections::BTreeSet;
use std::hash::Hasher;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// How often what a part misses is looked for in others.
const ROUNDS: usize = 6;

/// A text in parts, each checked.
pub struct Parts {
    root: PathBuf,
    file: FileId,
    chunks: Vec<Arc<Chunk>>,
    /// The byte at which each chunk starts, and the end.
    starts: Vec<usize>,
    /// The line at which each chunk starts.
    lines: Vec<u32>,
    /// The chunks of each part. The first has what stands everywhere and nothing else.
    members: Arc<Vec<Vec<usize>>>,
    parts: Vec<Arc<Part>>,
    known: FxHashMap<u64, Arc<Part>>,
    /// Whether no other chunk was joined than those that share a name.
    plain: bool,
    /// Something looks at all of it.
    only_whole: bool,
}

impl Parts {
    /// The parts of a text; what `before` has of it is taken over. `None` where it has no parts, or one has more
    /// than this share of it, in per cent.
    pub fn of(root: &Path, text: &str, share: usize, before: Option<&Parts>) -> Option<Parts> {
        let chunks = chunks(text, before)?;
        let desks = |chunk: &Chunk| chunk.declares.iter().any(|declared| declared.sort == Sort::Desk);
        if chunks.iter().filter(|chunk| desks(chunk)).count() < 2 {
            return None;
        }
        let alike = |before: &&Parts| {
            let mut pairs = before.chunks.iter().zip(&chunks);
            before.plain && before.chunks.len() == chunks.len() && pairs.all(|(a, b)| a.id == b.id || a.joins_like(b))
        };
        let members = before.filter(alike).map(|before| before.members.clone());
        let mut starts = vec![0];
        starts.extend(chunks.iter().scan(0, |at, chunk| {
            *at += chunk.text.len();
            Some(*at)
        }));
        let lines = chunks.iter().scan(0, |line, chunk| {
            let first = *line;
            *line += chunk.lines;
            Some(first)
        });
        let mut parts = Parts {
            lines: lines.collect(),
            root: root.to_path_buf(),
            file: FileId(u32::try_from(std_texts().count()).ok()?),
            members: members.unwrap_or_else(|| Arc::new(members_of(&chunks, &[]))),
            chunks,
            starts,
            parts: Vec::new(),
            known: FxHashMap::default(),
            plain: true,
            only_whole: false,
        };
        // What is checked as one anyway is checked whole.
        let most = parts.members.iter().map(|members| parts.length_of(members)).max().unwrap_or(0);
        if most > text.len().saturating_mul(share) / 100 {
            return None;
        }
        parts.check_all(before);
        Some(parts)
    }

    /// What the whole text would be told; `None` where only the whole can tell.
    pub fn diagnostics(&self, notes: bool) -> Option<Vec<Diagnostic>> {
        if self.only_whole { None } else { told::told(self, notes) }
    }

    /// Checks every part; where one misses what others may have, they are joined, and checked as one.
    fn check_all(&mut self, before: Option<&Parts>) {
        let mut joined: Vec<(usize, usize)> = Vec::new();
        for _ in 0..ROUNDS {
            self.check(before);
            match near::wanted(self) {
                Some(wanted) if wanted.is_empty() => return,
                Some(wanted) => joined.extend(wanted),
                None => break,
            }
            self.members = Arc::new(members_of(&self.chunks, &joined));
            self.plain = false;
        }
        self.only_whole = true;
    }

    fn length_of(&self, members: &[usize]) -> usize {
        members.iter().filter_map(|at| self.chunks.get(*at)).map(|chunk| chunk.text.len()).sum()
    }

    /// The part that a line of the text (from 0) stands in.
    pub fn at_line(&self, line: u32) -> Option<usize> {
        let chunk =
            self.lines.partition_point(|first| *first <= line).checked_sub(1)?.min(self.chunks.len().checked_sub(1)?);
        let of = |(_, members): &(usize, &Vec<usize>)| members.binary_search(&chunk).is_ok();
        let once = self.chunks.get(chunk).is_some_and(|chunk| chunk.stands == Stands::Once);
        let mut parts = self.members.iter().enumerate().skip(usize::from(once));
        parts.find(of).map(|(number, _)| number)
    }

    /// The part, compiled as a show of its own in which every line stands where it stands in the whole text;
    /// between them there is nothing. Without advice.
    pub fn compiled(&self, part: usize) -> Option<Compiled> {
        let mut text = String::new();
        let mut line = 0;
        for chunk in self.members.get(part)? {
            let (first, chunk) = (*self.lines.get(*chunk)?, self.chunks.get(*chunk)?);
            text.extend((line..first).map(|_| '\n'));
            text.push_str(&chunk.text);
            line = first + chunk.lines;
        }
        let files = OnePart { text, is_part: self.part(part)?.is_part };
        Some(crate::finished(crate::analyse(&self.root, &files)))
    }

    /// The bytes around a place that read as they read in the text: a statement and those beside it.
    pub fn around(text: &str, at: usize) -> Range<usize> {
        let begins =
            |line: &str| STATEMENT_WORDS.contains(&line.split([' ', '\t']).next().unwrap_or_default().trim_end());
        let before = text.get(..at).unwrap_or(text);
        let mut start = 0;
        let mut end = before.len();
        while let Some(line) = before.get(..end).and_then(|before| before.rfind('\n')) {
            if before.get(line + 1..).is_some_and(|rest| begins(rest.lines().next().unwrap_or_default())) {
                start = line + 1;
                break;
            }
            end = line;
        }
        let mut stop = at;
        while let Some(line) = text.get(stop..).and_then(|after| after.find('\n')) {
            stop += line + 1;
            if text.get(stop..).is_some_and(|rest| begins(rest.lines().next().unwrap_or_default())) {
                return start..stop;
            }
        }
        start..text.len()
    }

    /// Whether it has a show's head.
    pub fn begins_a_show(&self) -> bool {
        self.all().next().is_some_and(|part| part.begins_a_show)
    }

    /// How many parts there are.
    pub fn count(&self) -> usize {
        self.parts.len()
    }

    fn all(&self) -> impl Iterator<Item = &Part> {
        self.parts.iter().map(Arc::as_ref)
    }

    fn part(&self, number: usize) -> Option<&Part> {
        self.parts.get(number).map(Arc::as_ref)
    }

    /// Where a chunk of a part starts in the file.
    fn start_of(&self, part: usize, chunk: usize) -> Option<usize> {
        self.starts.get(*self.members.get(part)?.get(chunk)?).copied()
    }

    fn ends_a_line(&self) -> bool {
        self.chunks.last().is_none_or(|chunk| chunk.text.is_empty() || chunk.text.ends_with('\n'))
    }

    /// Checks every part that is not known.
    fn check(&mut self, before: Option<&Parts>) {
        let desks = self.desks(0..self.chunks.len());
        let mut wanted: Vec<(u64, Vec<Arc<Chunk>>, bool)> = Vec::new();
        for members in self.members.iter() {
            let chunks: Vec<Arc<Chunk>> = members.iter().filter_map(|at| self.chunks.get(*at)).cloned().collect();
            let is_part = self.desks(members.iter().copied()) < desks;
            let mut hasher = FxHasher::default();
            chunks.iter().for_each(|chunk| hasher.write_u64(chunk.id));
            wanted.push((hasher.finish(), chunks, is_part));
        }
        let known = |(key, chunks, is_part): &(u64, Vec<Arc<Chunk>>, bool)| {
            let before = before.and_then(|before| before.known.get(key));
            self.known.get(key).or(before).filter(|part| part.is_of(chunks, *is_part)).cloned()
        };
        let found: Vec<Option<Arc<Part>>> = wanted.iter().map(known).collect();
        let new: Vec<_> = wanted.iter().zip(&found).filter(|(_, found)| found.is_none()).map(|(one, _)| one).collect();
        let root = self.root.as_path();
        let mut new =
            at_once(&new, |(_, chunks, is_part)| Arc::new(Part::check(root, chunks.clone(), *is_part))).into_iter();
        let parts: Vec<Arc<Part>> = found.into_iter().filter_map(|found| found.or_else(|| new.next())).collect();
        let keys = wanted.iter().map(|(key, ..)| *key);
        self.known.extend(keys.zip(parts.iter().cloned()));
        self.parts = parts;
    }

    fn desks(&self, chunks: impl Iterator<Item = usize>) -> usize {
        let declared = chunks.filter_map(|at| self.chunks.get(at)).flat_map(|chunk| &chunk.declares);
        let desks = declared.filter(|declared| declared.sort == Sort::Desk);
        desks.map(|desk| desk.name.as_str()).collect::<BTreeSet<_>>().len()
    }
}

/// The part that has what stands everywhere, then each with that and its own.
fn members_of(chunks: &[Arc<Chunk>], joined: &[(usize, usize)]) -> Vec<Vec<usize>> {
    let standing = |stands: &[Stands]| -> Vec<usize> {
        let of = chunks.iter().enumerate().filter(|(_, chunk)| stands.contains(&chunk.stands));
        of.map(|(at, _)| at).collect()
    };
    let everywhere = standing(&[Stands::Everywhere]);
    let with_own = |mut own: Vec<usize>| {
        own.extend(&everywhere);
        own.sort_unstable();
        own
    };
    let first = standing(&[Stands::Everywhere, Stands::Over]);
    std::iter::once(first).chain(joins::parts(chunks, joined).into_iter().map(with_own)).collect()
}

/// The text in chunks: those of before that still stand, and new ones between them.
fn chunks(text: &str, before: Option<&Parts>) -> Option<Vec<Arc<Chunk>>> {
    let none = Vec::new();
    let old = before.map_or(&none, |before| &before.chunks);
    let (first, last) = untouched(text, old);
    // Whether a line begins a chunk is asked of the line; the one before may end there no more.
    let first = first.saturating_sub(1);
    let length = |chunks: &[Arc<Chunk>]| chunks.iter().map(|chunk| chunk.text.len()).sum::<usize>();
    let start = length(old.get(..first)?);
    let mut kept = old.len() - last;
    loop {
        let end = text.len() - length(old.get(kept..)?);
        let stretch = text.get(start..end)?;
        let borders = cut(stretch)?;
        let at_a_line = stretch.is_empty() || stretch.ends_with('\n');
        if (borders.closed && at_a_line) || kept == old.len() {
            let new = pieces(stretch, &borders.starts, start == 0)?;
            let (head, tail) = (old.get(..first)?, old.get(kept..)?);
            return Some(head.iter().cloned().chain(new).chain(tail.iter().cloned()).collect());
        }
        kept += 1;
    }
}

/// How many chunks at the start and at the end the text still has.
fn untouched(text: &str, chunks: &[Arc<Chunk>]) -> (usize, usize) {
    let mut rest = text;
    let mut first = 0;
    while let Some(after) = chunks.get(first).and_then(|chunk| rest.strip_prefix(chunk.text.as_ref())) {
        (rest, first) = (after, first + 1);
    }
    let mut last = 0;
    let left = chunks.get(first..).unwrap_or_default();
    while let Some(before) = left.iter().rev().nth(last).and_then(|chunk| rest.strip_suffix(chunk.text.as_ref())) {
        (rest, last) = (before, last + 1);
    }
    (first, last)
}

/// What stands before the first border goes with the first piece.
fn pieces(text: &str, borders: &[usize], first: bool) -> Option<Vec<Arc<Chunk>>> {
    let starts: Vec<usize> = std::iter::once(0).chain(borders.iter().copied().skip(1)).collect();
    let ends = starts.iter().copied().skip(1).chain([text.len()]);
    let ranges: Vec<(usize, usize)> = starts.iter().copied().zip(ends).filter(|(start, end)| start < end).collect();
    let read = |(start, end): &(usize, usize)| Chunk::read(text.get(*start..*end)?, first && *start == 0).map(Arc::new);
    at_once(&ranges, read).into_iter().collect()
}
