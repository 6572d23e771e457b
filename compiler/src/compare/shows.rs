//! Several shows that one change touches: what it does to all of them, then to each besides. It works nothing out.

use super::data::Comparison;
use rustc_hash::FxHashMap;

/// What is the same in all shows, and of each the rest; nothing where there are not several, or nothing is the same.
pub(super) fn apart(all: &[Comparison]) -> Option<(Comparison, Vec<Comparison>)> {
    let [first, others @ ..] = all else { return None };
    let shared = Comparison {
        risks: in_all(all, |one| &one.risks, |risk| &risk.thing),
        changes: in_all(all, |one| &one.changes, |change| &change.thing),
        // Steps have an order: they are the same as a whole, or not.
        work: if others.iter().all(|other| other.work == first.work) { first.work.clone() } else { Vec::new() },
        paper: in_all(all, |one| &one.paper, |paper| &paper.title),
        called: first.called.clone(),
        ..Comparison::default()
    };
    let nothing = shared.is_empty() && shared.paper.is_empty();
    if others.is_empty() || nothing {
        return None;
    }
    let rest = |one: &Comparison| Comparison {
        risks: without(&one.risks, &shared.risks, |risk| &risk.thing),
        changes: without(&one.changes, &shared.changes, |change| &change.thing),
        work: if shared.work.is_empty() { one.work.clone() } else { Vec::new() },
        paper: without(&one.paper, &shared.paper, |paper| &paper.title),
        ..one.clone()
    };
    Some((shared.clone(), all.iter().map(rest).collect()))
}

fn in_all<T: Clone + PartialEq>(all: &[Comparison], of: fn(&Comparison) -> &Vec<T>, name: fn(&T) -> &String) -> Vec<T> {
    let Some((first, others)) = all.split_first() else { return Vec::new() };
    let others: Vec<_> = others.iter().map(|other| by_name(of(other), name)).collect();
    let everywhere = |one: &&T| others.iter().all(|other| holds(other, one, name));
    of(first).iter().filter(everywhere).cloned().collect()
}

fn without<T: Clone + PartialEq>(all: &[T], those: &[T], name: fn(&T) -> &String) -> Vec<T> {
    let those = by_name(those, name);
    all.iter().filter(|one| !holds(&those, one, name)).cloned().collect()
}

type ByName<'t, T> = FxHashMap<&'t str, Vec<&'t T>>;

fn by_name<T>(all: &[T], name: fn(&T) -> &String) -> ByName<'_, T> {
    let mut found: ByName<T> = FxHashMap::default();
    all.iter().for_each(|one| found.entry(name(one)).or_default().push(one));
    found
}

fn holds<T: PartialEq>(among: &ByName<T>, one: &T, name: fn(&T) -> &String) -> bool {
    among.get(name(one).as_str()).is_some_and(|same| same.contains(&one))
}
