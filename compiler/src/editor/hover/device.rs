//! A device of the show: its model, what it runs on, how much of it is in use, where it is plugged.

use super::{Part, line, table, table_of};
use crate::Compiled;
use crate::editor::ground::{first_error, rig_with, unproven};
use crate::editor::index::{Index, Symbol};
use crate::editor::lens::in_use;
use crate::editor::origin;
use crate::plan::{Usage, View, clean, digest, ranges};
use crate::rig::{Device, Rig};
use crate::syntax::ast::OwnClock;
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn device(compiled: &Compiled, index: &Index, name: &str) -> Option<(String, Vec<Part>)> {
    let (rig, number) = rig_with(compiled, name)?;
    let view = View::any(&compiled.plan);
    // The plan calls gear of an act by its name too.
    let planned = view.device(name)?;
    let device = rig.device(number)?;
    let model = rig.model(number);
    let mut title = format!("{name}: {}, {}", planned.role, planned.model);
    if let Some(label) = &device.label {
        title.push_str(&format!(", \"{label}\""));
    }
    let mut parts: Vec<Part> = model.and_then(|model| model.label.clone()).map(line).into_iter().collect();
    let symbol = Symbol::Device(name.to_string());
    let rows = index.declarations(&symbol).map(|name| name.row);
    parts.extend(rows.filter_map(|row| table("said", origin::values(compiled, row))));
    parts.extend(runs_on(rig, number, device).map(line));
    parts.extend(out_of_use(device).map(line));
    let usage = Usage::of(&view);
    match unproven(compiled) {
        Some(why) => parts.push(line(why)),
        None => {
            parts.extend(Some(in_use(&view, &usage, planned).join(" · ")).filter(|said| !said.is_empty()).map(line))
        }
    }
    let proven = first_error(compiled).is_none();
    let sections = digest(&view, planned, &usage).into_iter().filter(|(title, _)| proven || *title == "plugged");
    parts.extend(sections.filter_map(|(title, rows)| table_of(title, &rows)));
    Some((clean(&title), parts))
}

/// Clock, rate, supply, and who it stands in for.
fn runs_on(rig: &Rig, number: u32, device: &Device) -> Option<String> {
    let link =
        || rig.first_desk(number).map(|desk| format!("takes its clock from {} by its link", rig.device_name(desk)));
    let clock = match device.clock.as_ref().map(|clock| &clock.value) {
        Some(OwnClock::Internal) => Some("runs on its own clock".to_string()),
        Some(OwnClock::External(text)) => Some(format!("runs on \"{}\"", text.value)),
        None if rig.clock == Some(number) => Some("clocks the rig".to_string()),
        None => link(),
    };
    let digital = rig.model(number).is_some_and(|model| !model.ports.is_empty());
    let rate = device.rate_hz.as_ref().map_or(rig.rate_hz, |rate| rate.value);
    let facts = [
        clock.filter(|_| digital),
        digital.then(|| format!("{} kHz", f64::from(rate) / 1000.0)),
        device.converts.then(|| "converts the rate at its digital lines".to_string()),
        device.supply.as_ref().map(|supply| format!("supply \"{}\"", supply.value)),
        device.gain_by.map(|(desk, _)| format!("gains set from {}", rig.device_name(desk))),
        device.backup_of.map(|(of, _)| format!("backup of {}", rig.device_name(of))),
    ];
    let facts: Vec<String> = facts.into_iter().flatten().collect();
    (!facts.is_empty()).then(|| facts.join(", "))
}

/// `out of use: 6, 11 dead; 12 intercom`
fn out_of_use(device: &Device) -> Option<String> {
    let mut by_reason: BTreeMap<&str, BTreeSet<u32>> = BTreeMap::new();
    for (line, (why, _)) in &device.out_of_use {
        by_reason.entry(why).or_default().insert(*line);
    }
    let said: Vec<String> = by_reason.iter().map(|(why, lines)| format!("{} {why}", ranges(lines))).collect();
    (!said.is_empty()).then(|| format!("out of use: {}", said.join("; ")))
}
