//! What to dial on one device, in the order of dialling: offsets, slots and modes; then, bank by bank,
//! what feeds it; then the preamps.

use super::sockets::plugged;
use crate::plan::data::{Setting, Wiring};
use crate::plan::dial::{plain, preamp, runs};
use crate::plan::point::{point, range, ranges, read_range};
use crate::plan::table::Table;
use crate::plan::view::View;
use std::collections::BTreeSet;

/// Offsets, slots, modes and routes. Contiguous points fed one by one stand as one row.
pub(super) fn dial(view: &View, device: &str) -> Table {
    let mut table = Table::default();
    let own: Vec<&Setting> = view.settings.iter().copied().filter(|s| s.device == device).collect();
    for setting in &own {
        let value = plain(setting.value.as_ref());
        match setting.set.as_str() {
            "offset" => table.row([setting.bank.clone(), format!("offset {value}"), String::new()]),
            "slot" => table.row([setting.bank.clone(), format!("rides from slot {value}"), String::new()]),
            "mode" => table.row([setting.bank.clone(), format!("mode {value}"), String::new()]),
            _ => {}
        }
    }
    for run in runs(&own) {
        let into = if view.is_port(device, run.bank) { "into " } else { "" };
        let from = run.from.strip_prefix(device).and_then(|rest| rest.strip_prefix('.')).unwrap_or(&run.from);
        let to = format!("{into}{} {}", run.bank, range(run.first, run.last));
        table.row([to, "from".to_string(), format!("{from}{}", unlike_points(view.wiring(device), from))]);
    }
    table
}

/// ` (aux-out 1-4, cue 1-2)`: what a named block is, in its order.
pub(crate) fn unlike_points(wiring: Option<&Wiring>, block: &str) -> String {
    let named = wiring.and_then(|wiring| wiring.blocks.iter().find(|known| known.block == block));
    named.map(|block| format!(" ({})", in_runs(&block.points).join(", "))).unwrap_or_default()
}

/// `aux-out 1-4, cue 1-2`: neighbours of one bank as a range.
fn in_runs(points: &[String]) -> Vec<String> {
    let mut runs: Vec<(&str, u32, u32)> = Vec::new();
    for point in points {
        let Some((bank, (first, last))) = point.rsplit_once(' ').and_then(|(b, n)| Some((b, read_range(n)?))) else {
            return points.to_vec();
        };
        match runs.last_mut() {
            Some((of, _, end)) if *of == bank && end.checked_add(1) == Some(first) => *end = last,
            _ => runs.push((bank, first, last)),
        }
    }
    runs.iter().map(|(bank, first, last)| format!("{bank} {}", range(*first, *last))).collect()
}

/// 48 V, gain and pad, sockets of the same value together, with the desk that may change them. What stands
/// at a socket with its source is not said again, but for who sets it.
pub(super) fn preamps(view: &View, device: &str) -> Table {
    let mut groups: Vec<(String, &str, Option<&str>, BTreeSet<u32>)> = Vec::new();
    for set in ["phantom", "pad", "gain"] {
        for setting in view.settings.iter().filter(|s| s.device == device && s.set == set) {
            let at_socket = said_at_socket(view, setting);
            if at_socket && setting.owner.as_deref().is_none_or(|owner| owner == device) {
                continue;
            }
            let what = if at_socket { word(set).to_string() } else { preamp(setting) };
            let numbers = setting.first.unwrap_or(1)..=setting.last.or(setting.first).unwrap_or(1);
            let owner = setting.owner.as_deref();
            let same = groups.iter_mut().find(|g| g.0 == what && g.1 == setting.bank && g.2 == owner);
            match same {
                Some(group) => group.3.extend(numbers),
                None => groups.push((what, &setting.bank, owner, numbers.collect())),
            }
        }
    }
    let mut table = Table::default();
    for (what, bank, owner, numbers) in groups {
        let owner = owner.filter(|owner| *owner != device).map(|owner| format!("set from {owner}"));
        table.row([what, format!("{bank} {}", ranges(&numbers)), owner.unwrap_or_default()]);
    }
    table
}

/// One socket's own setting, on, of a socket that some source comes by.
fn said_at_socket(view: &View, setting: &Setting) -> bool {
    let Some(number) = setting.first.filter(|first| setting.last.is_none_or(|last| last == *first)) else {
        return false;
    };
    let on = setting.set == "gain" || setting.is_on();
    on && plugged(view, &point(&setting.device, &setting.bank, number)).is_some()
}

fn word(set: &str) -> &str {
    if set == "phantom" { "48 V" } else { set }
}
