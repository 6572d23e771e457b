//! What to dial on one device, in the order of dialling: offsets, slots and modes; then, bank by bank,
//! what feeds it; then the preamps.

use super::sockets::plugged;
use crate::plan::data::Setting;
use crate::plan::point::{Points, point, range, ranges, read_range};
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
        table.row([to, "from".to_string(), format!("{from}{}", unlike_points(view, device, from))]);
    }
    table
}

/// ` (aux-out 1-4, cue 1-2)`: what a named block is, in its order.
fn unlike_points(view: &View, device: &str, block: &str) -> String {
    let blocks = view.wiring(device).map(|wiring| wiring.blocks.as_slice()).unwrap_or_default();
    let named = blocks.iter().find(|known| known.block == block);
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

struct Run<'p> {
    bank: &'p str,
    first: u32,
    last: u32,
    from: String,
}

/// The routes, a block each; point routes joined where both sides count on by one.
fn runs<'p>(settings: &[&'p Setting]) -> Vec<Run<'p>> {
    let mut runs: Vec<(Run, Option<Points>)> = Vec::new();
    for setting in settings.iter().filter(|s| s.set == "route") {
        let Some(from) = setting.from.as_deref() else { continue };
        let first = setting.first.unwrap_or(1);
        let last = setting.last.unwrap_or(first);
        let single = Points::read(from).filter(|from| first == last && from.first == from.last);
        if let (Some(single), Some((run, Some(before)))) = (single, runs.last_mut()) {
            let follows = run.bank == setting.bank && run.last.checked_add(1) == Some(first);
            let same = (before.device, before.bank) == (single.device, single.bank);
            if follows && same && before.last.checked_add(1) == Some(single.first) {
                run.last = first;
                before.last = single.first;
                run.from = format!("{}.{} {}", before.device, before.bank, range(before.first, before.last));
                continue;
            }
        }
        runs.push((Run { bank: &setting.bank, first, last, from: from.to_string() }, single));
    }
    runs.into_iter().map(|(run, _)| run).collect()
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
    let on = setting.set == "gain" || setting.value.as_ref().and_then(|v| v.as_bool()) == Some(true);
    on && plugged(view, &point(&setting.device, &setting.bank, number)).is_some()
}

fn word(set: &str) -> &str {
    if set == "phantom" { "48 V" } else { set }
}

/// `48 V on`, `gain 32 dB`, `pad off`.
pub(crate) fn preamp(setting: &Setting) -> String {
    let on = if setting.value.as_ref().and_then(|v| v.as_bool()).unwrap_or(false) { "on" } else { "off" };
    match setting.set.as_str() {
        "phantom" => format!("48 V {on}"),
        "pad" => format!("pad {on}"),
        other => format!("{other} {} dB", plain(setting.value.as_ref())),
    }
}

/// A value as it is dialled: a whole number without its `.0`, a word without quotes.
pub(super) fn plain(value: Option<&serde_json::Value>) -> String {
    match value {
        None => String::new(),
        Some(serde_json::Value::String(word)) => word.clone(),
        Some(value) => value.as_f64().map_or_else(|| value.to_string(), |number| number.to_string()),
    }
}
