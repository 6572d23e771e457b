//! A hover as text: plain, or in the Markdown that an editor shows. Tables keep their columns in either.

use super::{Hover, Part};
use crate::plan::Table;

impl Hover {
    /// For a person, each part on lines of its own.
    pub fn plain(&self) -> String {
        let mut out = if self.title.is_empty() { String::new() } else { format!("{}\n", self.title) };
        for part in &self.parts {
            match part {
                Part::Line(text) => out.push_str(&format!("{text}\n")),
                Part::Table { title, rows } => {
                    if !title.is_empty() {
                        out.push_str(&format!("{title}\n"));
                    }
                    print(&mut out, rows, 2);
                }
            }
        }
        out
    }

    pub fn markdown(&self) -> String {
        let mut out = if self.title.is_empty() { String::new() } else { format!("**{}**\n", escaped(&self.title)) };
        for part in &self.parts {
            match part {
                Part::Line(text) => out.push_str(&format!("\n{}\n", escaped(text))),
                Part::Table { title, rows } => {
                    if !title.is_empty() {
                        out.push_str(&format!("\n{}\n", escaped(title)));
                    }
                    let mut table = String::new();
                    print(&mut table, rows, 0);
                    let fence = fence(&table);
                    out.push_str(&format!("\n{fence}text\n{table}{fence}\n"));
                }
            }
        }
        out
    }
}

fn print(out: &mut String, rows: &[Vec<String>], indent: usize) {
    let mut table = Table::default();
    rows.iter().for_each(|row| table.row(row.iter().cloned()));
    table.print(out, indent);
}

/// Longer than any run of ticks inside, so that none closes the block.
fn fence(text: &str) -> String {
    let runs = text.split(|c| c != '`').map(str::len);
    "`".repeat(runs.max().unwrap_or(0).max(2) + 1)
}

/// The text with every character that Markdown could take for its own written out.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(c, '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|' | '~' | '&' | '!') {
            out.push('\\');
        }
        out.push(c);
    }
    out
}
