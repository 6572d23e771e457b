//! Columns that line up. A cell's width is what a terminal shows, so that wide letters do not shift
//! what stands to the right of them. Nothing that moves a cursor or turns the writing leaves here.

use unicode_width::UnicodeWidthStr;

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
}

/// The text without control characters and without those that turn the direction of writing.
pub(crate) fn clean(text: &str) -> String {
    let turns = |c: char| matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    text.chars().map(|c| if c.is_control() || turns(c) { '\u{fffd}' } else { c }).collect()
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
    fn escapes_do_not_pass() {
        assert_eq!(clean("a\u{1b}[2Jb\u{202e}"), "a\u{fffd}[2Jb\u{fffd}");
    }
}
