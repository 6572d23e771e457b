//! `expect spare inputs on each box at least 2`: sockets with a preamp that nothing needs.

use super::not_met;
use crate::diagnostics::{Diagnostic, Sort};
use crate::plan::Role;
use crate::project::nearest;
use crate::rig::{LaneKind, LinkEnd, Point, Ride};
use crate::rules::Seen;
use crate::rules::chains::climb;
use crate::source::{At, Span};
use crate::syntax::ast::{DeviceWord, Name};

pub fn check(
    seen: &Seen,
    on: Option<&Name>,
    at_least: &At<u32>,
    span: Span,
    settled: bool,
    found: &mut Vec<Diagnostic>,
) {
    let boxes: Vec<u32> = match on {
        None => (0u32..).zip(&seen.rig.devices).filter(|(_, d)| d.word == DeviceWord::Box).map(|(i, _)| i).collect(),
        Some(name) => match seen.rig.device_named(&name.value) {
            Some(device) => vec![device],
            None if seen.rig.broken.contains(&name.value) => return,
            None => {
                let message = format!("there is no box called `{}`", name.value);
                let near = nearest(&name.value, seen.rig.devices.iter().map(|device| device.name.as_str()));
                found.push(
                    Diagnostic::unknown(Sort::Gear, name.value.clone(), name.span, message).near(name.span, near),
                );
                return;
            }
        },
    };
    for device in boxes.into_iter().filter(|_| settled) {
        let free = free(seen, device);
        if free < at_least.value {
            let name = seen.rig.device_name(device);
            let inputs = if free == 1 { "input" } else { "inputs" };
            let message = format!("`{name}` has {free} spare {inputs}, and {} are expected", at_least.value);
            found.push(not_met(span, message).help("move a source to another box, or expect fewer").about(name));
        }
    }
}

/// Sockets that are free, fit for use and carried by the link. A row marked `spare` leaves its socket spare.
fn free(seen: &Seen, device: u32) -> u32 {
    let Some((model, fact)) = seen.rig.model(device).zip(seen.rig.device(device)) else { return 0 };
    let mut count = 0;
    for (index, lane) in (0u32..).zip(&model.lanes) {
        if lane.kind != LaneKind::Bank(Role::In) || !lane.is_preamp() {
            continue;
        }
        let rides = model.carries.iter().find(|carry| carry.bank == index as usize && carry.at == Ride::Stacked);
        let room = rides.and_then(|carry| climb(seen.rig, LinkEnd { device, port: carry.port })).map(|up| up.room);
        for number in 1..=lane.size.min(room.unwrap_or(lane.size)) {
            let point = Point { device, lane: index, number };
            let needed = seen.plugs.get(&point).and_then(|source| seen.scene.source(*source)).is_some_and(|s| !s.spare);
            let usable = !fact.out_of_use.contains_key(&number) && seen.rig.brought_to(point).is_none();
            count += u32::from(usable && !needed);
        }
    }
    count
}
