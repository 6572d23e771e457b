//! A table as HTML. Each row has a head cell; a row about a source has a button, so that the keyboard gets to its
//! path.

use super::super::super::sheet::{Cell, Column, Look, Row, Sheet, Sign, Table, Weight};
use super::parts::{broken, widest_piece};
use super::{Book, paper};
use maud::{Markup, html};

pub(super) fn table(book: &Book, sheet: &Sheet, table: &Table) -> Markup {
    let class = format!("{} {}", paper::columns_class(table), paper::type_class(sheet, table));
    let head = head_column(table);
    html! {
        div.wide {
            table class=(class) {
                @match &table.title {
                    Some(title) => caption { (broken(title)) },
                    None => caption.unseen { (broken(&sheet.title)) },
                }
                thead { tr { @for column in &table.columns {
                    th scope="col" class=[look(column.look)] { (broken(&column.name)) }
                } } }
                @for rows in table.rows.chunk_by(|_, next| next.weight != Weight::Group) {
                    tbody { @for one in rows { (row(book, table, head, one)) } }
                }
            }
        }
    }
}

/// The column that says what a row is about: the first that the eye looks for.
fn head_column(table: &Table) -> usize {
    table.columns.iter().position(|column| column.look == Look::Key).unwrap_or(0)
}

fn row(book: &Book, table: &Table, head: usize, row: &Row) -> Markup {
    if row.weight == Weight::Group {
        let words = row.cells.first().map(|cell| cell.text.as_str()).unwrap_or_default();
        return html! { tr.group { th scope="rowgroup" colspan=(table.columns.len()) { (broken(words)) } } };
    }
    let source = row.source.as_deref().and_then(|name| book.numbers.source(name));
    let pressed = source.map(|source| pressed(book, table, row, source));
    let points = book.numbers.points(row.points.iter().map(String::as_str));
    html! {
        tr class=[weight(row.weight)] data-p=[points] data-s=[source] {
            @for (at, (column, cell)) in table.columns.iter().zip(&row.cells).enumerate() {
                @let inside = inside(cell, pressed == Some(at));
                @if at == head {
                    th scope="row" class=[look(column.look)] { (inside) }
                } @else {
                    td class=[look(column.look)] { (inside) }
                }
            }
        }
    }
}

/// The cell that is a button: the one that calls the source by its label, else the first that says anything bold.
fn pressed(book: &Book, table: &Table, row: &Row, source: usize) -> usize {
    let by_label = row.cells.iter().position(|cell| Some(cell.text.as_str()) == book.numbers.label(source));
    let mut filled = table.columns.iter().zip(&row.cells);
    let said = |look: Look, cell: &Cell| look == Look::Key && !cell.text.is_empty();
    by_label.or_else(|| filled.position(|(column, cell)| said(column.look, cell))).unwrap_or(0)
}

fn inside(cell: &Cell, pressed: bool) -> Markup {
    let text = match (cell.sign, cell.sign.and_then(|sign| around(&cell.text, sign))) {
        (Some(sign), Some((before, word, after))) => {
            let class = if sign == Sign::Phantom { "on whole" } else { "never whole" };
            html! { (broken(before)) b class=(class) { (broken(word)) } (broken(after)) }
        }
        _ => broken(&cell.text),
    };
    if pressed {
        html! { button type="button" { (text) } }
    } else {
        text
    }
}

/// What stands before a sign's own words in a text, these words, and what stands behind them.
fn around(text: &str, sign: Sign) -> Option<(&str, &str, &str)> {
    let words: &[&str] = match sign {
        Sign::Phantom => &["48 V on", "48 V"],
        Sign::NeverPhantom => &["NEVER 48 V", "never 48 V"],
    };
    let word = words.iter().find(|word| text.contains(**word))?;
    let (before, after) = text.split_once(word)?;
    Some((before, word, after))
}

fn look(look: Look) -> Option<&'static str> {
    match look {
        Look::Plain => None,
        Look::Number => Some("n"),
        Look::Key => Some("k"),
        Look::Tick => Some("t"),
        Look::Room => Some("r"),
    }
}

fn weight(weight: Weight) -> Option<&'static str> {
    match weight {
        Weight::Plain | Weight::Group => None,
        Weight::Quiet => Some("quiet"),
        Weight::Danger => Some("danger"),
    }
}

/// How wide a table is at least, in letters of its own type.
pub(super) fn least_width(table: &Table) -> f64 {
    width(table, widest_piece)
}

/// How wide it is where no row takes a second line for what is no sentence.
pub(super) fn whole_width(table: &Table) -> f64 {
    width(table, |text| text.chars().count().min(SENTENCE))
}

/// Longer texts may take several lines.
const SENTENCE: usize = 24;

fn width(table: &Table, of: impl Fn(&str) -> usize) -> f64 {
    let widest = |(at, column): (usize, &Column)| {
        let cells = table.rows.iter().filter(|row| row.weight != Weight::Group).filter_map(|row| row.cells.get(at));
        let inside = cells.map(|cell| of(&cell.text)).max().unwrap_or(0);
        let room = if column.look == Look::Room { 6 } else { 2 };
        inside.max(widest_piece(&column.name)).max(room) as f64 + 2.0
    };
    table.columns.iter().enumerate().map(widest).sum()
}
