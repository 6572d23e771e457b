//! Gear of the stage that no cable joins to anything. A desk needs none, gear that others bring may come without,
//! and a backup waits for its turn.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::{Device, Rig};
use crate::rules::{Facts, Seen};
use crate::syntax::ast::DeviceWord;

pub const RULE: Rule = Rule {
    slug: "hangs-on-nothing",
    code: "C088",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let loose = (0u32..).zip(&seen.rig.devices).filter(|(device, _)| is_loose(seen.rig, *device));
    let told = |(_, device): (u32, &Device)| {
        Diagnostic::warning(RULE.slug, device.span, format!("`{}` hangs on nothing: no cable leads to it", device.name))
            .help("say where it is plugged in: `on` with a port, `to` or a `loom` with lines; or leave it out")
            .about(device.name.clone())
    };
    loose.map(told).collect()
}

/// Does no cable lead to it, where one should?
pub fn is_loose(rig: &Rig, device: u32) -> bool {
    let joined = rig.cables.iter().any(|cable| cable.from.device == device || cable.to.device == device)
        || rig.runs.iter().any(|run| run.from.device == device || run.to.device == device);
    let apart = |it: &Device| matches!(it.word, DeviceWord::Desk | DeviceWord::Outside) || it.backup_of.is_some();
    !joined && rig.device(device).is_some_and(|it| !apart(it))
}
