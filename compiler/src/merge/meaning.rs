//! What a file says, one attribute a line under each thing's name, sorted by names: layout, comments and order
//! make no difference to it. What does not read stands as it is, so that nothing is left out.

use super::names::{MEMBERS, NAME};
use super::units::{Block, CLOSES, COMMENT, Form, LINE_END, OF_ROW, Part, Unit, Words, units};
use crate::syntax::tidy::phrase;

/// For who compares two versions of a file line by line.
pub fn meaning(text: &str) -> String {
    let mut said = Vec::new();
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    level(&units(text), "", &mut said);
    said.sort_by_cached_key(|thing| (by_number(&thing.name), thing.says.clone()));
    let mut out = String::new();
    for thing in said {
        out.push_str(&thing.name);
        out.push('\n');
        out.extend(thing.says.iter().flat_map(|line| ["  ", line, "\n"]));
    }
    out
}

struct Said {
    name: String,
    says: Vec<String>,
}

fn level(units: &[Unit<'_>], within: &str, out: &mut Vec<Said>) {
    let mut unread = Vec::new();
    for unit in units {
        let name =
            unit.names.first().map(|name| if within.is_empty() { name.clone() } else { format!("{within}: {name}") });
        match (&unit.form, name) {
            (Form::Row(words), Some(name)) => rows(words, &name, out),
            (Form::Block(Block { head, inner, .. }), Some(name)) => {
                let says = attributes(&head.parts, &name);
                if !says.is_empty() || inner.is_empty() {
                    out.push(Said { name: name.clone(), says });
                }
                level(inner, &name, out);
            }
            (Form::Line { unread: false, .. }, _) => {}
            _ => unread.push(unit.text.trim().to_string()),
        }
    }
    if !unread.is_empty() {
        let within = if within.is_empty() { String::new() } else { format!("{within}: ") };
        out.push(Said { name: format!("{within}does not read"), says: unread });
    }
}

/// The row, or all that stand on its line.
fn rows(words: &Words<'_>, name: &str, out: &mut Vec<Said>) {
    let row_of = |part: &Part<'_>| part.key.split_once(OF_ROW).map(|(row, _)| row.to_string());
    let mut head = true;
    for parts in words.parts.chunk_by(|one, other| row_of(one) == row_of(other)) {
        let row = parts.first().and_then(row_of);
        let name = row.as_ref().map_or_else(|| name.to_string(), |row| format!("{name}: {row}"));
        let says = attributes(parts, &name);
        // A block that has rows is said by them.
        if row.is_some() || !says.is_empty() || (head && !words.parts.iter().any(|part| row_of(part).is_some())) {
            out.push(Said { name, says });
        }
        head = false;
    }
}

/// A line each, by the word that it is known by.
fn attributes(parts: &[Part<'_>], name: &str) -> Vec<String> {
    let parts = parts.iter().filter(|part| ![COMMENT, LINE_END, CLOSES].contains(&part.key.as_str()));
    let key = |part: &Part<'_>| {
        let key = part.key.split_once(OF_ROW).map_or(part.key.as_str(), |(_, key)| key);
        key.split('\0').next().unwrap_or_default().to_string()
    };
    let mut lines: Vec<String> = parts.flat_map(|part| each(&key(part), &part.says(), name)).collect();
    lines.sort();
    lines
}

/// A list of members a line each.
fn each(key: &str, says: &str, name: &str) -> Vec<String> {
    let members = if key == MEMBERS { says.split(',').collect() } else { vec![says] };
    members.into_iter().filter_map(|says| attribute(key, says, name)).collect()
}

fn attribute(key: &str, says: &str, name: &str) -> Option<String> {
    let says = phrase(says);
    let says = says.trim_end_matches(['{', ';']).trim();
    let rest = says.strip_prefix(key).map_or(says, str::trim_start);
    let called = name == says || name.ends_with(&format!(" {says}"));
    match (key, rest) {
        ("" | NAME, _) if called => None,
        ("phantom", _) => Some(format!("48 V      {}", if says.starts_with("no ") { "no" } else { "yes" })),
        ("", _) => Some(says.to_string()),
        (_, "") => Some(format!("{key:9} yes")),
        _ => Some(format!("{key:9} {rest}")),
    }
}

/// The name, so that 2 stands before 10.
fn by_number(name: &str) -> Vec<(u64, String)> {
    let digits = |one: char, other: char| one.is_ascii_digit() == other.is_ascii_digit();
    let chars: Vec<char> = name.chars().collect();
    let runs = chars.chunk_by(|one, other| digits(*one, *other)).map(|run| run.iter().collect::<String>());
    runs.map(|run| (run.parse().unwrap_or(0), run)).collect()
}
