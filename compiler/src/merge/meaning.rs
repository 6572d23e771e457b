//! What a file says, one attribute a line under each thing's name, sorted by names: layout, comments and order
//! make no difference to it. What does not read stands as it is, so that nothing is left out.

use super::names::{MEMBERS, NAME};
use super::units::{COMMENT, Form, LINE_END, Unit, Words, units};
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
            (Form::Row(words), Some(name)) => out.push(Said { says: attributes(words, &name), name }),
            (Form::Block { head, inner, .. }, Some(name)) => {
                let says = attributes(head, &name);
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

/// A line each, by the word that it is known by.
fn attributes(words: &Words<'_>, name: &str) -> Vec<String> {
    let parts = words.parts.iter().filter(|part| part.key != COMMENT && part.key != LINE_END);
    let says = parts.map(|part| (part.key.split('\0').next().unwrap_or_default(), part.says()));
    let mut lines: Vec<String> = says.flat_map(|(key, says)| each(key, &says, name)).collect();
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
    let says = says.trim_end_matches('{').trim();
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
