//! A recording does not fit the space that its device has.

use crate::diagnostics::{Diagnostic, Rule, Severity, counted};
use crate::quantity::recorded_bytes;
use crate::rules::{Facts, Seen};
use crate::wants::Recording;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    slug: "recorder-full",
    code: "C068",
    severity: Severity::Error,
    prerequisites: &["unknown-name", "no-such-point"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let mut by_device: BTreeMap<u32, Vec<&Recording>> = BTreeMap::new();
    for recording in &seen.scene.recordings {
        by_device.entry(recording.device).or_default().push(recording);
    }
    by_device.iter().filter_map(|(device, recordings)| told(seen, *device, recordings)).collect()
}

fn told(seen: &Seen, device: u32, recordings: &[&Recording]) -> Option<Diagnostic> {
    let device = seen.rig.device(device)?;
    let space = device.space_bytes.as_ref()?;
    let rate = device.rate_hz.as_ref().map_or(seen.rig.rate_hz, |rate| rate.value);
    let needed: f64 = recordings.iter().map(|one| recorded_bytes(rate, one.tracks, one.seconds)).sum();
    if needed <= space.value {
        return None;
    }
    let tracks = recordings.iter().map(|one| one.tracks).sum();
    let longest = recordings.iter().max_by(|a, b| a.seconds.total_cmp(&b.seconds))?;
    let message = format!(
        "`{}` records {} for {} min at {} kHz: that takes {:.1} GB, and it has {} GB",
        device.name,
        counted(tracks, "track"),
        longest.seconds / 60.0,
        f64::from(rate) / 1000.0,
        needed / 1e9,
        space.value / 1e9,
    );
    let fits = space.value / recorded_bytes(rate, tracks, 60.0).max(1.0);
    let free = (needed / 1e9).ceil();
    Some(
        Diagnostic::error(RULE.slug, longest.said, message)
            .label(space.span, "its space")
            .help(format!("make room, `space {free} GB`, and some to spare; what it has is full after {fits:.0} min"))
            .about(device.name.clone()),
    )
}
