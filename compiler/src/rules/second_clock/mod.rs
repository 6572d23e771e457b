//! A device counts by its own clock and hangs on digital lines that another device clocks.

use crate::diagnostics::{Diagnostic, Edit, Rule, Severity};
use crate::rig::clocks::{Clock, Clocks};
use crate::rules::{Facts, Seen};

pub const RULE: Rule = Rule {
    slug: "second-clock",
    code: "C040",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| in_scene(facts, seen))
}

fn in_scene(facts: &Facts, seen: &Seen) -> Vec<Diagnostic> {
    let clocks = Clocks::of(seen.rig);
    let told = |device: u32| {
        let leader = clocks.leader(device).filter(|leader| *leader != device)?;
        told(facts, seen, &clocks, device, leader)
    };
    (0u32..).zip(&seen.rig.devices).filter_map(|(device, _)| told(device)).collect()
}

fn told(facts: &Facts, seen: &Seen, clocks: &Clocks, device: u32, leader: u32) -> Option<Diagnostic> {
    let (here, master) = (seen.rig.device(device)?, seen.rig.device(leader)?);
    let said = here.clock.as_ref()?;
    let own = clocks.runs_on(seen.rig, device);
    if own == clocks.runs_on(seen.rig, leader) {
        return None;
    }
    let (name, other) = (&here.name, &master.name);
    let named = facts.show.clock.as_ref().filter(|clock| clock.value == *other).map(|clock| clock.span);
    let place = named.or(master.clock.as_ref().map(|clock| clock.span)).unwrap_or(master.span);
    let (on, word, instead) = match own {
        Clock::House(clock) => {
            (format!("`{clock}`"), "clock external", format!(", and wire `{clock}` to `{other}` where it is wanted"))
        }
        Clock::Own(_) => ("its own clock".to_string(), "clock internal", String::new()),
    };
    let message = format!("`{name}` runs on {on} and hangs on digital lines that `{other}` clocks");
    Some(
        Diagnostic::error(RULE.slug, said.span, message)
            .label(place, format!("`{other}` is the clock here"))
            .help(format!("let `{name}` follow its link: take `{word}` out{instead}"))
            .fix(format!("take `{word}` out"), vec![Edit { span: said.span, text: String::new() }], false)
            .about(name.clone()),
    )
}
