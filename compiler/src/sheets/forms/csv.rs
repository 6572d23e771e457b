//! Each table as comma-separated values after RFC 4180: a head line, CRLF, quotes where need be. A cell that a
//! spreadsheet would take for a formula gets an apostrophe before it.

use super::super::sheet::{Pack, Table};
use super::File;
use std::collections::BTreeMap;

pub(super) fn files(pack: &Pack) -> Vec<File> {
    let mut of_sheet: BTreeMap<&str, usize> = BTreeMap::new();
    let mut files = Vec::new();
    for (sheet, table) in pack.tables() {
        let number = of_sheet.entry(&sheet.slug).or_default();
        *number += 1;
        let tail = if *number == 1 { String::new() } else { format!(".{number}") };
        files.push(File { name: format!("csv/{}{tail}.csv", sheet.slug), bytes: bytes(table) });
    }
    files
}

fn bytes(table: &Table) -> Vec<u8> {
    let head = table.columns.iter().map(|column| harmless(&column.name));
    let rows = table.rows.iter().map(|row| row.cells.iter().map(|cell| harmless(&cell.text)).collect());
    let mut out = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    for row in std::iter::once(head.collect::<Vec<_>>()).chain(rows) {
        // Writing to memory does not fail.
        let _ = out.write_record(&row);
    }
    out.into_inner().unwrap_or_default()
}

/// What a spreadsheet takes for the start of a formula, as listed by OWASP under "CSV injection".
pub(super) fn harmless(text: &str) -> String {
    let starts = text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠']);
    if starts { format!("'{text}") } else { text.to_string() }
}
