//! A table as HTML. Each row has a head cell; a row about a source has a button, so that the keyboard gets to its
//! path.

use super::super::super::pictures;
use super::super::super::sheet::{Cell, Column, Look, Row, Sheet, Sign, Table, Weight};
use super::pages::Pages;
use super::parts::{broken, pieces};
use super::{Book, paper};
use maud::{Markup, html};

/// Of a table with no more rows none is parted from the others.
const SHORT: usize = 12;

pub(super) fn table(book: &Book, sheet: &Sheet, pages: Option<&Pages>, table: &Table) -> Markup {
    let class = format!("{} {}", paper::columns_class(table), paper::type_class(sheet, pages, table));
    let head = head_column(table);
    html! {
        div.wide.short[table.rows.len() <= SHORT] {
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
                @let inside = written(cell, pressed == Some(at));
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

fn written(cell: &Cell, pressed: bool) -> Markup {
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

/// How wide a table is at least, in parts of its type's size.
pub(super) fn least_width(table: &Table, large: bool) -> f64 {
    widths(table, large, widest_piece).iter().sum()
}

/// How wide it is where no row takes a second line for what is no sentence.
pub(super) fn whole_width(table: &Table, large: bool) -> f64 {
    let cut = |text: &str, bold| pictures::ems(&text.chars().take(SENTENCE).collect::<String>(), bold);
    widths(table, large, cut).iter().sum()
}

/// How many lines its rows take in all where it is so wide, as browsers share a width out.
pub(super) fn lines(table: &Table, large: bool, width: f64) -> f64 {
    let (least, most) = (widths(table, large, widest_piece), widths(table, large, pictures::ems));
    let (narrow, wide): (f64, f64) = (least.iter().sum(), most.iter().sum());
    let share = if wide > narrow { ((width - narrow) / (wide - narrow)).clamp(0.0, 1.0) } else { 1.0 };
    let rooms: Vec<f64> = least.iter().zip(&most).map(|(least, most)| least + (most - least) * share).collect();
    let of_cell = |cell: &Cell, column: &Column, room: f64| {
        // Sums of fractions are nearly what they should be.
        (inside(cell, column, large, pictures::ems) / (room - BESIDE) - 0.01).ceil()
    };
    let of_row = |row: &Row| match row.weight {
        Weight::Group => 1.0,
        _ => {
            let cells = row.cells.iter().zip(&table.columns).zip(&rooms);
            cells.map(|((cell, column), room)| of_cell(cell, column, *room)).fold(1.0, f64::max)
        }
    };
    table.rows.iter().map(of_row).sum()
}

/// Longer texts may take several lines.
const SENTENCE: usize = 16;
/// What stands beside the words of a cell, and around those of a sign.
const BESIDE: f64 = 0.9;
const FRAME: f64 = 0.8;
/// How large the head of a column is, and on large sheets what the eye looks for first.
const HEAD: f64 = 0.85;
const KEY: f64 = 1.27;

/// How wide each column has to be for what is measured of a text, bold or not.
fn widths(table: &Table, large: bool, of: impl Fn(&str, bool) -> f64 + Copy) -> Vec<f64> {
    let widest = |(at, column): (usize, &Column)| {
        let rows = table.rows.iter().filter(|row| row.weight != Weight::Group);
        let cells = rows.filter_map(|row| row.cells.get(at)).map(|cell| inside(cell, column, large, of));
        let room = match column.look {
            Look::Room => 6.0,
            Look::Tick => 1.8,
            _ => 0.0,
        };
        cells.fold(room, f64::max).max(widest_piece(&column.name, true) * HEAD) + BESIDE
    };
    table.columns.iter().enumerate().map(widest).collect()
}

fn inside(cell: &Cell, column: &Column, large: bool, of: impl Fn(&str, bool) -> f64) -> f64 {
    let key = column.look == Look::Key;
    of(&cell.text, key) * if key && large { KEY } else { 1.0 } + cell.sign.map_or(0.0, |_| FRAME)
}

/// How wide what no line ends in is.
fn widest_piece(text: &str, bold: bool) -> f64 {
    pieces(text).map(|piece| pictures::ems(&piece, bold)).fold(0.0, f64::max)
}
