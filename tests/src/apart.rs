//! Shows beside each other in one text, and edits of a text that nobody would plan.

use crate::dice::Dice;
use fantail::project::attrs;
use fantail::source::FileId;
use fantail::syntax::ast::StatementKind as S;
use fantail::syntax::{TokenKind, parse};
use std::collections::BTreeSet;

/// Both shows in one: the second's gear, sources and groups have other names, and its head is left out.
pub fn beside(one: &str, other: &str, number: usize) -> String {
    let parsed = parse(FileId(0), other);
    let mut names: BTreeSet<&str> = BTreeSet::new();
    let mut left_out = BTreeSet::new();
    for statement in &parsed.statements {
        match &statement.kind {
            S::Version(_) | S::Show { .. } | S::Rate(_) | S::Clock(_) => {
                left_out.insert((statement.span.start, statement.span.end));
            }
            S::Device(device) => drop(names.insert(&device.name.value)),
            S::Group { name, .. } => drop(names.insert(&name.value)),
            S::Inputs { rows, .. } => {
                names.extend(rows.iter().filter(|row| attrs::declares(row)).map(|row| row.name.value.as_str()));
            }
            _ => {}
        }
    }
    let mut text = one.to_string();
    if !text.is_empty() && !text.ends_with('\n') {
        text.push('\n');
    }
    for token in &parsed.tokens {
        let word = token.text(other);
        if left_out.iter().any(|(start, end)| *start <= token.start && token.end <= *end) || word == "\u{feff}" {
            continue;
        }
        text.push_str(word);
        if token.kind == TokenKind::Word && names.contains(word) {
            text.push_str(&format!("-of{number}"));
        }
    }
    text
}

/// The text after some change of somebody at a keyboard, or of a cat on it.
pub fn edited(text: &str, from: &str, dice: &mut Dice) -> String {
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let at = dice.below(lines.len().max(1) as u32) as usize;
    let line = lines.get(at).copied().unwrap_or("");
    let others: Vec<&str> = from.split_inclusive('\n').collect();
    let new = match dice.below(12) {
        0 => String::new(),
        1 => format!("{line}{line}"),
        2 => format!("{}{line}", dice.pick(&others)),
        3..=5 => one_letter(line, dice),
        6..=9 => one_word(line, from, dice),
        10 => line.trim_end_matches('\n').to_string(),
        _ => format!(
            "{}\n",
            dice.pick(&[
                "inputs foh {",
                "}",
                "# word",
                "group all-of-it kick",
                "box b",
                "clock foh",
                "rate 96 kHz",
                "kind"
            ])
        ),
    };
    lines.iter().enumerate().map(|(number, line)| if number == at { new.as_str() } else { line }).collect()
}

fn place(line: &str, dice: &mut Dice) -> usize {
    let mut at = dice.below(line.len() as u32 + 1) as usize;
    while !line.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn one_letter(line: &str, dice: &mut Dice) -> String {
    let at = place(line, dice);
    let (before, after) = line.split_at(at);
    match dice.below(3) {
        0 => format!("{before}{}", after.chars().skip(1).collect::<String>()),
        _ => {
            let letter = dice.pick(&["a", "1", "2", "9", ",", "{", "}", "\"", "#", ";", ".", "-", " ", "\n", "(", "é"]);
            format!("{before}{letter}{after}")
        }
    }
}

/// Another word of the text in the place of one, or beside it.
fn one_word(line: &str, from: &str, dice: &mut Dice) -> String {
    let words: Vec<&str> = line.split(' ').collect();
    let others: Vec<&str> = from.split_whitespace().collect();
    if others.is_empty() {
        return String::new();
    }
    let (at, new) = (dice.below(words.len() as u32) as usize, dice.pick(&others));
    let keep = dice.one_in(3);
    let write = |(number, word): (usize, &&str)| match (number == at, keep) {
        (true, true) => format!("{new} {word}"),
        (true, false) => new.to_string(),
        _ => word.to_string(),
    };
    let mut line: String = words.iter().enumerate().map(write).collect::<Vec<_>>().join(" ");
    if !line.ends_with('\n') {
        line.push('\n');
    }
    line
}
