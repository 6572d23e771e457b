//! The order in which a technician dials: desks first, then what hangs on each desk's ports, in the
//! order of the chain, then what is plugged into that, then the rest.

use crate::plan::data::{Cable, Device};
use crate::plan::point::port_or_bank;
use crate::plan::view::View;

/// The view's devices, each once. Asked of all acts at once, so that one order serves them all.
pub(crate) fn devices<'p>(view: &View<'p>) -> Vec<&'p Device> {
    let mut order: Vec<&Device> = Vec::new();
    let clock = view.plan.clock.as_deref();
    let mut desks: Vec<&Device> = view.devices.iter().copied().filter(|device| device.role == "desk").collect();
    desks.sort_by_key(|desk| (Some(desk.name.as_str()) != clock, &desk.name));
    order.extend(&desks);
    for desk in desks {
        follow(view, desk, &mut order);
    }
    let mut at = 0;
    while let Some(device) = order.get(at).copied() {
        plugged_into(view, device, &mut order);
        at += 1;
    }
    let mut rest: Vec<&Device> = view.devices.to_vec();
    rest.sort_by_key(|device| &device.name);
    for device in rest {
        push(device, &mut order);
    }
    order
}

/// Appends what the device's ports lead to, each chain to its end before the next port.
fn follow<'p>(view: &View<'p>, from: &'p Device, order: &mut Vec<&'p Device>) {
    let Some(wiring) = view.wiring(&from.name) else { return };
    for port in &wiring.ports {
        let end = format!("{}.{}", from.name, port.port);
        for next in view.cables.iter().filter_map(|cable| other_device(cable, &end)) {
            let Some(device) = view.device(next) else { continue };
            if push(device, order) {
                follow(view, device, order);
            }
        }
    }
}

/// Appends what reaches the device by analogue lines.
fn plugged_into<'p>(view: &View<'p>, device: &Device, order: &mut Vec<&'p Device>) {
    let runs = view.cables.iter().filter(|cable| cable.is_run());
    for cable in runs.filter(|cable| device_of(&cable.to) == Some(device.name.as_str())) {
        if let Some(from) = device_of(&cable.from).and_then(|name| view.device(name)) {
            push(from, order);
        }
    }
}

fn push<'p>(device: &'p Device, order: &mut Vec<&'p Device>) -> bool {
    let new = !order.iter().any(|known| known.name == device.name);
    if new {
        order.push(device);
    }
    new
}

fn other_device<'c>(cable: &'c Cable, end: &str) -> Option<&'c str> {
    if cable.from == end {
        device_of(&cable.to)
    } else if cable.to == end {
        device_of(&cable.from)
    } else {
        None
    }
}

pub(super) fn device_of(end: &str) -> Option<&str> {
    port_or_bank(end).map(|(device, _)| device)
}
