//! One device of the routing plan as text: where it is plugged, its sockets, what to dial, and what then
//! comes out.

use super::order::device_of;
use super::{channels, mixes, said, settings, sockets};
use crate::diagnostics::counted;
use crate::plan::data::{Cable, Device};
use crate::plan::point::ranges;
use crate::plan::table::{Table, clean};
use crate::plan::usage::{Usage, slots_at};
use crate::plan::view::View;

/// Appends the device, nothing where the view holds nothing of it. `full` is everything that holds at
/// the same time. With `usage`, also what stays free.
pub(super) fn print(out: &mut String, view: &View, full: &View, device: &Device, usage: Option<&Usage>) {
    let mut body = String::new();
    section(&mut body, "plugged", &plugged(view, device, usage.is_some()));
    section(&mut body, "sockets", &sockets::inputs(view, full, device));
    section(&mut body, "dial", &settings::dial(view, &device.name));
    section(&mut body, "preamps", &settings::preamps(view, &device.name));
    section(&mut body, "channel list", &channels::list(view, full, device));
    section(&mut body, "mixes", &mixes::list(view, full, device));
    section(&mut body, "carries", &sockets::outputs(view, full, device));
    section(&mut body, "leaves by other gear", &sockets::leaving(view, device));
    section(&mut body, "comes along, though nobody asked", &sockets::dragged(view, device));
    if let Some(usage) = usage {
        section(&mut body, "records", &recordings(view, device));
        section(&mut body, "slots in use", &slots(view, device, usage));
        section(&mut body, "not in use", &sockets::unused(view, device, usage));
    }
    if body.is_empty() {
        return;
    }
    out.push('\n');
    out.push_str(&heading(device));
    out.push_str(&body);
}

/// A device at a glance: where it is plugged, what to dial, what is in use and what is not; sections that hold
/// something, each with its title.
pub(crate) fn digest(view: &View, device: &Device, usage: &Usage) -> Vec<(&'static str, Table)> {
    let mut sections = vec![
        ("plugged", plugged(view, device, true)),
        ("dial", settings::dial(view, &device.name)),
        ("slots in use", slots(view, device, usage)),
        ("not in use", sockets::unused(view, device, usage)),
    ];
    sections.retain(|(_, table)| !table.is_empty());
    sections
}

fn heading(device: &Device) -> String {
    let mut line = format!("{}: {}, {}", device.name, device.role, device.model);
    if let Some(label) = &device.label {
        line.push_str(&format!(", \"{label}\""));
    }
    for said in said::of_device(device) {
        line.push_str(&format!(", {said}"));
    }
    format!("{}\n", clean(&line))
}

fn section(out: &mut String, title: &str, table: &Table) {
    if !table.is_empty() {
        out.push_str(&format!("  {title}\n"));
        table.print(out, 4);
    }
}

/// Own end, other end, length, carrier. With `all`, ports without a cable too.
fn plugged(view: &View, device: &Device, all: bool) -> Table {
    let mut table = Table::default();
    let ports = view.wiring(&device.name).map(|wiring| wiring.ports.as_slice()).unwrap_or_default();
    for port in ports {
        let end = format!("{}.{}", device.name, port.port);
        let mut free = true;
        for (cable, other) in view.cables.iter().filter_map(|cable| Some((*cable, other_end(cable, &end)?))) {
            table.row([port.port.clone(), format!("to {other}"), length(cable.length_m), what(cable)]);
            free = false;
        }
        if free && all {
            table.row([port.port.clone(), "no cable".to_string(), String::new(), String::new()]);
        }
    }
    for cable in view.cables.iter().filter(|cable| cable.is_run()) {
        let own = |end: &str| end.strip_prefix(&device.name).and_then(|rest| rest.strip_prefix('.')).map(String::from);
        if let Some(here) = own(&cable.from).filter(|_| device_of(&cable.from) == Some(&device.name)) {
            table.row([here, format!("to {}", cable.to), length(cable.length_m), what(cable)]);
        }
        if let Some(here) = own(&cable.to).filter(|_| device_of(&cable.to) == Some(&device.name)) {
            table.row([here, format!("from {}", cable.from), length(cable.length_m), what(cable)]);
        }
    }
    table
}

fn other_end<'c>(cable: &'c Cable, end: &str) -> Option<&'c str> {
    if cable.from == end {
        Some(&cable.to)
    } else if cable.to == end {
        Some(&cable.from)
    } else {
        None
    }
}

pub(crate) fn length(metres: Option<f64>) -> String {
    metres.map(|metres| format!("{metres} m")).unwrap_or_default()
}

pub(crate) fn what(cable: &Cable) -> String {
    let used_as = Some(cable.used_as.clone()).filter(|used_as| used_as != "main");
    let said = said::people(&cable.remarks, true);
    std::iter::once(cable.carrier.clone()).chain(used_as).chain(said).collect::<Vec<_>>().join(", ")
}

/// `24 tracks for 180 min: 37.3 GB at 24 bit`
fn recordings(view: &View, device: &Device) -> Table {
    let mut table = Table::default();
    for one in view.plan.recordings.iter().filter(|one| one.device == device.name) {
        let (tracks, minutes) = (counted(one.tracks, "track"), one.seconds / 60.0);
        table.row([format!("{tracks} for {minutes} min"), format!("{:.1} GB at 24 bit", one.bytes / 1e9)]);
    }
    table
}

fn slots(view: &View, device: &Device, usage: &Usage) -> Table {
    let mut table = Table::default();
    let Some(wiring) = view.wiring(&device.name) else { return table };
    for port in &wiring.ports {
        let into = usage.arriving(&device.name, &port.port);
        let out_of = usage.leaving(&device.name, &port.port);
        if into.is_empty() && out_of.is_empty() {
            continue;
        }
        let size = slots_at(wiring, &port.port, view.plan.rate_hz);
        let say = |word: &str, used: std::collections::BTreeSet<u32>, of: Option<u32>| {
            let used = if used.is_empty() { "none".to_string() } else { ranges(&used) };
            of.map_or_else(|| format!("{word} {used}"), |of| format!("{word} {used} of {of}"))
        };
        table.row([
            format!("{}:", port.port),
            say("in", into, size.map(|s| s.inward)),
            say("out", out_of, size.map(|s| s.outward)),
        ]);
    }
    table
}
