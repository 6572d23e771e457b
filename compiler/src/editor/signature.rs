//! The columns of the row at a place, as the grammar has them, and which of them is being written.

use super::complete::row_at;
use super::grammar::{Sign, Want, is_a_word};
use super::says::says;
use super::things::{called, thing};
use crate::syntax::place;
use std::ops::Range;

/// A row as its columns.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Signature {
    /// All columns in one line.
    pub label: String,
    pub columns: Vec<Column>,
    /// The one at the place, where one can be told.
    pub active: Option<usize>,
}

#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Column {
    /// Its bytes of the label.
    pub label: Range<usize>,
    pub documentation: String,
}

/// The row at a byte of a text. `None` in comments, and before a statement says what it is.
pub fn signature(text: &str, offset: usize) -> Option<Signature> {
    let place = place(text, offset)?;
    let (row, before) = row_at(text, &place)?;
    if before.is_empty() && place.blocks.iter().all(|head| head.first().is_none_or(|word| word.text(text) == "act")) {
        return None;
    }
    let next = row.after(&before);
    let mut columns: Vec<Want> = Vec::new();
    for want in row.whole(&before).into_iter().filter(is_shown) {
        if !columns.iter().any(|known| same(known, &want)) {
            columns.push(want);
        }
    }
    let typed = text.get(place.typed.clone()).unwrap_or("");
    let active = active(&next.last, &next.wants, typed);
    let active = active.and_then(|active| columns.iter().position(|known| same(known, &active)));
    written(&columns, active)
}

/// Commas are no columns, and one spelling of a word is enough.
fn is_shown(want: &Want) -> bool {
    !["48", "48V"].contains(&want.head) && !matches!(want.sign, Sign::Word(word) if !is_a_word(word))
}

/// What is being written: the attribute that is not whole yet, the word that begins one, or the next value.
fn active(last: &[Want], wants: &[Want], typed: &str) -> Option<Want> {
    let of_last = |want: &&Want| last.iter().any(|last| !last.head.is_empty() && same(last, want));
    let going_on = wants.iter().filter(|want| !want.opens && is_shown(want)).find(of_last);
    let begun = || wants.iter().find(|want| want.opens && want.sign == word(typed, want));
    let value = || wants.iter().find(|want| !want.opens && want.head.is_empty() && !is_word(want));
    let begins = || wants.iter().find(|want| want.head.is_empty() && is_word(want) && is_shown(want));
    going_on.or_else(begun).or_else(value).or_else(begins).copied()
}

/// The sign of a token, where it is this word.
fn word(typed: &str, want: &Want) -> Sign {
    match want.sign {
        Sign::Word(word) if word == typed => want.sign,
        _ => Sign::Word(""),
    }
}

/// The columns in a line.
fn written(columns: &[Want], active: Option<usize>) -> Option<Signature> {
    let (mut label, mut out) = (String::new(), Vec::new());
    for want in columns {
        let (text, documentation) = column(want);
        if !label.is_empty() {
            label.push(' ');
        }
        let start = label.len();
        label.push_str(&text);
        out.push(Column { label: start..label.len(), documentation });
    }
    (!out.is_empty()).then_some(Signature { label, columns: out, active })
}

/// Whether two tokens belong to one column: a value by itself, or an attribute with all that it takes.
fn same(a: &Want, b: &Want) -> bool {
    let one_of_uses = a.part == "use" && b.part == "use";
    match (a.head, b.head) {
        _ if one_of_uses => true,
        ("", "") if a.sign == Sign::Text && b.sign == Sign::Text => (a.part, a.word) == (b.part, b.word),
        ("", "") => (a.part, a.word, a.nth) == (b.part, b.word, b.nth) && is_word(a) == is_word(b),
        (a, b) => a == b,
    }
}

fn is_word(want: &Want) -> bool {
    matches!(want.sign, Sign::Word(_))
}

fn column(want: &Want) -> (String, String) {
    if want.part == "use" {
        return ("[use]".to_string(), "what it is for, such as pa or wedge".to_string());
    }
    if !want.head.is_empty() {
        return (format!("[{}]", want.head), says(want.part, want.head).to_string());
    }
    match want.sign {
        Sign::Word(word) => (word.to_string(), says(want.part, word).to_string()),
        _ => {
            let (name, line) = thing(want).map_or(("…", ""), called);
            (name.to_string(), line.to_string())
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// The line, and the column that `|` stands in.
    fn at(text: &str) -> Option<(String, String)> {
        let place = text.find('|').unwrap();
        let found = signature(&text.replacen('|', "", 1), place)?;
        let active = found.active.map(|active| found.label[found.columns[active].label.clone()].to_string());
        Some((found.label, active.unwrap_or_default()))
    }

    fn active(text: &str) -> String {
        at(text).unwrap().1
    }

    #[test]
    fn an_input_row_has_the_columns_of_an_input_list() {
        let (label, active) = at("inputs {\n  |").unwrap();
        assert!(label.starts_with("channel name kind [from] [via] [phantom] [gain] [pad] [stand]"), "{label}");
        assert_eq!(active, "channel");
        for (row, wanted) in [
            ("1 |", "name"),
            ("1 kick |", "kind"),
            ("1 kick from |", "[from]"),
            ("1 kick from stage |", "[from]"),
            ("1 kick dynamic gain 3|", "[gain]"),
            ("1 kick dynamic phantom|", "[phantom]"),
            ("1 kick dynamic at |", "[place]"),
            ("1 kick dynamic |", ""),
        ] {
            assert_eq!(self::active(&format!("inputs {{\n  {row}\n}}\n")), wanted, "{row}");
        }
    }

    #[test]
    fn other_rows_and_statements_have_theirs() {
        let (label, active) = at("outputs {\n  mix 1 |").unwrap();
        assert!(label.starts_with("bank number [use] [of] [stereo] [priority]"), "{label}");
        assert!(label.contains(" to socket"), "{label}");
        assert_eq!(active, "to");
        assert_eq!(self::active("outputs {\n  mix 1 to |"), "socket");
        assert_eq!(self::active("outputs {\n  mix 1 to a 1 of |"), "[of]");
        assert_eq!(at("personal foh {\n 1 |").unwrap().1, "what");
        let (label, active) = at("record all inputs on |").unwrap();
        assert!(label.starts_with("record "), "{label}");
        assert_eq!(active, "desk");
        assert_eq!(self::active("box left is |"), "[is]");
        assert_eq!(self::active("box left is box-16x8 on foh.|"), "[on]");
        assert_eq!(self::active("change input kick from |"), "[from]");
        assert_eq!((at("# |"), at("|"), at("act a {\n |")), (None, None, None));
    }
}
