//! Where a span begins and ends, counted as people and as other programs count. Any span is taken:
//! one outside its text, inside a character or back to front is moved to where it can be shown.

use crate::source::{SourceFile, Sources, Span};
use serde::Serialize;
use std::cell::OnceCell;

/// One end of a span.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize)]
pub struct Place {
    /// Bytes before it in the file.
    pub offset: u32,
    /// From 1. Lines end at LF.
    pub line: u32,
    /// From 1, in characters (Unicode scalar values).
    pub column: u32,
}

/// A span whose both ends are known. `end` is just after the last character.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
pub struct Stretch {
    pub start: Place,
    pub end: Place,
}

/// Bytes between two counts of characters: a column in a line of ten megabytes costs no more than this.
const STRIDE: usize = 4096;

/// The places of one compilation's texts.
pub struct Places<'a> {
    sources: &'a Sources,
    /// By file: how many characters begin before byte `k * STRIDE`.
    counts: Vec<OnceCell<Vec<u32>>>,
}

impl<'a> Places<'a> {
    pub fn of(sources: &'a Sources) -> Self {
        Places { sources, counts: sources.iter().map(|_| OnceCell::new()).collect() }
    }

    /// The file of a span, and the span in bytes: inside the text and on characters' borders.
    pub fn clamp(&self, span: Span) -> Option<(&'a SourceFile, usize, usize)> {
        let file = self.sources.get(span.file)?;
        let mut start = (span.start as usize).min(file.text.len());
        let mut end = (span.end as usize).clamp(start, file.text.len());
        while !file.text.is_char_boundary(start) {
            start -= 1;
        }
        while !file.text.is_char_boundary(end) {
            end += 1;
        }
        Some((file, start, end))
    }

    /// How many characters begin before a byte of the file's text.
    pub fn chars_before(&self, file: &SourceFile, offset: usize) -> u32 {
        let bytes = file.text.as_bytes();
        let offset = offset.min(bytes.len());
        let known = self.counts.get(file.id.0 as usize).map(|cell| cell.get_or_init(|| count(bytes)));
        let before = known.and_then(|counts| counts.get(offset / STRIDE)).copied().unwrap_or(0);
        before + beginnings(bytes.get(offset / STRIDE * STRIDE..offset).unwrap_or(&[]))
    }

    /// The place of a byte, which lies on a character's border.
    pub fn place(&self, file: &SourceFile, offset: usize) -> Place {
        let at = u32::try_from(offset).unwrap_or(u32::MAX);
        let (line, start) = file.lines.line_at(at);
        let column = self.chars_before(file, offset) - self.chars_before(file, start as usize) + 1;
        Place { offset: at, line: u32::try_from(line + 1).unwrap_or(u32::MAX), column }
    }

    /// The file and both ends of a span; none where the file is unknown.
    pub fn stretch(&self, span: Span) -> Option<(&'a SourceFile, Stretch)> {
        let (file, start, end) = self.clamp(span)?;
        Some((file, Stretch { start: self.place(file, start), end: self.place(file, end) }))
    }
}

fn count(bytes: &[u8]) -> Vec<u32> {
    let mut so_far = 0;
    let mut counts = vec![0];
    for chunk in bytes.chunks(STRIDE) {
        so_far += beginnings(chunk);
        counts.push(so_far);
    }
    counts
}

/// The characters that begin in these bytes of UTF-8: every byte that continues none.
fn beginnings(bytes: &[u8]) -> u32 {
    u32::try_from(bytes.iter().filter(|byte| **byte & 0xC0 != 0x80).count()).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::source::FileId;

    #[test]
    fn agrees_with_the_plain_way_of_counting() {
        let mut sources = Sources::default();
        let text = "ä日b\n".repeat(3000) + "é";
        let id = sources.add("a".into(), None, text.clone());
        let places = Places::of(&sources);
        for (at, _) in text.char_indices() {
            let file = sources.get(id).unwrap();
            let place = places.place(file, at);
            let plain = file.lines.line_col(&text, at as u32);
            assert_eq!((place.line, place.column), (plain.line, plain.column), "at {at}");
        }
    }

    #[test]
    fn any_span_is_taken() {
        let mut sources = Sources::default();
        let id = sources.add("a".into(), None, "日本".into());
        let places = Places::of(&sources);
        let clamped = |start, end| places.clamp(Span { file: id, start, end }).map(|(_, start, end)| (start, end));
        assert_eq!(clamped(1, 4), Some((0, 6)));
        assert_eq!(clamped(5, 2), Some((3, 6)));
        assert_eq!(clamped(90, 99), Some((6, 6)));
        assert!(places.stretch(Span { file: FileId(7), start: 0, end: 0 }).is_none());
    }
}
