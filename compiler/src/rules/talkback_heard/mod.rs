//! Talkback in a mix that an audience hears, that goes outside or is recorded.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::contents::{Carried, carried, leave_out};
use crate::rules::{Facts, Seen};
use crate::wants::{Output, Use};
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "talkback-heard",
    code: "C064",
    severity: Severity::Error,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let scene = seen.scene;
    let sources = scene.sources.iter().enumerate();
    let talkback: BTreeSet<usize> = sources.filter(|(_, source)| source.talkback).map(|(index, _)| index).collect();
    let mut found = Vec::new();
    if talkback.is_empty() {
        return found;
    }
    let kept: BTreeSet<(usize, Use)> =
        scene.kept.iter().flat_map(|kept| kept.uses.iter().map(|used_as| (kept.source, *used_as))).collect();
    let mut told_of = BTreeSet::new();
    for output in &scene.outputs {
        let Some(used_as) = output.used_as.filter(|used_as| used_as.is_public()) else { continue };
        let Carried::These(sources) = carried(seen, output) else { continue };
        // What a `keep` or `ears-only` forbids is told by those.
        let own = |source: &&usize| {
            !kept.contains(&(**source, used_as)) && !scene.source(**source).is_some_and(|source| source.ears_only)
        };
        for source in sources.intersection(&talkback).filter(own) {
            if told_of.insert((*source, output.row)) {
                found.extend(told(seen, *source, output, used_as));
            }
        }
    }
    found
}

fn told(seen: &Seen, index: usize, output: &Output, used_as: Use) -> Option<Diagnostic> {
    let source = seen.scene.source(index)?;
    let (row, declared) = (seen.scene.rows.get(output.row)?, seen.scene.rows.get(source.row)?);
    let mix = seen.scene.mixes.get(&output.from);
    let (from, to) = (seen.rig.point_text(output.from), seen.rig.point_text(output.to));
    let message = format!("`{}` is talkback, and `{from}` takes it to `{to}`, for {}", source.name, used_as.word());
    let place = mix.and_then(|mix| mix.said).or(row.place).unwrap_or(row.span);
    let told = Diagnostic::error(RULE.slug, place, message).label(declared.span, "talkback");
    Some(leave_out(seen, told, output, &[index]).about(source.name.clone()))
}
