//! What a part misses and another may have: the nearest name of the whole show, and words of rows that could
//! not be read. Both then are one part.

use super::Parts;
use super::chunk::{Key, Sort, Stands, key};
use crate::diagnostics::{Diagnostic, Missed, Sort as Misses, nearest};

/// Pairs of chunks that are to be one part. `None` where only the whole can tell.
pub(super) fn wanted(parts: &Parts) -> Option<Vec<(usize, usize)>> {
    let broken: Vec<(usize, &[Key])> = parts
        .chunks
        .iter()
        .enumerate()
        .filter(|(_, chunk)| !chunk.broken.is_empty())
        .map(|(at, chunk)| (at, chunk.broken.as_slice()))
        .collect();
    let mut wanted = Vec::new();
    for (number, part) in parts.all().enumerate() {
        if part.found.iter().any(|one| looks_at_all(one, &broken)) {
            return None;
        }
        let members = parts.members.get(number)?;
        let once = |at: &usize| parts.chunks.get(*at).is_some_and(|chunk| chunk.stands == Stands::Once);
        let own = members.iter().copied().find(once);
        for missed in &part.missed {
            for other in beside(parts, missed, &broken)? {
                if !members.contains(&other) {
                    wanted.push((own?, other));
                }
            }
        }
    }
    Some(wanted)
}

/// What lists every desk, and what any word `kind` keeps quiet.
fn looks_at_all(one: &Diagnostic, broken: &[(usize, &[Key])]) -> bool {
    one.rule == "which-desk"
        || (one.rule == "mic-without-kind" && broken.iter().any(|(_, words)| words.contains(&key("kind"))))
}

/// The chunks that have to do with a name that is missed.
fn beside(parts: &Parts, missed: &Missed, broken: &[(usize, &[Key])]) -> Option<Vec<usize>> {
    let name = missed.name.as_deref()?;
    let words: Vec<Key> = name.split(['.', ' ']).map(key).collect();
    let mut beside: Vec<usize> = broken
        .iter()
        .filter(|(_, broken)| words.iter().any(|word| broken.binary_search(word).is_ok()))
        .map(|(at, _)| *at)
        .collect();
    let sorts: &[Sort] = match missed.sort {
        Misses::Gear => &[Sort::Desk, Sort::Gear],
        Misses::Source => &[Sort::Source, Sort::Group],
        _ => return Some(beside),
    };
    let declared = || {
        let all =
            parts.chunks.iter().enumerate().flat_map(|(at, chunk)| chunk.declares.iter().map(move |one| (at, one)));
        all.filter(|(_, one)| sorts.contains(&one.sort)).map(|(at, one)| (at, one.name.as_str()))
    };
    let of_sources = parts.all().filter(|_| missed.sort == Misses::Source).flat_map(|part| &part.parts_of_sources);
    let near = nearest(name, declared().map(|(_, name)| name).chain(of_sources.map(String::as_str)));
    let near = near.map(|near| near.split('.').next().unwrap_or(near));
    beside.extend(near.and_then(|near| declared().find(|(_, name)| *name == near)).map(|(at, _)| at));
    Some(beside)
}
