//! One name that nobody declares is one cause, however many rows use it: it is told once, with the other
//! places.

use super::Diagnostic;
use std::collections::{BTreeMap, BTreeSet};

/// The rules under which a name that is not there is told.
const NAMES: &[&str] = &["unknown-name", "no-desk"];

/// Other places that a message shows.
const SHOWN: usize = 6;

/// Joins what is told of one name. The order of what is left is that of the first places.
pub fn names_once(found: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let mut groups: BTreeMap<(&'static str, String), Vec<Diagnostic>> = BTreeMap::new();
    let mut left = Vec::new();
    for told in found {
        if told.labels.is_empty() && NAMES.contains(&told.rule) {
            groups.entry((told.rule, what_is_missing(&told.message))).or_default().push(told);
        } else {
            left.push(told);
        }
    }
    left.extend(groups.into_values().filter_map(joined));
    left
}

/// Gear that is missing is missing whatever a row calls it: a desk, a device, a device or bank.
fn what_is_missing(message: &str) -> String {
    match message.strip_prefix("there is no ").and_then(|rest| rest.split_once(" called ")) {
        Some(("desk" | "device" | "device or bank", name)) => name.to_string(),
        _ => message.to_string(),
    }
}

/// The most helpful of them speaks, the others are places beside it.
fn joined(mut group: Vec<Diagnostic>) -> Option<Diagnostic> {
    group.sort_by_key(|told| (told.help.is_empty(), told.span));
    let mut group = group.into_iter();
    let mut first = group.next()?;
    let mut places = BTreeSet::from([first.span]);
    let mut others: Vec<Diagnostic> = group.collect();
    others.sort_by_key(|told| told.span);
    for other in others {
        if other.act != first.act {
            first.act = None;
        }
        if !places.insert(other.span) {
            continue;
        }
        if let (Some(fix), Some(same)) = (first.fixes.first_mut(), other.fixes.into_iter().next()) {
            fix.edits.extend(same.edits);
        }
        first.about.extend(other.about);
    }
    places.remove(&first.span);
    let more = places.len().saturating_sub(SHOWN);
    let last = places.len().min(SHOWN);
    for (index, span) in places.into_iter().take(SHOWN).enumerate() {
        let text = if more > 0 && index + 1 == last { format!("and here, and {more} more") } else { "and here".into() };
        first = first.label(span, text);
    }
    Some(first)
}
