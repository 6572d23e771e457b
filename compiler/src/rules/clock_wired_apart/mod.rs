//! A box on a link takes the outside clock of its desk by a wire of its own. A second desk may: it is often far
//! away. One that takes another clock than its desk is told by `second-clock`.

use crate::diagnostics::{Diagnostic, Edit, Rule, Severity};
use crate::rig::clocks::{Clock, Clocks};
use crate::rules::{Facts, Seen};
use crate::syntax::ast::{DeviceWord, OwnClock};

pub const RULE: Rule = Rule {
    slug: "clock-wired-apart",
    code: "C041",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let clocks = Clocks::of(seen.rig);
    (0u32..).zip(&seen.rig.devices).filter_map(|(device, _)| told(seen, &clocks, device)).collect()
}

fn told(seen: &Seen, clocks: &Clocks, device: u32) -> Option<Diagnostic> {
    let leader = clocks.leader(device).filter(|leader| *leader != device)?;
    let (here, master) = (seen.rig.device(device)?, seen.rig.device(leader)?);
    let said = here.clock.as_ref().filter(|_| here.word != DeviceWord::Desk)?;
    let OwnClock::External(clock) = &said.value else { return None };
    let (name, other, clock) = (&here.name, &master.name, &clock.value);
    if clocks.runs_on(seen.rig, leader) != Clock::House(clock) {
        return None;
    }
    let message = format!(
        "`{clock}` is wired to `{name}` and to `{other}`, which clocks its link already: when it fails, each falls back \
         alone"
    );
    let help = format!("wire it to `{other}` alone: take `clock external` out here, and `{name}` follows its link");
    Some(
        Diagnostic::warning(RULE.slug, said.span, message)
            .label(
                master.clock.as_ref().map_or(master.span, |clock| clock.span),
                format!("`{other}` is the clock here"),
            )
            .help(help)
            .fix("take `clock external` out", vec![Edit { span: said.span, text: String::new() }], false)
            .about(name.clone()),
    )
}
