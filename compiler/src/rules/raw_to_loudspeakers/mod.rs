//! A channel or a socket goes straight to loudspeakers or ears, where a mix belongs.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::route::Origin;
use crate::rules::channels::first_free_mix;
use crate::rules::contents::is_heard;
use crate::rules::{Facts, Seen};
use crate::wants::{Output, Use};
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "raw-to-loudspeakers",
    code: "C061",
    severity: Severity::Warning,
    prerequisites: &["unknown-name", "ears-only-leaks", "kept-source-leaks", "talkback-heard", "data-in-a-mix"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let mut told_of = BTreeSet::new();
    let heard = seen.scene.outputs.iter().filter_map(|output| Some((output, output.used_as.filter(|u| is_heard(*u))?)));
    heard.filter_map(|(output, used_as)| told(seen, output, used_as).filter(|_| told_of.insert(output.row))).collect()
}

fn told(seen: &Seen, output: &Output, used_as: Use) -> Option<Diagnostic> {
    let arrival = seen.arrival(output.to)?;
    let straight = match arrival.origin {
        Origin::Source(_) => true,
        // What another desk's mix brings is a mix.
        Origin::Point(point) => seen.is_channel(output.from) && !seen.scene.mixes.contains_key(&point),
    };
    let source = seen.scene.source(seen.source_of(arrival.origin).filter(|_| straight)?)?;
    let row = seen.scene.rows.get(output.row)?;
    let word = used_as.word();
    let (from, to) = (seen.rig.point_text(output.from), seen.rig.point_text(output.to));
    let message =
        format!("`{from}` takes `{}` straight to `{to}`, for {word}: no mix and no fader stands between", source.name);
    let mix = first_free_mix(seen, output.from.device).map_or_else(|| "mix N".to_string(), |mix| format!("mix {mix}"));
    Some(
        Diagnostic::warning(RULE.slug, row.span, message)
            .help(format!("send a mix in its place: `{mix} to {to} {word} of {}`", source.name))
            .about(row.name.clone()),
    )
}
