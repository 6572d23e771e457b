//! Columns that line up. A cell's width is what a terminal shows, so that wide letters do not shift
//! what stands to the right of them. Nothing that moves a cursor or turns the writing leaves here.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// As wide as a cell gets before it takes another line.
const WIDEST: usize = 40;
/// It makes one letter of two.
const JOINER: char = '\u{200d}';

/// Rows of cells, printed with each column as wide as its widest cell.
#[derive(Default)]
pub(crate) struct Table {
    rows: Vec<Vec<String>>,
}

impl Table {
    pub fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        self.rows.push(cells.into_iter().map(|cell| clean(&cell)).collect());
    }

    pub fn rows(&self) -> &[Vec<String>] {
        &self.rows
    }

    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// Appends the rows, each on a line, `indent` blanks in, two blanks between columns. A column that
    /// no row fills takes no room.
    pub fn print(&self, out: &mut String, indent: usize) {
        let columns = self.rows.iter().map(Vec::len).max().unwrap_or(0);
        let widest = |column: usize| self.rows.iter().filter_map(|row| row.get(column)).map(|c| c.width()).max();
        let widths: Vec<usize> = (0..columns).map(|column| widest(column).unwrap_or(0)).collect();
        for row in &self.rows {
            let mut line = " ".repeat(indent);
            for (cell, width) in row.iter().zip(&widths).filter(|(_, width)| **width > 0) {
                line.push_str(cell);
                line.push_str(&" ".repeat((width + 2).saturating_sub(cell.width())));
            }
            out.push_str(line.trim_end());
            out.push('\n');
        }
    }

    /// The same with long cells on several lines, so that one of them moves nothing away. The last column that is
    /// filled has all the room that is left.
    pub fn print_wrapped(&self, out: &mut String, indent: usize) {
        let filled = |row: &Vec<String>| row.iter().rposition(|cell| !cell.is_empty());
        let last = self.rows.iter().filter_map(filled).max();
        let mut wrapped = Table::default();
        for row in &self.rows {
            let room = |column| if Some(column) == last { usize::MAX } else { WIDEST };
            let cells: Vec<Vec<String>> = row.iter().enumerate().map(|(at, cell)| lines(cell, room(at))).collect();
            let high = cells.iter().map(Vec::len).max().unwrap_or(0);
            let line = |nth| {
                cells
                    .iter()
                    .map(|cell| cell.get(nth).map_or_else(String::new, |line: &String| line.trim_end().to_string()))
                    .collect()
            };
            wrapped.rows.extend((0..high).map(line));
        }
        wrapped.print(out, indent);
    }
}

/// The text in lines that are no wider, broken between words; a longer word is broken where it must be. Put together
/// again it is the text.
fn lines(text: &str, room: usize) -> Vec<String> {
    let mut lines: Vec<String> = vec![String::new()];
    for word in text.split_inclusive(' ') {
        if lines.last().is_some_and(|line| !line.is_empty() && line.width() + word.trim_end().width() > room) {
            lines.push(String::new());
        }
        for letter in letters(word) {
            match lines.last_mut() {
                Some(line) if letter == " " || line.is_empty() || line.width() + letter.width() <= room => {
                    line.push_str(letter);
                }
                _ => lines.push(letter.to_string()),
            }
        }
    }
    lines
}

/// Each with the marks on it and what is joined to it.
fn letters(word: &str) -> impl Iterator<Item = &str> {
    let mut before = None;
    let starts = word.char_indices().filter(move |(_, c)| {
        let joined = before.replace(*c).is_some_and(|before| before == JOINER);
        !joined && c.width() != Some(0)
    });
    let mut ends: Vec<usize> = starts.map(|(at, _)| at).skip(1).collect();
    ends.push(word.len());
    let mut start = 0;
    ends.into_iter().filter_map(move |end| word.get(std::mem::replace(&mut start, end)..end))
}

/// The text without control characters and without those that turn the direction of writing or begin a line.
pub(crate) fn clean(text: &str) -> String {
    let turns =
        |c: char| matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let breaks = |c: char| matches!(c, '\u{2028}' | '\u{2029}');
    text.replace(|c: char| c.is_control() || turns(c) || breaks(c), "\u{fffd}")
}

/// The text without anything that Markdown or HTML takes for more than itself, on one line.
pub(crate) fn in_markdown(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\\' | '`' | '*' | '_' | '{' | '}' | '[' | ']' | '<' | '>' | '#' | '|' | '~' | '&' | '$' | '!' => {
                out.push('\\');
                out.push(c);
            }
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wide_letters_keep_the_columns() {
        let mut table = Table::default();
        table.row(["太鼓".into(), "1".into()]);
        table.row(["kick".into(), "2".into()]);
        let mut out = String::new();
        table.print(&mut out, 2);
        assert_eq!(out, "  太鼓  1\n  kick  2\n");
    }

    #[test]
    fn a_long_cell_takes_lines_and_loses_nothing() {
        let family = "👨\u{200d}👩\u{200d}👧";
        let words = "a talkback that is switched, ".repeat(7);
        for long in [words.trim_end(), &"x".repeat(200), &"太鼓".repeat(60), &"e\u{301}".repeat(90), &family.repeat(30)]
        {
            let mut table = Table::default();
            table.row([long.to_string(), "end".into()]);
            table.row(["kick".into(), "end".into()]);
            let mut out = String::new();
            table.print_wrapped(&mut out, 0);
            let ends: Vec<usize> = out.lines().filter_map(|line| Some(line.strip_suffix("end")?.width())).collect();
            assert!(ends.len() == 2 && ends[0] == ends[1] && ends[0] <= WIDEST + 2, "{out}");
            assert!(out.lines().all(|line| line.width() <= WIDEST + 5), "{out}");
            let lines = lines(long, WIDEST);
            assert_eq!(lines.concat(), long);
            assert!(!lines.iter().any(|line| line.starts_with(['\u{301}', JOINER]) || line.ends_with(JOINER)), "{out}");
        }
        assert_eq!(lines("", 5), [""]);
    }

    #[test]
    fn escapes_do_not_pass() {
        assert_eq!(clean("a\u{1b}[2Jb\u{202e}\u{61c}\u{2028}"), "a\u{fffd}[2Jb\u{fffd}\u{fffd}\u{fffd}");
    }
}
