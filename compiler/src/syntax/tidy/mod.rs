//! Layout: a file's rows in columns, as an input list is on paper. Only blanks, blank lines and the last
//! line end change; no token moves to another line. A row that does not read stays as it stands, byte
//! for byte.

mod cell;
mod columns;
mod cuts;
mod lines;
mod sheet;
mod write;

#[cfg(test)]
mod tests;

use crate::source::FileId;
use std::ops::Range;

/// The text laid out.
pub fn tidy(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + text.len() / 4);
    let mut done = 0;
    for (range, put) in tidy_edits(text, None) {
        out.push_str(text.get(done..range.start).unwrap_or(""));
        out.push_str(&put);
        done = range.end;
    }
    out.push_str(text.get(done..).unwrap_or(""));
    out
}

/// What `tidy` changes, in order: each edit puts one line in the place of another, takes a blank line
/// away, or ends the last line. `within` keeps to the rows that it touches.
pub fn tidy_edits(text: &str, within: Option<Range<usize>>) -> Vec<(Range<usize>, String)> {
    let read = super::parse_rows(FileId(0), text);
    let lines = lines::lines(text, &read.parsed.tokens, &read.sigs);
    let cuts = cuts::cuts(&read.parsed.statements, &read.sigs);
    let sheet = sheet::sheet(&lines, &read, &cuts);
    let edits = write::edits(text, &lines, sheet);
    match within {
        None => edits,
        Some(within) => {
            let within = whole_rows(&lines, &read, within);
            edits.into_iter().filter(|(at, _)| at.start <= within.end && within.start <= at.end).collect()
        }
    }
}

/// A part of a row on one line, as it stands once it is laid out; without comments.
pub fn phrase(text: &str) -> String {
    let tokens = super::tokens::tokens(text);
    cell::in_one_line(&super::significant::significant(FileId(0), text, &tokens).sigs)
}

/// The range, made longer to the ends of the rows that it begins and ends in.
fn whole_rows(lines: &[lines::Line], read: &super::ParsedRows<'_>, within: Range<usize>) -> Range<usize> {
    let at = |offset: usize| lines.partition_point(|line| line.end <= offset).min(lines.len().saturating_sub(1));
    let goes_on = |line: usize| {
        let before = lines.get(line).and_then(|line| line.sigs.start.checked_sub(1));
        let last = before.and_then(|before| read.sigs.get(before));
        last.is_some_and(|(sig, _)| sig.kind == super::TokenKind::Comma)
    };
    let (mut first, mut last) = (at(within.start), at(within.end.max(within.start)));
    while first > 0 && goes_on(first) {
        first -= 1;
    }
    while last + 1 < lines.len() && goes_on(last + 1) {
        last += 1;
    }
    let start = lines.get(first).map_or(0, |line| line.bytes.start);
    start..lines.get(last).map_or(within.end, |line| line.bytes.end)
}
