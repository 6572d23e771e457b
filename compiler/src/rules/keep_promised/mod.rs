//! A `keep` that cannot be proven, since nobody said what is in a mix on the way.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::contents::{Carried, carried, is_for_ears};
use crate::rules::say::names;
use crate::rules::{Facts, Seen};
use crate::wants::{Kept, Output};
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
    let ears: Vec<usize> =
        (0..).zip(&seen.scene.sources).filter(|(_, s)| s.ears_only).map(|(index, _)| index).collect();
    if seen.scene.kept.is_empty() && ears.is_empty() {
        return Vec::new();
    }
    let mut rows = BTreeSet::new();
    let mut found = Vec::new();
    for output in seen.scene.outputs.iter().filter(|output| matches!(carried(seen, output), Carried::Unsaid)) {
        let uses = |kept: &&Kept| output.used_as.is_some_and(|used_as| kept.uses.contains(&used_as));
        let mut sources: BTreeSet<usize> = seen.scene.kept.iter().filter(uses).map(|kept| kept.source).collect();
        if !is_for_ears(output.used_as) {
            sources.extend(&ears);
        }
        if !sources.is_empty() && rows.insert(output.row) {
            found.extend(told(seen, &sources, output));
        }
    }
    found
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
