//! A recording does not fit the space that its device has.

use crate::diagnostics::{Diagnostic, Rule, Severity, counted};
use crate::quantity::recorded_bytes;
use crate::rig::Rig;
use crate::rules::Facts;
use crate::wants::{Recording, recordings};

pub const RULE: Rule = Rule {
    slug: "recorder-full",
    code: "C068",
    severity: Severity::Error,
    prerequisites: &["unknown-name", "no-such-point"],
    page: include_str!("rule.md"),
};

/// Acts follow one another on one disk.
pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    recordings(facts.scenes).into_values().filter_map(|(scene, said)| told(&scene.rig, &said)).collect()
}

fn told(rig: &Rig, recordings: &[Recording]) -> Option<Diagnostic> {
    let device = rig.device(recordings.first()?.device)?;
    let space = device.space_bytes.as_ref()?;
    let rate = rig.own_rate(recordings.first()?.device);
    let needed: f64 = recordings.iter().map(|one| recorded_bytes(rate, one.tracks, one.seconds)).sum();
    if needed <= space.value {
        return None;
    }
    let longest = recordings.iter().max_by(|a, b| a.seconds.total_cmp(&b.seconds))?;
    let minutes: f64 = recordings.iter().map(|one| one.seconds / 60.0).sum();
    let (what, takes) = match recordings.len() {
        1 => (format!("records {} for {minutes} min", counted(longest.tracks, "track")), "that takes"),
        several => (format!("makes {several} recordings of {minutes} min together"), "they take"),
    };
    let message = format!(
        "`{}` {what} at {} kHz: {takes} {:.1} GB, and it has {} GB",
        device.name,
        f64::from(rate) / 1000.0,
        needed / 1e9,
        space.value / 1e9,
    );
    let free = (needed / 1e9).ceil();
    let then = match recordings.len() {
        1 => {
            let fits = space.value / recorded_bytes(rate, longest.tracks, 60.0).max(1.0);
            format!("what it has is full after {fits:.0} min")
        }
        _ => "`space` is that of all its media".to_string(),
    };
    Some(
        Diagnostic::error(RULE.slug, longest.said, message)
            .label(space.span, "its space")
            .help(format!("make room, `space {free} GB`, and some to spare; {then}"))
            .about(device.name.clone()),
    )
}
