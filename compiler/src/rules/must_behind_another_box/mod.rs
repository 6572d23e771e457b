//! What the show cannot do without hangs behind another box, and dies with it.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::{LinkEnd, Rig, UsedAs, preamps_of};
use crate::rules::say::names;
use crate::rules::{Facts, Seen};
use crate::syntax::ast::{DeviceWord, Faces, Priority};
use crate::wants::Use;
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    slug: "must-behind-another-box",
    code: "C076",
    severity: Severity::Note,
    prerequisites: &["cable-loop"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let behind = behind(seen.rig);
    let mut lost: BTreeMap<u32, BTreeSet<String>> = BTreeMap::new();
    let must = |row: usize| seen.scene.rows.get(row).is_some_and(|row| row.priority == Priority::Must);
    let sources = seen.plugs.iter().filter_map(|(plug, source)| Some((plug, seen.scene.source(*source)?)));
    for (plug, source) in sources.filter(|(_, source)| must(source.row)) {
        let boxes: BTreeSet<u32> = preamps_of(seen.rig, *plug).iter().map(|preamp| preamp.socket.device).collect();
        // A second preamp nearer a desk keeps it alive.
        if boxes.iter().all(|device| behind.contains_key(device)) {
            for device in boxes {
                lost.entry(device).or_default().insert(source.name.clone());
            }
        }
    }
    for output in &seen.scene.outputs {
        if behind.contains_key(&output.to.device) && (output.used_as == Some(Use::Pa) || must(output.row)) {
            lost.entry(output.to.device).or_default().insert(seen.rig.point_text(output.from));
        }
    }
    lost.iter().filter_map(|(device, what)| told(seen.rig, *device, *behind.get(device)?, what)).collect()
}

/// Each box with the box nearer the desk that it hangs behind, where it has no second way to the desk.
fn behind(rig: &Rig) -> BTreeMap<u32, u32> {
    let is_box = |device: u32| rig.device(device).is_some_and(|device| device.word == DeviceWord::Box);
    let spared: BTreeSet<u32> = rig
        .cables
        .iter()
        .filter(|cable| cable.used_as == UsedAs::Redundant)
        .flat_map(|cable| [cable.from.device, cable.to.device])
        .collect();
    let mut found = BTreeMap::new();
    for device in (0u32..).zip(&rig.devices).map(|(device, _)| device) {
        let ports = rig.model(device).map_or(&[][..], |model| &model.ports);
        let up = (0..).zip(ports).filter(|(_, port)| port.faces == Faces::Desk);
        let nearer: Vec<u32> =
            up.filter_map(|(port, _)| rig.peer(LinkEnd { device, port })).map(|(far, _)| far.device).collect();
        if let (true, Some(nearest), false) = (is_box(device), nearer.first(), spared.contains(&device))
            && nearer.iter().all(|far| is_box(*far))
        {
            found.insert(device, *nearest);
        }
    }
    found
}

fn told(rig: &Rig, device: u32, nearer: u32, what: &BTreeSet<String>) -> Option<Diagnostic> {
    let (here, near) = (rig.device(device)?, rig.device(nearer)?);
    let what: Vec<&String> = what.iter().collect();
    let verb = if what.len() == 1 { "goes" } else { "go" };
    let message = format!("if `{}` loses power, {} {verb} silent with `{}`", near.name, names(&what), here.name);
    let help = match free_port(rig, device) {
        Some(port) => format!("hang `{}` on a port of its own, `on {port}`", here.name),
        None => format!("move what must not fail to `{}`, or hang `{}` nearer the desk", near.name, here.name),
    };
    Some(
        Diagnostic::note(RULE.slug, here.span, message)
            .label(near.span, format!("`{}` stands between it and the desk", near.name))
            .help(help)
            .about(here.name.clone()),
    )
}

/// A free port of the same carrier at the desk.
fn free_port(rig: &Rig, device: u32) -> Option<String> {
    let desk = rig.first_desk(device)?;
    let carrier = &rig.model(device)?.ports.iter().find(|port| port.faces == Faces::Desk)?.carrier;
    let ports = (0..).zip(&rig.model(desk)?.ports);
    let ends = ports.filter(|(_, port)| port.carrier == *carrier && port.faces == Faces::Any);
    let used = |end: &LinkEnd| rig.cables.iter().any(|cable| cable.from == *end || cable.to == *end);
    ends.map(|(port, _)| LinkEnd { device: desk, port }).find(|end| !used(end)).map(|end| rig.port_text(end))
}
