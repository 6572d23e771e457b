//! A row says that a mix carries what its desk does not hear. Desks that are linked are not one desk.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::channels::{by_desk, first_free, names_of, of_sources};
use crate::rules::say::names;
use crate::rules::{Facts, Seen};
use crate::source::Span;
use crate::wants::{Mix, Spot};
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    slug: "mix-without-its-source",
    code: "C062",
    severity: Severity::Error,
    prerequisites: &["unknown-name", "no-such-point", "channel-used-twice", "too-few-points"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let mut heard = by_desk(seen);
    by_mixes(seen, &mut heard);
    let nothing = BTreeSet::new();
    let mut told_of = BTreeSet::new();
    let mut found = Vec::new();
    for mix in seen.scene.mixes.values() {
        let (Some(of), Some(said)) = (&mix.of, mix.said) else { continue };
        let heard = heard.get(&mix.point.device).unwrap_or(&nothing);
        let plugged = |source: &usize| seen.scene.source(*source).is_some_and(|source| source.spot != Spot::Nowhere);
        let missing: Vec<usize> =
            of.iter().copied().filter(|source| !heard.contains(source) && plugged(source)).collect();
        if !missing.is_empty() && told_of.insert(said) {
            found.extend(told(seen, mix, said, &missing));
        }
    }
    found
}

/// What arrives as part of another desk's mix is heard too.
fn by_mixes(seen: &Seen, heard: &mut BTreeMap<u32, BTreeSet<usize>>) {
    for (want, source) in of_sources(seen) {
        let Some(Spot::Origin(point)) = seen.scene.source(source).map(|source| &source.spot) else { continue };
        let inside = seen.scene.mixes.get(point).and_then(|mix| mix.of.as_ref());
        heard.entry(want.end.device).or_default().extend(inside.into_iter().flatten());
    }
}

fn told(seen: &Seen, mix: &Mix, said: Span, missing: &[usize]) -> Option<Diagnostic> {
    let all = names_of(seen, missing.iter().copied());
    let first = seen.scene.source(*missing.first()?)?;
    let (mix_text, desk) = (seen.rig.point_text(mix.point), seen.rig.device_name(mix.point.device));
    let (is, verb) = if all.len() == 1 { ("is", "it") } else { ("are", "them") };
    let message = format!("`{mix_text}` is said to carry {}, which {is} on no channel of `{desk}`", names(&all));
    let row = seen.scene.rows.get(first.row)?;
    let help = match first_free(seen, mix.point.device) {
        Some(channel) => {
            format!("list {verb} there: `{channel} {}` in `inputs {desk}`, or take {verb} out of the mix", row.name)
        }
        None => format!("take {verb} out of the mix: every channel of `{desk}` is taken"),
    };
    Some(
        Diagnostic::error(RULE.slug, said, message)
            .label(row.span, "declared here")
            .help(help)
            .about(first.name.clone()),
    )
}
