//! A source is in a mix that goes where a `keep` says it must not.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::contents::{Carried, carried, path};
use crate::rules::say::way;
use crate::rules::{Facts, Seen};
use crate::wants::{Kept, Output, Use};
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "kept-source-leaks",
    code: "C006",
    severity: Severity::Error,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    if seen.scene.kept.is_empty() {
        return found;
    }
    let mut told_of: BTreeSet<(usize, usize)> = BTreeSet::new();
    for output in &seen.scene.outputs {
        let Some(used_as) = output.used_as else { continue };
        let Carried::These(sources) = carried(seen, output) else { continue };
        let kept = seen.scene.kept.iter().filter(|kept| kept.uses.contains(&used_as) && sources.contains(&kept.source));
        for kept in kept {
            if told_of.insert((kept.source, output.row)) {
                found.extend(told(seen, kept, output, used_as));
            }
        }
    }
    found
}

fn told(seen: &Seen, kept: &Kept, output: &Output, used_as: Use) -> Option<Diagnostic> {
    let name = &seen.scene.source(kept.source)?.name;
    let row = seen.scene.rows.get(output.row)?;
    let (mix, to) = (seen.rig.point_text(output.from), seen.rig.point_text(output.to));
    let message = format!("`{name}` is kept out of {0}, and `{mix}` takes it to `{to}`, for {0}", used_as.word());
    let said = seen.scene.mixes.get(&output.from).and_then(|mix| mix.said);
    Some(
        Diagnostic::error(RULE.slug, said.or(row.place).unwrap_or(row.span), message)
            .label(kept.span, "kept out here")
            .help(format!("its way: {}", way(seen.rig, &path(seen, kept.source, output))))
            .help(format!("take `{name}` out of that mix: `of all inputs but {name}`"))
            .about(name.clone()),
    )
}
