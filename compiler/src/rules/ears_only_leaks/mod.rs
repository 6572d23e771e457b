//! What only ears may hear is in a mix that goes somewhere else.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::channels::names_of;
use crate::rules::contents::{Carried, carried, is_for_ears, leave_out, path};
use crate::rules::say::{names, way};
use crate::rules::{Facts, Seen};
use crate::wants::Output;
use std::collections::{BTreeMap, BTreeSet};

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
        // The parts of one row leak together.
        let mut rows: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for source in sources.intersection(&ears) {
            let row = seen.scene.source(*source).map(|fact| fact.row);
            row.into_iter().for_each(|row| rows.entry(row).or_default().push(*source));
        }
        for (row, sources) in rows {
            if told_of.insert((row, output.row)) {
                found.extend(told(seen, &sources, output));
            }
        }
    }
    found
}

fn told(seen: &Seen, sources: &[usize], output: &Output) -> Option<Diagnostic> {
    let all = names_of(seen, sources.iter().copied());
    let row = seen.scene.rows.get(output.row)?;
    let (mix, to) = (seen.rig.point_text(output.from), seen.rig.point_text(output.to));
    let place = match output.used_as {
        Some(used_as) => format!("`{to}`, for {}", used_as.word()),
        None => format!("`{to}`, which is not said to be for ears"),
    };
    let is = if all.len() == 1 { "is" } else { "are" };
    let message = format!("{} {is} for ears only, and `{mix}` takes it to {place}", names(&all));
    let mix = seen.scene.mixes.get(&output.from);
    let told = Diagnostic::error(RULE.slug, mix.and_then(|mix| mix.said).or(row.place).unwrap_or(row.span), message)
        .help(format!("its way: {}", way(seen.rig, &path(seen, *sources.first()?, output))));
    let told = leave_out(seen, told, output, sources).about(all.first()?.clone());
    Some(if output.used_as.is_none() { told.help("if it is an in-ear mix, say `in-ears`") } else { told })
}
