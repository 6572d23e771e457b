//! A box with inputs plugged, of which none reaches a channel.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::draft::preamps_of;
use crate::rig::LinkEnd;
use crate::rules::say::names;
use crate::rules::{Facts, Seen};
use crate::syntax::ast::DeviceWord;
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    slug: "box-unheard",
    code: "C013",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let named = |(device, sources): (u32, Vec<usize>)| {
        let fact = seen.rig.device(device)?;
        let sources: Vec<&str> = sources.iter().filter_map(|s| Some(seen.scene.source(*s)?.name.as_str())).collect();
        let message = format!("no input of `{}` reaches a channel: {} would not be heard", fact.name, names(&sources));
        let ports = seen.rig.model(device).map_or(0, |model| model.ports.len());
        let cabled = (0..ports).any(|port| seen.rig.desk_beyond(LinkEnd { device, port }).is_some());
        let help = if cabled {
            "give its sources a channel: the number at the start of the row".to_string()
        } else {
            format!("say where it is plugged, `box {} on foh.portA`, and give its sources a channel", fact.name)
        };
        Some(Diagnostic::warning(RULE.slug, fact.span, message).help(help).about(fact.name.clone()))
    };
    unheard(seen).into_iter().filter_map(named).collect()
}

/// Boxes with plugged inputs of which none is heard, with those sources. Spare lines do not count.
pub fn unheard(seen: &Seen) -> BTreeMap<u32, Vec<usize>> {
    let heard_at = |end| {
        let elsewhere = seen.rig.device(end).map(|device| device.word);
        matches!(elsewhere, Some(DeviceWord::Recorder | DeviceWord::Outside))
    };
    let is_box = |device: u32| seen.rig.device(device).is_some_and(|device| device.word == DeviceWord::Box);
    let heard = seen.arrivals.iter().filter(|arrival| seen.is_channel(arrival.end) || heard_at(arrival.end.device));
    let heard: BTreeSet<u32> = heard.flat_map(|arrival| arrival.path.iter().map(|point| point.device)).collect();
    let mut found: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for (plug, source) in seen.plugs {
        if seen.scene.source(*source).is_none_or(|source| source.spare) {
            continue;
        }
        let preamps = preamps_of(seen.rig, *plug);
        let mut boxes: Vec<u32> = preamps.iter().map(|preamp| preamp.socket.device).chain([plug.device]).collect();
        boxes.sort_unstable();
        boxes.dedup();
        for device in boxes.into_iter().filter(|device| is_box(*device) && !heard.contains(device)) {
            found.entry(device).or_default().push(*source);
        }
    }
    found
}
