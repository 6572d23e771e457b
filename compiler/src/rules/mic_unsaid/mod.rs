//! An input row that does not say its microphone or DI.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::{Facts, Seen};
use crate::wants::{RowFact, Source, Spot};
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "mic-unsaid",
    code: "C019",
    severity: Severity::Note,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let unsaid = |source: &&Source| source.mic.is_none() && !matches!(source.spot, Spot::Origin(_) | Spot::Nowhere);
    let rows: BTreeSet<usize> = seen.scene.sources.iter().filter(unsaid).map(|source| source.row).collect();
    let told = |row: &RowFact| {
        let message = format!("`{}` does not say its microphone or DI, so its phantom is not checked", row.name);
        Diagnostic::note(RULE.slug, row.span, message)
            .help("write it after the name, such as `dynamic` or `di-active`")
            .about(row.name.clone())
    };
    rows.into_iter().filter_map(|row| seen.scene.rows.get(row)).map(told).collect()
}
