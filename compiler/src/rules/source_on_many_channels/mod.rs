//! One source on three channels of a desk or more. Two are a double patch, which a second row declares.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::channels::of_sources;
use crate::rules::say::numbers;
use crate::rules::{Facts, Seen};
use crate::wants::Want;
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    slug: "source-on-many-channels",
    code: "C060",
    severity: Severity::Warning,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

/// So many channels of one desk are a double patch.
const DOUBLE: usize = 2;

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let mut taken: BTreeMap<(usize, u32), Vec<&Want>> = BTreeMap::new();
    for (want, source) in of_sources(seen) {
        taken.entry((source, want.end.device)).or_default().push(want);
    }
    // The parts of one row go together, and one of them tells it.
    let mut told_of = BTreeSet::new();
    let many = taken.iter().filter(|(_, wants)| wants.len() > DOUBLE);
    let first = many.filter(|((source, desk), _)| {
        seen.scene.source(*source).is_some_and(|source| told_of.insert((source.row, *desk)))
    });
    first.filter_map(|((source, desk), wants)| told(seen, *source, *desk, wants)).collect()
}

fn told(seen: &Seen, source: usize, desk: u32, wants: &[&Want]) -> Option<Diagnostic> {
    let name = &seen.scene.source(source)?.name;
    let mut channels: Vec<u32> = wants.iter().map(|want| want.end.number).collect();
    channels.sort_unstable();
    let place = |want: &Want| seen.scene.rows.get(want.row).map(|row| row.numbers.unwrap_or(row.span));
    let mut places: Vec<_> = wants.iter().filter_map(|want| place(want)).collect();
    places.sort_unstable();
    places.dedup();
    let message =
        format!("`{name}` is on {} channels of `{}`: {}", wants.len(), seen.rig.device_name(desk), numbers(&channels));
    let help = "leave one row, or two for a double patch, and list on the other channels what belongs there";
    let mut told = Diagnostic::warning(RULE.slug, *places.last()?, message).help(help).about(name.clone());
    for place in places.iter().rev().skip(1).rev() {
        told = told.label(*place, "here too");
    }
    Some(told)
}
