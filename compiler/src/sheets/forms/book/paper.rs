//! The part of the style that is made for one show: what stands at the edge of every page, labels to scale, type
//! that lets each table fit a page, and the columns' names where a phone sets rows as cards.

use super::super::super::pictures;
use super::super::super::sheet::{Labels, Look, Part, Sheet, Table};
use super::pages::Pages;
use super::{Book, parts, table};
use crate::plan::clean;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use unicode_width::UnicodeWidthStr;

pub(super) const POINTS_PER_MM: f64 = 72.0 / 25.4;
/// What is free between the margins, in points: of A4 and Letter the one that has less.
pub(super) const PAGE_WIDTH: f64 = 186.0 * POINTS_PER_MM;
/// The same where the page lies on its side.
const LYING_WIDTH: f64 = 255.0 * POINTS_PER_MM;
/// Type that a table should not need to go below: rather its page lies on its side.
const SMALL: f64 = 8.0;
/// Of other sheets the least that rows of one line are worth, and the most.
const PLAIN: (f64, f64) = (9.0, 10.5);
/// Of large sheets the same.
pub(super) const LARGE: f64 = 9.5;
/// How wide a bold letter of a label is to its height, on the large side.
const BOLD_LETTER: f64 = 0.76;

pub(super) fn style(book: &Book) -> String {
    let mut out = String::new();
    // Writing to memory does not fail.
    let _ = write!(
        out,
        "@page{{@top-left{{content:{}}}@top-right{{content:{} \"\\a \" {}}}}}",
        quoted(&book.pack.head.line()),
        pattern(&book.pack.mark),
        quoted(&book.pack.mark)
    );
    for (number, sheet) in book.pack.sheets.iter().enumerate() {
        let foot = quoted(&format!("{}, {}", sheet.title, parts::for_whom(book, sheet)));
        let lying = if lies(sheet) { "size:landscape;" } else { "" };
        let _ = write!(out, "@page s{number}{{{lying}@bottom-left{{content:{foot}}}}}.s{number}{{page:s{number}}}");
    }
    columns(&mut out, book);
    labels(&mut out, book);
    out
}

/// A text as CSS writes it, with nothing in it that could end a rule or the element.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for letter in clean(text).chars() {
        if letter.is_alphanumeric() || letter == ' ' {
            out.push(letter);
        } else {
            let _ = write!(out, "\\{:x} ", u32::from(letter));
        }
    }
    out.push('"');
    out
}

/// The pattern of the mark, as an image that CSS can put at the edge of a page.
fn pattern(mark: &str) -> String {
    let svg = pictures::pattern(mark).replacen("<svg ", "<svg width=\"44\" height=\"32\" ", 1);
    let mut out = String::from("url(\"data:image/svg+xml,");
    for byte in svg.bytes() {
        if byte.is_ascii_alphanumeric() || b" =/.:-".contains(&byte) {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02x}");
        }
    }
    out.push_str("\")");
    out
}

/// One class for all tables of the same columns.
pub(super) fn columns_class(table: &Table) -> String {
    use std::hash::{Hash, Hasher};
    let mut hasher = rustc_hash::FxHasher::default();
    for column in &table.columns {
        (column.name.as_ref(), column.look as u8).hash(&mut hasher);
    }
    format!("c{:x}", hasher.finish() >> 32)
}

/// What a column is called stands before each of its cells, where it does not go without saying.
fn columns(out: &mut String, book: &Book) {
    let kinds: BTreeMap<String, &Table> = book.pack.tables().map(|(_, one)| (columns_class(one), one)).collect();
    out.push_str("@media screen and (max-width:40rem){");
    for (class, table) in kinds {
        for (at, column) in (1..).zip(&table.columns).filter(|(_, column)| column.look != Look::Key) {
            let _ = write!(out, ".{class} td:nth-child({at})::before{{content:{}}}", quoted(&column.name));
        }
    }
    out.push('}');
}

/// A sheet with a table that would be too small to read lies on its side.
fn lies(sheet: &Sheet) -> bool {
    sheet.tables().any(|table| PAGE_WIDTH / table::least_width(table, sheet.large) < SMALL)
}

/// The type of a table, a step of half a point each.
pub(super) fn type_class(sheet: &Sheet, pages: Option<&Pages>, table: &Table) -> String {
    let (width, small) = if lies(sheet) { (LYING_WIDTH, SMALL) } else { (PAGE_WIDTH, PLAIN.0) };
    let (small, wish) = pages.map_or((small, PLAIN.1), |pages| (LARGE, pages.size));
    format!("h{:.0}", type_of(sheet.large, width, small, table, wish) * 2.0)
}

/// Type so large that the table fits a width, up to what is wished. That no row takes a second line for what is no
/// sentence is worth smaller type, down to `small`.
pub(super) fn type_of(large: bool, width: f64, small: f64, table: &Table, wish: f64) -> f64 {
    let whole = width / table::whole_width(table, large);
    let fits = if whole >= small { whole } else { width / table::least_width(table, large) };
    (fits.clamp(6.5, wish) * 2.0).floor() / 2.0
}

pub(super) fn label_class(labels: &Labels) -> String {
    format!("w{:.0}x{:.0}", labels.width_mm * 10.0, labels.height_mm * 10.0)
}

/// The height of a label's letters in half points: one line or two, whichever lets them be larger.
pub(super) fn letters(labels: &Labels, text: &str) -> u32 {
    let (wide, high) = ((labels.width_mm - 3.0) * POINTS_PER_MM, labels.height_mm * 0.5 * POINTS_PER_MM);
    let long = UnicodeWidthStr::width(text).max(1) as f64 * BOLD_LETTER;
    let one = (wide / long).min(high / 1.1);
    let piece = parts::widest_piece(text).max(1) as f64 * BOLD_LETTER;
    let two = (wide / piece).min(wide * 2.0 / (long * 1.25)).min(high / 2.2);
    (one.max(two).clamp(4.0, 36.0) * 2.0).floor() as u32
}

fn labels(out: &mut String, book: &Book) {
    let (mut sizes, mut all) = (BTreeSet::new(), BTreeMap::new());
    for part in book.pack.sheets.iter().flat_map(|sheet| &sheet.parts) {
        match part {
            Part::Labels(one) => {
                all.insert(label_class(one), one);
                let texts = one.strips.iter().flatten().map(|label| label.text.as_str());
                sizes.extend(texts.map(|text| (letters(one, text), 'f')));
            }
            _ => continue,
        }
    }
    for (class, one) in all {
        let _ = write!(out, ".{class} .label{{width:{}mm;height:{}mm}}", one.width_mm, one.height_mm);
    }
    for (halves, letter) in sizes {
        let _ = write!(out, ".{letter}{halves}{{font-size:{}pt}}", f64::from(halves) / 2.0);
    }
    out.push_str("@media print{");
    for halves in 13..=30 {
        let _ = write!(out, ".h{halves}{{font-size:{}pt}}", f64::from(halves) / 2.0);
    }
    out.push('}');
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_name_ends_a_rule() {
        let style = quoted("a\"}</style>\\\n;");
        assert!(style.chars().all(|c| !"<>};\n".contains(c)));
        assert_eq!(style.matches('"').count(), 2);
    }

    #[test]
    fn letters_shrink_with_their_number() {
        let labels = Labels { width_mm: 25.0, height_mm: 12.0, ..Labels::default() };
        let sizes = ["Kick", "Snare top", "Vocal upstage centre"].map(|text| letters(&labels, text));
        assert!(sizes.is_sorted_by(|a, b| a >= b), "{sizes:?}");
    }
}
