//! Three versions of a file to one: row by row and attribute by attribute, with comments and order kept.
//! What both sides said otherwise is never chosen from; it stands between markers. Texts in, text out: it
//! reads no file and knows no program that keeps versions.

mod check;
mod ends;
mod join;
mod meaning;
mod names;
mod units;
mod weave;

#[cfg(test)]
mod rig;
#[cfg(test)]
mod tests;

pub use check::News;
pub use meaning::meaning;

use crate::syntax::tidy::tidy;
use ends::Ends;
use join::Piece;
use std::collections::{BTreeSet, HashMap, HashSet};
use std::ops::Range;
use units::{Block, Form, Unit, Words, lines, units};

/// What is merged: the text both sides began with, and theirs.
#[derive(Clone, Copy, Debug)]
pub struct Versions<'t> {
    pub base: &'t str,
    pub ours: &'t str,
    pub theirs: &'t str,
}

/// How rows that are at odds are marked.
#[derive(Clone, Debug)]
pub struct Markers {
    /// How many signs a marker has.
    pub size: usize,
    pub ours: String,
    /// `None` leaves out what the base said.
    pub base: Option<String>,
    pub theirs: String,
}

impl Default for Markers {
    fn default() -> Self {
        Markers { size: 7, ours: "ours".to_string(), base: None, theirs: "theirs".to_string() }
    }
}

/// The result, in pieces.
#[derive(Clone, Debug)]
pub struct Merged<'t> {
    versions: Versions<'t>,
    pieces: Vec<Piece>,
    ends: Ends,
}

pub fn merge(versions: Versions<'_>) -> Merged<'_> {
    let Versions { base, ours, theirs } = versions;
    let (texts, ends) = ends::apart(base, ours, theirs);
    let read = texts.each_ref().map(|text| units(text));
    let [in_base, in_ours, in_theirs] = if agree(&read) { read } else { texts.each_ref().map(|text| lines(text)) };
    let mut pieces = Vec::new();
    join::level(&in_base, &in_ours, &in_theirs, &mut pieces);
    let mut merged = Merged { versions, pieces, ends };
    merged.read_again();
    merged
}

/// Whether no line is a row of a block in one version and does not read in another, as where a brace is lost:
/// then all are merged as lines.
fn agree(versions: &[Vec<Unit<'_>>; 3]) -> bool {
    let (mut inside, mut unread) = (HashSet::new(), HashSet::new());
    for unit in versions.iter().flatten() {
        unit.walk(false, &mut |unit, in_block| match &unit.form {
            Form::Row(_) if in_block => drop(inside.insert(unit.text.trim())),
            Form::Line { unread: true, .. } => drop(unread.insert(unit.text.trim())),
            _ => {}
        });
    }
    inside.is_disjoint(&unread)
}

impl Merged<'_> {
    pub fn is_clean(&self) -> bool {
        self.conflicts() == 0
    }

    /// How many places are marked.
    pub fn conflicts(&self) -> usize {
        self.regions().into_iter().filter(|region| matches!(region, Region::AtOdds(_))).count()
    }

    /// The whole text; laid out in columns where both sides were and nothing is marked.
    pub fn text(&self, markers: &Markers) -> String {
        let (mut out, mut marked) = (String::new(), false);
        for region in self.regions() {
            marked = matches!(region, Region::AtOdds(_));
            match region {
                Region::Merged(text) => out.push_str(text),
                Region::AtOdds(pieces) => markers.write(pieces, &mut out),
            }
        }
        // A marker always ends its line.
        let text = self.ends.put_on(&out, marked);
        let stays = |side: &str| side == text || tidy(side) != side;
        let as_it_is = !self.is_clean() || [self.versions.ours, self.versions.theirs].into_iter().any(stays);
        if as_it_is { text } else { tidy(&text) }
    }

    /// The text before it is laid out.
    fn plain(&self) -> String {
        self.pieces.iter().filter_map(|piece| piece.merged.as_deref()).collect()
    }

    /// Marks what was changed on those lines (from 0) of the plain text; how many pieces that were.
    fn mark(&mut self, lines: &BTreeSet<usize>) -> usize {
        let (mut line, mut marked) = (0, 0);
        for piece in &mut self.pieces {
            let here = line..line + piece.merged.as_deref().map_or(0, |text| text.matches('\n').count());
            line = here.end;
            if piece.is_changed() && lines.range(here).next().is_some() {
                piece.merged = None;
                marked += 1;
            }
        }
        marked
    }

    /// A row that was put together must be read as the parts that it was put together from.
    fn read_again(&mut self) {
        if self.pieces.iter().all(|piece| piece.says.is_empty()) {
            return;
        }
        let plain = self.plain();
        let read = units(&plain);
        let mut known = HashMap::new();
        rows(&read, &mut known);
        for piece in self.pieces.iter_mut().filter(|piece| !piece.says.is_empty()) {
            let words = piece.merged.as_deref().and_then(|text| known.get(text));
            let same = words.is_some_and(|words| words.parts.iter().map(|part| part.body).eq(&piece.says));
            if !same {
                piece.merged = None;
            }
        }
    }

    fn regions(&self) -> Vec<Region<'_>> {
        let mut out: Vec<Region<'_>> = Vec::new();
        let mut open: Option<Range<usize>> = None;
        for (at, piece) in self.pieces.iter().enumerate() {
            match piece.merged.as_deref() {
                None => open = Some(open.map_or(at, |open| open.start)..at + 1),
                // What is gone parts no rows.
                Some("") => {}
                Some(text) => {
                    out.extend(open.take().map(|open| Region::AtOdds(self.at_odds(open))));
                    out.push(Region::Merged(text));
                }
            }
        }
        out.extend(open.map(|open| Region::AtOdds(self.at_odds(open))));
        out
    }

    fn at_odds(&self, range: Range<usize>) -> Vec<&Piece> {
        self.pieces.get(range).unwrap_or(&[]).iter().filter(|piece| piece.merged.is_none()).collect()
    }
}

enum Region<'p> {
    Merged(&'p str),
    AtOdds(Vec<&'p Piece>),
}

impl Markers {
    fn write(&self, pieces: Vec<&Piece>, out: &mut String) {
        let marker = |sign: &str, label: &str| {
            let blank = if label.is_empty() { "" } else { " " };
            format!("{}{blank}{label}\n", sign.repeat(self.size))
        };
        out.push_str(&marker("<", &self.ours));
        out.extend(pieces.iter().map(|piece| piece.ours.as_str()));
        if let Some(base) = &self.base {
            out.push_str(&marker("|", base));
            out.extend(pieces.iter().map(|piece| piece.base.as_str()));
        }
        out.push_str(&marker("=", ""));
        out.extend(pieces.iter().map(|piece| piece.theirs.as_str()));
        out.push_str(&marker(">", &self.theirs));
    }
}

/// All rows, and what opens and closes blocks, by their texts.
fn rows<'u, 't>(units: &'u [Unit<'t>], out: &mut HashMap<&'t str, &'u Words<'t>>) {
    for unit in units {
        unit.walk(false, &mut |unit, _| match &unit.form {
            Form::Row(words) | Form::Line { words, .. } => drop(out.insert(words.text, words)),
            Form::Block(Block { head, foot, .. }) => out.extend([(head.text, head), (foot.text, foot)]),
        });
    }
}
