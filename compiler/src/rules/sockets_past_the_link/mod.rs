//! Sockets whose slots lie past what the link carries at this rate; nothing is plugged there yet.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::{Device, LinkEnd, Point, Ride};
use crate::rules::chains::climb;
use crate::rules::say::numbers;
use crate::rules::{Facts, Seen};

pub const RULE: Rule = Rule {
    slug: "sockets-past-the-link",
    code: "C012",
    severity: Severity::Warning,
    prerequisites: &["slot-past-the-link"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| {
        let devices = (0u32..).zip(&seen.rig.devices);
        devices.filter_map(|(device, fact)| told(seen, device, fact)).collect()
    })
}

fn told(seen: &Seen, device: u32, fact: &Device) -> Option<Diagnostic> {
    let model = seen.rig.model(device)?;
    let mut lost = Vec::new();
    let mut top = None;
    for (port, _) in model.ports.iter().enumerate() {
        let Some(up) = climb(seen.rig, LinkEnd { device, port }) else { continue };
        let mut slot = 0;
        for carry in model.carries.iter().filter(|carry| carry.port == port && carry.at == Ride::Stacked) {
            let lane = model.lane(carry.bank)?;
            let unused = (1..=lane.size).filter(|number| slot + number > up.room).filter(|number| {
                let point = Point { device, lane: carry.bank as u32, number: *number };
                !seen.plugs.contains_key(&point) && !fact.out_of_use.contains_key(number)
            });
            let unused: Vec<u32> = unused.collect();
            if !unused.is_empty() {
                lost.push(format!("{} {}", lane.name, numbers(&unused)));
                top = Some(up.top);
            }
            slot += lane.size;
        }
    }
    let khz = f64::from(seen.rig.rate_hz) / 1000.0;
    let message = format!(
        "`{}` {} lie past the end of `{}` at {khz} kHz: nothing plugged there would arrive",
        fact.name,
        lost.join(", "),
        seen.rig.port_text(top?),
    );
    Some(
        Diagnostic::warning(RULE.slug, fact.span, message)
            .help(format!("hang `{}` on another port, or tape those sockets over", fact.name))
            .about(fact.name.clone()),
    )
}
