//! Phantom asked for on what it can damage or make thump.

use crate::diagnostics::Edit;
use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::{Facts, Seen};
use crate::syntax::ast::PhantomPolicy;
use crate::wants::Source;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    slug: "phantom-forbidden",
    code: "C002",
    severity: Severity::Error,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| {
        // A row of several sources is told once: plugs of one row need not be neighbours.
        let rows: BTreeMap<usize, &Source> = seen.scene.sources.iter().map(|source| (source.row, source)).collect();
        rows.into_values().filter_map(|source| told(seen, source)).collect()
    })
}

fn told(seen: &Seen, source: &Source) -> Option<Diagnostic> {
    let mic = source.mic.as_ref()?;
    let span = source.phantom.filter(|_| mic.kind.phantom == PhantomPolicy::Never)?;
    let row = seen.scene.rows.get(source.row)?;
    let message = format!("`{}` is a {}, which must not get phantom", row.name, mic.label);
    Some(
        Diagnostic::error(RULE.slug, span, message)
            .help("take `phantom` out; if the piece is made for 48 V, declare it with a kind that is")
            .fix("take `phantom` out", vec![Edit { span, text: String::new() }], false)
            .about(row.name.clone()),
    )
}
