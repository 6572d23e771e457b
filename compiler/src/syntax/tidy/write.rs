//! Lines as they are to stand, and the edits that make them so.

use super::cell::Cell;
use super::columns::{fit, in_a_line, in_columns};
use super::lines::Line;
use super::sheet::{Code, Sheet, Stands, Table};
use std::ops::Range;
use unicode_width::UnicodeWidthStr;

const INDENT: usize = 2;

/// A line this much longer than the usual one moves no comment but its own.
const SLACK: usize = 40;

pub(super) fn edits(text: &str, lines: &[Line], mut sheet: Sheet) -> Vec<(Range<usize>, String)> {
    let places = places(&mut sheet);
    let written = with_comments(text, lines, &sheet, codes(&sheet, &places));
    let last = sheet.lines.iter().rposition(|line| !matches!(line, Stands::Blank));
    let mut edits = Vec::new();
    // as at the start, where no blank line stands
    let mut after_blank = true;
    for (at, ((line, stands), new)) in lines.iter().zip(&sheet.lines).zip(written).enumerate() {
        let blank = matches!(stands, Stands::Blank);
        if blank && (after_blank || last.is_none_or(|last| at > last)) {
            edits.push((line.bytes.start..line.end, String::new()));
            continue;
        }
        after_blank = blank;
        if new.as_deref().is_some_and(|new| new != line.text(text)) {
            edits.push((line.bytes.clone(), new.unwrap_or_default()));
        }
        if last == Some(at) && line.end == line.bytes.end && !matches!(stands, Stands::Left) {
            edits.push((line.end..line.end, line_end(text, lines).to_string()));
        }
    }
    edits
}

/// The file's own line end.
fn line_end<'t>(text: &'t str, lines: &[Line]) -> &'t str {
    let first = lines.first().and_then(|line| text.get(line.bytes.end..line.end));
    first.filter(|end| !end.is_empty()).unwrap_or("\n")
}

/// For each line of a table, where its cells begin.
fn places(sheet: &mut Sheet) -> Vec<Option<Vec<usize>>> {
    let mut out: Vec<Option<Vec<usize>>> = sheet.lines.iter().map(|_| None).collect();
    for Table { of_statements, lines } in &sheet.tables {
        let take = |line: &usize| match sheet.lines.get_mut(*line) {
            Some(Stands::Code(code)) => std::mem::take(&mut code.cells),
            _ => Vec::new(),
        };
        let mut rows: Vec<Vec<Cell>> = lines.iter().map(take).collect();
        // a statement alone is a sentence
        let alone = *of_statements && rows.len() == 1;
        let of_rows = match alone {
            true => {
                rows.iter_mut().flatten().for_each(|cell| cell.gap = 1);
                rows.iter().map(|row| in_a_line(row, 0)).collect()
            }
            false => in_columns(&mut rows),
        };
        for ((line, cells), places) in lines.iter().zip(rows).zip(of_rows) {
            if let (Some(Stands::Code(code)), Some(out)) = (sheet.lines.get_mut(*line), out.get_mut(*line)) {
                code.cells = cells;
                *out = Some(places);
            }
        }
    }
    out
}

/// Each line's code, without its comment.
fn codes(sheet: &Sheet, places: &[Option<Vec<usize>>]) -> Vec<String> {
    // where a list that goes on in the next line stands
    let mut list = 0;
    let mut written = |(stands, places): (&Stands, &Option<Vec<usize>>)| {
        let Stands::Code(code) = stands else { return String::new() };
        let start = if code.goes_on { list } else { 0 };
        let in_line = if places.is_none() { in_a_line(&code.cells, start) } else { Vec::new() };
        let places = places.as_ref().unwrap_or(&in_line);
        if let (Some(cell), Some(at)) = (code.cells.last(), places.last()) {
            if !code.goes_on || code.cells.len() > 1 {
                list = at + cell.list;
            }
        }
        line(code, places)
    };
    sheet.lines.iter().zip(places).map(&mut written).collect()
}

fn line(code: &Code, places: &[usize]) -> String {
    let mut out = " ".repeat(code.depth * INDENT);
    let mut end = 0;
    for (cell, at) in code.cells.iter().zip(places) {
        out.extend(std::iter::repeat_n(' ', at.saturating_sub(end)));
        out.push_str(&cell.text);
        end = at + cell.width;
    }
    out
}

/// The lines whole; `None` for those that are left alone. Comments behind code stand in one column as far
/// as lines have them.
fn with_comments(text: &str, lines: &[Line], sheet: &Sheet, codes: Vec<String>) -> Vec<Option<String>> {
    let columns = comment_columns(lines, sheet, &codes);
    let whole = |(((line, stands), code), column): (((&Line, &Stands), String), usize)| {
        let comment = line.comment.clone().and_then(|at| text.get(at)).map(str::trim_end);
        match (stands, comment) {
            (Stands::Left, _) => None,
            (Stands::Blank, _) => Some(String::new()),
            (Stands::Comment(depth), Some(comment)) => {
                // at the start of its line it was put there
                let stays = line.text(text).starts_with('#');
                let indent = if stays { 0 } else { depth * INDENT };
                Some(format!("{}{comment}", " ".repeat(indent)))
            }
            (Stands::Code(_), Some(comment)) => {
                let blanks = column.max(code.width() + 2) - code.width();
                Some(format!("{code}{}{comment}", " ".repeat(blanks)))
            }
            (_, None) => Some(code),
        }
    };
    lines.iter().zip(&sheet.lines).zip(codes).zip(columns).map(whole).collect()
}

/// Where each line's comment stands, if its code leaves room.
fn comment_columns(lines: &[Line], sheet: &Sheet, codes: &[String]) -> Vec<usize> {
    let depth = |at: usize| match (sheet.lines.get(at), lines.get(at)) {
        (Some(Stands::Code(code)), Some(Line { comment: Some(_), .. })) => Some(code.depth),
        _ => None,
    };
    let mut out = Vec::with_capacity(lines.len());
    while out.len() < lines.len() {
        let from = out.len();
        let of_run = |at: &usize| depth(*at).is_some() && depth(*at) == depth(from);
        let to = (from..lines.len()).take_while(of_run).count().max(1) + from;
        let widths = codes.get(from..to).unwrap_or(&[]).iter().map(|code| code.width()).collect();
        out.resize(to, fit(widths, SLACK) + 2);
    }
    out
}
