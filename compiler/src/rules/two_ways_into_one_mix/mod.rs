//! One microphone on two channels of a desk by ways of unlike latency, both in one mix: a comb filter.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::Point;
use crate::route::Arrival;
use crate::rules::latency::total;
use crate::rules::say::way;
use crate::rules::{Facts, Seen};
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    slug: "two-ways-into-one-mix",
    code: "C067",
    severity: Severity::Warning,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

/// Above this nobody hears a notch.
const HIGHEST_HZ: f64 = 20_000.0;

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let mut channels: BTreeMap<(u32, usize), Vec<&Arrival>> = BTreeMap::new();
    for arrival in seen.arrivals.iter().filter(|arrival| seen.is_channel(arrival.end)) {
        if let Some(source) = seen.source_of(arrival.origin) {
            channels.entry((arrival.end.device, source)).or_default().push(arrival);
        }
    }
    channels.retain(|_, ways| ways.len() > 1);
    if channels.is_empty() {
        return Vec::new();
    }
    let mut told_of = BTreeSet::new();
    let mut found = Vec::new();
    for mix in seen.scene.mixes.values() {
        for source in mix.of.iter().flatten() {
            let key = (mix.point.device, *source);
            if let Some(ways) = channels.get(&key).filter(|_| told_of.insert(key)) {
                found.extend(told(seen, *source, mix.point, ways));
            }
        }
    }
    found
}

fn told(seen: &Seen, source: usize, mix: Point, ways: &[&Arrival]) -> Option<Diagnostic> {
    let times = ways.iter().filter_map(|way| Some((total(seen, &way.path).ok()?, *way)));
    let mut times: Vec<(f64, &Arrival)> = times.collect();
    times.sort_by(|a, b| a.0.total_cmp(&b.0));
    let ((first, early), (last, late)) = (times.first()?, times.last()?);
    let apart = last - first;
    // Of two equal signals, one late by t, the sum is silent first at 1 / (2 t).
    let notch = 1000.0 / (2.0 * apart);
    if !notch.is_finite() || notch > HIGHEST_HZ {
        return None;
    }
    let name = &seen.scene.source(source)?.name;
    let row =
        seen.scene.wants.iter().find(|want| want.end == late.end).and_then(|want| seen.scene.rows.get(want.row))?;
    let message = format!(
        "`{name}` is in `{}` twice, {apart:.2} ms apart, by channels {} and {}: the first notch is at {notch:.0} Hz",
        seen.rig.point_text(mix),
        early.end.number,
        late.end.number,
    );
    Some(
        Diagnostic::warning(RULE.slug, row.span, message)
            .help(format!("the early way: {}", way(seen.rig, &early.path)))
            .help(format!("the late way: {}", way(seen.rig, &late.path)))
            .help("take both channels by one way, delay the early one at the desk, or keep one of them muted")
            .about(name.clone()),
    )
}
