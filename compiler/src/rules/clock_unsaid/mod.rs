//! Several desks on one tree of digital lines, and no row says which of them gives the clock.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::clocks::Clocks;
use crate::rules::say::names;
use crate::rules::{Facts, Seen};

pub const RULE: Rule = Rule {
    slug: "clock-unsaid",
    code: "C087",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    Clocks::of(seen.rig).undecided().filter_map(|desks| told(seen, desks)).collect()
}

fn told(seen: &Seen, desks: &[u32]) -> Option<Diagnostic> {
    let (first, last) = (seen.rig.device(*desks.first()?)?, seen.rig.device(*desks.last()?)?);
    let all: Vec<&str> = desks.iter().map(|desk| seen.rig.device_name(*desk)).collect();
    let message = format!("digital lines join {}, and no row says which is the clock", names(&all));
    let help = format!("say it once, at the head of the show: `clock {}`; the others follow their link", first.name);
    Some(
        Diagnostic::warning(RULE.slug, last.span, message)
            .label(first.span, "a desk runs on its own clock until somebody sets it")
            .help(help)
            .about(last.name.clone()),
    )
}
