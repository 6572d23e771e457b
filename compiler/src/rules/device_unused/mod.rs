//! A piece of gear that no signal passes. One that hangs on nothing is told by `hangs-on-nothing`.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::Device;
use crate::rules::hangs_on_nothing::is_loose;
use crate::rules::{Facts, Seen};
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "device-unused",
    code: "C018",
    severity: Severity::Note,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    // A piece that some act uses is used; so speak only of what no act does.
    let told = facts.each_scene(in_scene);
    told.into_iter().filter(|note| note.act.is_none()).collect()
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let mut used: BTreeSet<u32> = seen.plugs.keys().map(|plug| plug.device).collect();
    for arrival in seen.arrivals {
        used.extend(arrival.path.iter().map(|point| point.device));
    }
    let idle =
        (0u32..).zip(&seen.rig.devices).filter(|(device, _)| !used.contains(device) && !is_loose(seen.rig, *device));
    let told = |(_, device): (u32, &Device)| {
        Diagnostic::note(RULE.slug, device.span, format!("nothing passes `{}`", device.name))
            .help("leave it out, or say what plugs into it")
            .about(device.name.clone())
    };
    idle.map(told).collect()
}
