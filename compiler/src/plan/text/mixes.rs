//! What goes into each mix of a desk, as far as the plan says it. Of a mix whose contents nobody said stands here
//! what must not go into it.

use crate::plan::contents::{Contents, Places};
use crate::plan::data::{Device, Mix, Role};
use crate::plan::point::{Points, range};
use crate::plan::table::Table;
use crate::plan::view::View;
use std::collections::BTreeSet;

/// The width of the list of names.
const WIDTH: usize = 72;

/// Number, label, stereo, contents. Neighbours that carry the same are one row.
pub(super) fn list(view: &View, full: &View, device: &Device) -> Table {
    let mut table = said(view, full, device);
    for promise in &view.promised {
        let Some(at) = Points::read(&promise.mix).filter(|at| at.device == device.name) else { continue };
        let mut number = format!("{} {}", at.bank, at.first);
        let mut label = label(full, &[&promise.mix]);
        for line in lines(&promise.without) {
            let line = if number.is_empty() { line } else { format!("do not send {line}") };
            table.row([std::mem::take(&mut number), std::mem::take(&mut label), String::new(), line]);
        }
    }
    table
}

/// The mixes of which rows say what they carry.
fn said(view: &View, full: &View, device: &Device) -> Table {
    let mut runs: Vec<(Points, Vec<&Mix>)> = Vec::new();
    let mut own: Vec<(Points, &Mix)> =
        view.mixes.iter().filter_map(|mix| Some((Points::read(&mix.mix)?, *mix))).collect();
    own.retain(|(at, _)| at.device == device.name);
    own.sort_by_key(|(at, _)| (view.bank_index(at.device, at.bank), at.first));
    for (at, mix) in own {
        match runs.last_mut() {
            Some((run, mixes)) if joins(run, mixes, &at, mix) => {
                run.last = at.first;
                mixes.push(mix);
            }
            _ => runs.push((at, vec![mix])),
        }
    }
    let channels = channels(full, device);
    let mut table = Table::default();
    for (at, mixes) in runs {
        let Some(mix) = mixes.first() else { continue };
        let mut number = format!("{} {}", at.bank, range(at.first, at.last));
        let names: Vec<&str> = mixes.iter().map(|mix| mix.mix.as_str()).collect();
        let mut label = label(full, &names);
        let mut stereo = if mix.stereo { "stereo".to_string() } else { String::new() };
        for line in lines(&contents(full, mix, &channels)) {
            table.row([std::mem::take(&mut number), std::mem::take(&mut label), std::mem::take(&mut stereo), line]);
        }
    }
    table
}

/// A stereo mix has two sides and no more.
fn joins(run: &Points, mixes: &[&Mix], at: &Points, mix: &Mix) -> bool {
    let same = mixes.last().is_some_and(|last| last.of == mix.of && last.stereo == mix.stereo);
    let side = !mix.stereo || mixes.len() % 2 == 1;
    same && side && run.bank == at.bank && run.last.checked_add(1) == Some(at.first)
}

/// `Drums` for the two sides of one, else every label.
fn label(full: &View, mixes: &[&str]) -> String {
    let of = |mix: &&str| {
        let in_acts = full.plan.acts.iter().flat_map(|act| &act.signals);
        let signal = full.signals.iter().copied().chain(in_acts).find(|signal| signal.source == *mix)?;
        Some(signal.label.as_str()).filter(|label| *label != *mix)
    };
    let labels: Vec<&str> = mixes.iter().filter_map(of).collect();
    if let [left, right] = labels.as_slice()
        && let Some(stem) = left.strip_suffix(" L")
        && right.strip_suffix(" R") == Some(stem)
    {
        return stem.to_string();
    }
    labels.join(", ")
}

/// The inputs that stand on the desk's channels, each with its first place.
fn channels<'p>(full: &View<'p>, device: &Device) -> Places<'p> {
    let banks = full.wiring(&device.name).map(|wiring| wiring.banks.as_slice()).unwrap_or_default();
    let first = banks.iter().position(|bank| bank.role == Role::Inner && bank.end);
    let mut found = Places::new();
    for signal in &full.signals {
        for end in signal.ends.iter().filter(|end| end.asked) {
            let Some(at) = Points::read(&end.end).filter(|at| at.device == device.name) else { continue };
            let bank = full.bank_index(at.device, at.bank);
            if Some(bank) == first {
                let place = found.entry(signal.source.as_str()).or_insert((bank, at.first));
                *place = (*place).min((bank, at.first));
            }
        }
    }
    found
}

/// The names, in the order of channels: `kick, snare`, or `every input but talkback`.
fn contents(full: &View, mix: &Mix, channels: &Places) -> Vec<String> {
    match Contents::of(mix, channels) {
        Contents::Nothing => vec!["nothing".to_string()],
        Contents::These(of) => names(full, &of, channels),
        Contents::AllBut(missing) => {
            let mut said = names(full, &missing, channels);
            match said.first_mut() {
                Some(first) => *first = format!("every input but {first}"),
                None => said.push("every input".to_string()),
            }
            said
        }
    }
}

/// A row of which all sources are there goes by its own name: `keys` for `keys.left` and `keys.right`.
fn names(full: &View, of: &BTreeSet<&str>, channels: &Places) -> Vec<String> {
    let row = |name: &str| {
        let (row, _) = name.rsplit_once('.')?;
        let act = full.plan.acts.iter().any(|act| act.act == row);
        let part = |other: &str| other.rsplit_once('.').is_some_and(|(of, _)| of == row);
        let mut parts = full.plugs.iter().map(|plug| plug.source.as_str()).filter(|other| part(other));
        (!act && parts.all(|part| of.contains(part))).then(|| row.to_string())
    };
    let mut ordered: Vec<&str> = of.iter().copied().collect();
    ordered.sort_by_key(|name| (channels.get(name).copied().unwrap_or((usize::MAX, 0)), *name));
    let mut said: Vec<String> = Vec::new();
    for name in ordered {
        let name = row(name).unwrap_or_else(|| name.to_string());
        if !said.contains(&name) {
            said.push(name);
        }
    }
    said
}

/// The names with commas, no line longer than need be.
pub(super) fn lines(names: &[String]) -> Vec<String> {
    let mut lines = vec![String::new()];
    for (at, name) in names.iter().enumerate() {
        let comma = if at + 1 < names.len() { "," } else { "" };
        match lines.last_mut() {
            Some(line) if line.is_empty() => line.push_str(&format!("{name}{comma}")),
            Some(line) if line.chars().count() + name.chars().count() < WIDTH => {
                line.push_str(&format!(" {name}{comma}"))
            }
            _ => lines.push(format!("{name}{comma}")),
        }
    }
    lines
}
