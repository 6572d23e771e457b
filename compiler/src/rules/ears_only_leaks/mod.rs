//! What only ears may hear is in a mix that goes somewhere else.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::contents::{Carried, carried, is_for_ears, path};
use crate::rules::say::way;
use crate::rules::{Facts, Seen};
use crate::wants::Output;
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "ears-only-leaks",
    code: "C005",
    severity: Severity::Error,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let sources = seen.scene.sources.iter().enumerate();
    let ears: BTreeSet<usize> = sources.filter(|(_, source)| source.ears_only).map(|(index, _)| index).collect();
    if ears.is_empty() {
        return Vec::new();
    }
    let mut found = Vec::new();
    let mut told_of: BTreeSet<(usize, usize)> = BTreeSet::new();
    for output in seen.scene.outputs.iter().filter(|output| !is_for_ears(output.used_as)) {
        let Carried::These(sources) = carried(seen, output) else { continue };
        for source in sources.intersection(&ears) {
            if told_of.insert((*source, output.row)) {
                found.extend(told(seen, *source, output));
            }
        }
    }
    found
}

fn told(seen: &Seen, source: usize, output: &Output) -> Option<Diagnostic> {
    let name = &seen.scene.source(source)?.name;
    let row = seen.scene.rows.get(output.row)?;
    let (mix, to) = (seen.rig.point_text(output.from), seen.rig.point_text(output.to));
    let (place, help) = match output.used_as {
        Some(used_as) => (format!("`{to}`, for {}", used_as.word()), String::new()),
        None => (format!("`{to}`, which is not said to be for ears"), "; if it is an in-ear mix, say `in-ears`".into()),
    };
    let message = format!("`{name}` is for ears only, and `{mix}` takes it to {place}");
    let said = seen.scene.mixes.get(&output.from).and_then(|mix| mix.said);
    Some(
        Diagnostic::error(RULE.slug, said.or(row.place).unwrap_or(row.span), message)
            .help(format!("its way: {}", way(seen.rig, &path(seen, source, output))))
            .help(format!("take `{name}` out of that mix{help}"))
            .about(name.clone()),
    )
}
