//! An input row on a preamp that does not say its microphone or DI.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::draft::preamps_of;
use crate::rules::{Facts, Seen};
use crate::wants::RowFact;
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "mic-unsaid",
    code: "C019",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let unsaid = seen.plugs.iter().chain(seen.given).filter_map(|(plug, source)| {
        let source = seen.scene.source(*source).filter(|source| source.mic.is_none())?;
        (!preamps_of(seen.rig, *plug).is_empty()).then_some(source.row)
    });
    let rows: BTreeSet<usize> = unsaid.collect();
    let told = |row: &RowFact| {
        let message = format!("`{}` does not say its microphone or DI, so nobody checks its 48 V", row.name);
        Diagnostic::warning(RULE.slug, row.span, message)
            .help("write it after the name, such as `dynamic` or `di-active`")
            .about(row.name.clone())
    };
    rows.into_iter().filter_map(|row| seen.scene.rows.get(row)).map(told).collect()
}
