//! A player and its backup count by two clocks.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::clocks::{Clock, Clocks};
use crate::rules::{Facts, Seen};

pub const RULE: Rule = Rule {
    slug: "backup-on-another-clock",
    code: "C043",
    severity: Severity::Warning,
    prerequisites: &["second-clock"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    if seen.rig.devices.iter().all(|device| device.backup_of.is_none()) {
        return Vec::new();
    }
    let clocks = Clocks::of(seen.rig);
    (0u32..).zip(&seen.rig.devices).filter_map(|(device, _)| told(seen, &clocks, device)).collect()
}

fn told(seen: &Seen, clocks: &Clocks, device: u32) -> Option<Diagnostic> {
    let here = seen.rig.device(device)?;
    let (of, span) = here.backup_of.filter(|(of, _)| *of != device)?;
    let first = seen.rig.device(of)?;
    let (ours, theirs) = (clocks.runs_on(seen.rig, device), clocks.runs_on(seen.rig, of));
    if ours == theirs {
        return None;
    }
    let text = |clock: Clock, device: u32| match clock {
        Clock::Own(own) if own == device => "its own clock".to_string(),
        Clock::Own(other) => format!("the clock of `{}`", seen.rig.device_name(other)),
        Clock::House(name) => format!("`{name}`"),
    };
    let (name, other) = (&here.name, &first.name);
    let message = format!(
        "`{name}` is the backup of `{other}`, and they drift apart: `{name}` runs on {}, `{other}` on {}",
        text(ours, device),
        text(theirs, of),
    );
    let place = first.clock.as_ref().map_or(first.span, |clock| clock.span);
    let help = match (ours, theirs) {
        (_, Clock::House(house)) => format!("say `clock external \"{house}\"` on `{name}` too, and wire it so"),
        (Clock::House(house), _) => format!("say `clock external \"{house}\"` on `{other}` too, and wire it so"),
        _ => "give both one clock: `clock external \"…\"` of one name on each, or digital lines from one desk"
            .to_string(),
    };
    Some(
        Diagnostic::warning(RULE.slug, span, message)
            .label(place, format!("`{other}`, the first one"))
            .help(help)
            .about(name.clone()),
    )
}
