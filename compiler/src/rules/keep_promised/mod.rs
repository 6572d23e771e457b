//! A `keep` that cannot be proven, since nobody said what is in a mix on the way.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::draft::promised;
use crate::rules::say::names;
use crate::rules::{Facts, Seen};
use crate::wants::Output;
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "keep-promised",
    code: "C007",
    severity: Severity::Note,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let mut rows = BTreeSet::new();
    let promised = promised(seen.scene).into_iter().filter(|(output, _)| rows.insert(output.row));
    promised.filter_map(|(output, sources)| told(seen, &sources, output)).collect()
}

fn told(seen: &Seen, sources: &BTreeSet<usize>, output: &Output) -> Option<Diagnostic> {
    let row = seen.scene.rows.get(output.row)?;
    let kept: Vec<&str> = sources.iter().filter_map(|source| Some(seen.scene.source(*source)?.name.as_str())).collect();
    let mix = seen.rig.point_text(output.from);
    let (kept, stay) = (names(&kept), if kept.len() == 1 { "stays" } else { "stay" });
    let message = format!("no row says what `{mix}` carries, so it is only promised that {kept} {stay} out");
    Some(
        Diagnostic::note(RULE.slug, row.place.unwrap_or(row.span), message)
            .help("say what is in it, `of …`, and the plan proves it")
            .about(mix),
    )
}
