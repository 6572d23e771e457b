//! A cable is longer than its carrier allows.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::{Cable, Rig, metres};
use crate::rules::Facts;

pub const RULE: Rule = Rule {
    slug: "cable-too-long",
    code: "C017",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| seen.rig.cables.iter().filter_map(|cable| told(seen.rig, cable)).collect())
}

fn told(rig: &Rig, cable: &Cable) -> Option<Diagnostic> {
    let said = cable.said.as_ref()?;
    let (length, most) = (metres(said)?, rig.library.carrier(&cable.carrier)?.length_m?);
    if length <= most {
        return None;
    }
    let (first, last) = (said.lengths.first()?, said.lengths.last()?);
    let (from, to) = (rig.port_text(cable.from), rig.port_text(cable.to));
    let parts = if said.lengths.len() > 1 { " in all, and couplers shorten that" } else { "" };
    let message = format!(
        "the cable from `{from}` to `{to}` is {} m; {} allows {most} m{parts}",
        (length * 10.0).round() / 10.0,
        cable.carrier,
    );
    Some(
        Diagnostic::error(RULE.slug, first.span.to(last.span), message)
            .help("go a shorter way, put a box between, or use a carrier that reaches farther")
            .about(rig.device_name(cable.to.device).to_string()),
    )
}
