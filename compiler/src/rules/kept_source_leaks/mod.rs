//! A source is in a mix that goes where a `keep` says it must not.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::channels::names_of;
use crate::rules::contents::{Carried, carried, is_for_ears, is_for_ears_only, leave_out, path};
use crate::rules::say::{names, way};
use crate::rules::{Facts, Seen};
use crate::wants::{Kept, Output, Use};
use std::collections::{BTreeMap, BTreeSet};

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
        // What is for ears only is told by its own rule, wherever else it goes.
        let told_already = |kept: &Kept| is_for_ears_only(seen, kept.source) && !is_for_ears(output.used_as);
        let kept = seen.scene.kept.iter().filter(|kept| kept.uses.contains(&used_as) && sources.contains(&kept.source));
        let kept = kept.filter(|kept| !told_already(kept));
        // The parts of one row leak together.
        let mut rows: BTreeMap<usize, (&Kept, Vec<usize>)> = BTreeMap::new();
        for kept in kept {
            let Some(source) = seen.scene.source(kept.source) else { continue };
            rows.entry(source.row).or_insert_with(|| (kept, Vec::new())).1.push(kept.source);
        }
        for (row, (kept, sources)) in rows {
            if told_of.insert((row, output.row)) {
                found.extend(told(seen, kept, &sources, output, used_as));
            }
        }
    }
    found
}

fn told(seen: &Seen, kept: &Kept, sources: &[usize], output: &Output, used_as: Use) -> Option<Diagnostic> {
    let all = names_of(seen, sources.iter().copied());
    let row = seen.scene.rows.get(output.row)?;
    let (mix, to) = (seen.rig.point_text(output.from), seen.rig.point_text(output.to));
    let is = if all.len() == 1 { "is" } else { "are" };
    let (kept_out, word) = (names(&all), used_as.word());
    let message = format!("{kept_out} {is} kept out of {word}, and `{mix}` takes it to `{to}`, for {word}");
    let mix = seen.scene.mixes.get(&output.from);
    let told = Diagnostic::error(RULE.slug, mix.and_then(|mix| mix.said).or(row.place).unwrap_or(row.span), message)
        .label(kept.span, "kept out here")
        .help(format!("its way: {}", way(seen.rig, &path(seen, kept.source, output))));
    Some(leave_out(seen, told, output, sources).about(all.first()?.clone()))
}
