//! One name that nobody declares is one cause, however many rows use it and whatever phase meets it: it is told
//! once, with the other places.

use super::{Diagnostic, Missed};
use std::collections::{BTreeMap, BTreeSet};

/// Other places that a message shows.
const SHOWN: usize = 6;

/// Joins what is told of one name; of each name the most helpful message stays. Returns where those that are
/// left stood before.
pub fn names_once(found: &mut Vec<Diagnostic>) -> Vec<usize> {
    let mut groups: BTreeMap<Missed, Vec<usize>> = BTreeMap::new();
    for (index, told) in found.iter().enumerate() {
        if let Some(missed) = &told.missed {
            groups.entry(missed.clone()).or_default().push(index);
        }
    }
    let mut gone = BTreeSet::new();
    for mut group in groups.into_values().filter(|group| group.len() > 1) {
        group.sort_by_key(|index| found.get(*index).map(|told| (told.help.is_empty(), told.span)));
        let told = group.iter().filter_map(|index| found.get(*index).cloned()).collect();
        if let (Some(first), Some(one)) = (group.first().and_then(|index| found.get_mut(*index)), joined(told)) {
            *first = one;
        }
        gone.extend(group.into_iter().skip(1));
    }
    let kept: Vec<usize> = (0..found.len()).filter(|index| !gone.contains(index)).collect();
    *found = kept.iter().filter_map(|index| found.get(*index).cloned()).collect();
    kept
}

/// The first speaks, the others are places beside it.
fn joined(group: Vec<Diagnostic>) -> Option<Diagnostic> {
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

#[cfg(test)]
mod tests {
    use super::super::Sort;
    use super::*;
    use crate::source::{FileId, Span};

    fn unknown(at: u32, sort: Sort, message: &str) -> Diagnostic {
        Diagnostic::unknown(sort, "kick", Span { file: FileId(0), start: at, end: at + 4 }, message)
    }

    #[test]
    fn one_name_is_one_message_however_it_is_worded() {
        let plain = unknown(30, Sort::Gear, "there is no device");
        let helped = unknown(20, Sort::Source, "no row says what it is").help("declare it");
        let mut found = vec![unknown(10, Sort::Source, "no input"), plain.clone(), helped.clone()];
        assert_eq!(names_once(&mut found), [1, 2]);
        assert_eq!(found[0], plain);
        assert_eq!((found[1].span, found[1].labels.len(), found[1].labels[0].span.start), (helped.span, 1, 10));
    }
}
