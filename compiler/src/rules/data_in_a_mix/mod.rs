//! Data, such as time code, in a mix, in a personal feed, or straight on loudspeakers or ears.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::channels::{names_of, of_sources};
use crate::rules::contents::{Carried, carried, is_heard, take_out};
use crate::rules::say::names;
use crate::rules::{Facts, Seen};
use crate::source::Span;
use crate::wants::{Mix, Output, Target, Want, WantKind};
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "data-in-a-mix",
    code: "C063",
    severity: Severity::Error,
    prerequisites: &["unknown-name", "mix-without-its-source"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let is_data = |source: usize| seen.scene.source(source).is_some_and(|source| source.data);
    let mut told_of = BTreeSet::new();
    let mut found = Vec::new();
    for mix in seen.scene.mixes.values() {
        let (Some(of), Some(said)) = (&mix.of, mix.said) else { continue };
        let data: Vec<usize> = of.iter().copied().filter(|source| is_data(*source)).collect();
        if !data.is_empty() && told_of.insert(said) {
            found.extend(told(seen, mix, said, &data));
        }
    }
    let mut rows = BTreeSet::new();
    for want in seen.scene.wants.iter().filter(|want| want.kind == WantKind::Personal) {
        let source = of_feed(seen, want.what).filter(|source| is_data(*source));
        found.extend(source.filter(|source| rows.insert((want.row, *source))).and_then(|s| fed(seen, want, s)));
    }
    for output in seen.scene.outputs.iter().filter(|output| output.used_as.is_some_and(is_heard)) {
        let is_mix = seen.scene.mixes.get(&output.from).is_some_and(|mix| mix.of.is_some());
        let Carried::These(sources) = carried(seen, output) else { continue };
        let data = sources.into_iter().find(|source| !is_mix && is_data(*source));
        found.extend(data.filter(|source| rows.insert((output.row, *source))).and_then(|s| straight(seen, output, s)));
    }
    found
}

/// The source that a feed carries by itself: by name, or as the channel that it is on.
fn of_feed(seen: &Seen, what: Target) -> Option<usize> {
    match what {
        Target::Source(source) => Some(source),
        Target::Point(point) => {
            let channel = of_sources(seen).find(|(want, _)| want.end == point).map(|(_, source)| source);
            channel.or_else(|| seen.given.get(&point).copied())
        }
    }
}

fn straight(seen: &Seen, output: &Output, source: usize) -> Option<Diagnostic> {
    let name = &seen.scene.source(source)?.name;
    let row = seen.scene.rows.get(output.row)?;
    let (from, to) = (seen.rig.point_text(output.from), seen.rig.point_text(output.to));
    let word = output.used_as?.word();
    let message = format!("`{from}` takes `{name}` to `{to}`, for {word}, and that is data");
    let help = "send it a mix; a line for data is for `comms`, `effects` or `record`";
    Some(Diagnostic::error(RULE.slug, row.place.unwrap_or(row.span), message).help(help).about(name.clone()))
}

fn told(seen: &Seen, mix: &Mix, said: Span, data: &[usize]) -> Option<Diagnostic> {
    let all = names_of(seen, data.iter().copied());
    let row = seen.scene.rows.get(seen.scene.source(*data.first()?)?.row)?;
    let is = if all.len() == 1 { "is" } else { "are" };
    let message = format!("`{}` carries {}, which {is} data", seen.rig.point_text(mix.point), names(&all));
    let told = Diagnostic::error(RULE.slug, said, message).label(row.span, "data: in no mix");
    Some(take_out(told, Some(mix), &all).about(all.first()?.clone()))
}

fn fed(seen: &Seen, want: &Want, source: usize) -> Option<Diagnostic> {
    let name = &seen.scene.source(source)?.name;
    let row = seen.scene.rows.get(want.row)?;
    let message = format!("`{}` carries `{name}`, which is data", seen.rig.point_text(want.end));
    let help = format!("give the feed another source; `{name}` may be on a track and in no ear");
    Some(Diagnostic::error(RULE.slug, row.place.unwrap_or(row.span), message).help(help).about(name.clone()))
}
