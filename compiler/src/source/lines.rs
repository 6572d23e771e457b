//! Lines and columns of a text. A line ends at LF, CR LF or a lone CR, as editors count that speak the
//! Language Server Protocol 3.17, and as ariadne draws. Rows of the language end at LF and CR LF only.

use std::ops::Range;

/// Both from 1. The column counts characters (Unicode scalar values), as most editors show it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct LineCol {
    pub line: u32,
    pub column: u32,
}

/// The byte at which each line starts.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Lines {
    starts: Vec<u32>,
}

impl Lines {
    pub fn of(text: &str) -> Self {
        let bytes = text.as_bytes();
        let ends = |at: &usize| match bytes.get(*at) {
            Some(b'\n') => true,
            Some(b'\r') => bytes.get(at + 1) != Some(&b'\n'),
            _ => false,
        };
        let after_ends = (0..bytes.len()).filter(ends).map(|at| at + 1);
        let starts = std::iter::once(0).chain(after_ends).filter_map(|at| u32::try_from(at).ok()).collect();
        Lines { starts }
    }

    /// The lines of a text in which these bytes (of the text before) were replaced by `new` bytes.
    pub fn edited(&mut self, text: &str, old: Range<usize>, new: usize) {
        // A line end of two characters may have been split or joined at either side.
        let first = self.starts.partition_point(|start| *start as usize + 1 < old.start).saturating_sub(1);
        let last = self.starts.partition_point(|start| (*start as usize) <= old.end + 1);
        let clamp = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        let from = self.starts.get(first).copied().unwrap_or(0);
        let until = self.starts.get(last).map(|start| clamp(*start as usize + new - old.len()));
        let stretch = text.get(from as usize..until.map_or(text.len(), |until| until as usize)).unwrap_or_default();
        let within = Lines::of(stretch).starts.into_iter().map(|start| start + from);
        let within: Vec<u32> = within.filter(|start| until.is_none_or(|until| *start < until)).collect();
        for start in self.starts.iter_mut().skip(last) {
            *start = clamp(*start as usize + new - old.len());
        }
        self.starts.splice(first..last, within);
    }

    pub fn count(&self) -> usize {
        self.starts.len()
    }

    /// The line (from 0) that holds a byte, and the byte at which that line starts.
    pub fn line_at(&self, offset: u32) -> (usize, u32) {
        let line = self.starts.partition_point(|start| *start <= offset).saturating_sub(1);
        (line, self.starts.get(line).copied().unwrap_or(0))
    }

    /// The first byte of a line (from 0).
    pub fn start_of(&self, line: usize) -> Option<u32> {
        self.starts.get(line).copied()
    }

    /// Line and column of a byte offset in `text`, the text these lines were made of. An offset
    /// inside a character counts as that character; one past the end as the end.
    pub fn line_col(&self, text: &str, offset: u32) -> LineCol {
        let offset = (offset as usize).min(text.len());
        let (line, start) = self.line_at(u32::try_from(offset).unwrap_or(u32::MAX));
        let before = text.get(start as usize..).unwrap_or("");
        let column = before.char_indices().take_while(|(at, c)| start as usize + at + c.len_utf8() <= offset).count();
        LineCol { line: clamp(line + 1), column: clamp(column + 1) }
    }
}

fn clamp(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters() {
        let text = "äb\ncd";
        let lines = Lines::of(text);
        assert_eq!(lines.line_col(text, 2), LineCol { line: 1, column: 2 });
        assert_eq!(lines.line_col(text, 1), LineCol { line: 1, column: 1 });
        assert_eq!(lines.line_col(text, 5), LineCol { line: 2, column: 2 });
        assert_eq!(lines.line_col(text, 99), LineCol { line: 2, column: 3 });
    }

    #[test]
    fn an_edit_counts_as_the_text_after_it() {
        let text = "a\rb\r\nc\n\rd\r\n\r\n\r";
        for start in 0..=text.len() {
            for end in start..=text.len() {
                for new in ["", "x", "\n", "\r", "\r\n", "x\ny", "\n\r"] {
                    let (mut lines, mut after) = (Lines::of(text), text.to_string());
                    after.replace_range(start..end, new);
                    lines.edited(&after, start..end, new.len());
                    assert_eq!(lines, Lines::of(&after), "{start}..{end} {new:?}");
                }
            }
        }
    }

    #[test]
    fn a_line_ends_in_three_ways() {
        let text = "a\rb\r\nc\n\rd";
        let lines = Lines::of(text);
        let starts: Vec<_> = (0..lines.count()).filter_map(|line| lines.start_of(line)).collect();
        assert_eq!(starts, [0, 2, 5, 7, 8]);
    }
}
