//! Two devices of unlike sample rates are joined by a digital line, and nothing converts between them.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::clocks::{Join, converts, digital, kilohertz};
use crate::rules::{Facts, Seen};
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "rates-differ",
    code: "C042",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let mut told_of = BTreeSet::new();
    let mut found = Vec::new();
    for join in digital(seen.rig) {
        if converts(seen.rig, join.one) || converts(seen.rig, join.two) {
            continue;
        }
        let (odd, other) =
            if rate(seen, join.one) == seen.rig.rate_hz { (join.two, join.one) } else { (join.one, join.two) };
        if rate(seen, odd) != rate(seen, other) && told_of.insert(odd) {
            found.extend(told(seen, join, odd, other));
        }
    }
    found
}

/// What the device says, else the show's.
fn rate(seen: &Seen, device: u32) -> u32 {
    let said = seen.rig.device(device).and_then(|device| device.rate_hz.as_ref());
    said.map_or(seen.rig.rate_hz, |rate| rate.value)
}

/// How far the pitch is off: the factor, and how many semitones of twelve to the octave that is.
pub fn pitch(one: u32, two: u32) -> (f64, f64) {
    let factor = f64::from(one.max(two)) / f64::from(one.min(two).max(1));
    (factor, 12.0 * factor.log2())
}

fn told(seen: &Seen, join: Join, odd: u32, other: u32) -> Option<Diagnostic> {
    let device = seen.rig.device(odd)?;
    let said = device.rate_hz.as_ref()?;
    let (name, far, far_rate) = (&device.name, seen.rig.device_name(other), rate(seen, other));
    let (factor, semitones) = pitch(said.value, far_rate);
    let message = format!(
        "`{name}` runs at {} and `{far}` at {}, joined by a digital line: no sound, or speed and pitch off by {factor:.3}, \
         about {semitones:.1} semitones",
        kilohertz(said.value),
        kilohertz(far_rate),
    );
    Some(
        Diagnostic::error(RULE.slug, said.span, message)
            .label(join.span, "joined here")
            .help(format!(
                "set it to {}, and convert what it plays; where a sample-rate converter stands between, say `converts`",
                kilohertz(far_rate)
            ))
            .about(name.clone()),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 48 / 44.1 = 1.088, and 12 log2 of it 1.467; an octave is a factor of two (arithmetic).
    #[test]
    fn the_pitch_is_arithmetic() {
        let (factor, semitones) = pitch(44_100, 48_000);
        assert!((factor - 1.088).abs() < 0.001 && (semitones - 1.467).abs() < 0.001, "{factor} {semitones}");
        assert_eq!(pitch(96_000, 48_000), (2.0, 12.0));
    }
}
