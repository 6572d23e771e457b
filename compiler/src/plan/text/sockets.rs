//! What is plugged in, what comes out, and what carries nothing. Says only what the plan says.

use super::said;
use crate::plan::data::{Bank, Device, End, Role, Signal};
use crate::plan::dial::preamp;
use crate::plan::point::{Points, point, range, ranges};
use crate::plan::table::Table;
use crate::plan::usage::Usage;
use crate::plan::view::View;
use std::collections::{BTreeMap, BTreeSet};

/// Number, source, label, microphone and stand where it stands, 48 V, gain, pad, what else is said of it, and the
/// line it comes by.
pub(super) fn inputs(view: &View, full: &View, device: &Device) -> Table {
    let mut table = Table::default();
    for bank in banks(view, device, |bank| bank.role == Role::In) {
        for n in 1..=bank.size {
            let at = point(&device.name, &bank.bank, n);
            let Some((source, asks, by)) = plugged(view, &at) else { continue };
            let signal = full.signals.iter().find(|signal| signal.source == source);
            let label = signal.map(|s| s.label.clone()).unwrap_or_default();
            let spot = Points { device: &device.name, bank: &bank.bank, first: n, last: n };
            let preamp = |set| full.setting(set, &spot).map(preamp);
            let on = |text: Option<String>| text.filter(|t| !t.ends_with(" off"));
            let phantom = on(preamp("phantom")).or_else(|| {
                // What only passes the copper on has no switch to leave off.
                let passive = matches!(device.role.as_str(), "snake" | "split");
                let here = if passive { "" } else { ", not from here" };
                asks.then(|| format!("{}{here}", supplied(full, &source)))
            });
            let phantom = phantom.or_else(|| never(full, &source)).unwrap_or_default();
            let mut by = by.map(|by| format!("by {by}")).unwrap_or_default();
            if signal.is_none_or(|s| s.ends.is_empty()) {
                by.push_str(if by.is_empty() { "feeds nothing" } else { ", feeds nothing" });
            }
            let plug = view.plugs.iter().find(|plug| plug.at == at);
            let mic = mic(full, &source);
            let stand = plug.and_then(|plug| plug.stand.as_deref()).map(stand).unwrap_or_default();
            let gain = preamp("gain").unwrap_or_default();
            let number = format!("{} {n}", bank.bank);
            let pad = on(preamp("pad")).unwrap_or_default();
            let said = full.sources.iter().find(|said| said.source == source).map(|said| said::of_source(said));
            let said = said.into_iter().chain(power_of_spare(full, &source)).collect::<Vec<_>>().join(", ");
            table.row([number, source, label, mic, stand, phantom, gain, pad, said, by]);
        }
    }
    table
}

/// The microphone or DI of a source, wherever it is plugged in.
pub(super) fn mic(full: &View, source: &str) -> String {
    full.plugs.iter().find(|plug| plug.source == source).and_then(|plug| plug.mic.clone()).unwrap_or_default()
}

/// `never 48 V` of what gives microphone level and can be hurt.
pub(super) fn never(full: &View, source: &str) -> Option<String> {
    let said = full.sources.iter().find(|said| said.source == source)?;
    full.plan.phantom_hurts(said).then(|| "never 48 V".to_string())
}

/// Of a spare that needs 48 V: the ones that it stands in for and that have none where they are plugged.
fn power_of_spare(full: &View, spare: &str) -> Option<String> {
    let said = full.sources.iter().find(|said| said.source == spare)?;
    let needs = full.plan.kinds.get(said.kind.as_ref()?).is_some_and(|kind| kind.phantom == "needs");
    let without = |of: &&String| full.plugs.iter().any(|plug| plug.source == **of && !plug.phantom);
    let of: Vec<&str> = said.spare_for.iter().filter(without).map(String::as_str).collect();
    (needs && !of.is_empty()).then(|| format!("no 48 V where {} plugs in: keep its own socket", of.join(", ")))
}

/// `tall stand`, `no stand`
fn stand(word: &str) -> String {
    match word {
        "none" => "no stand".to_string(),
        "clip" => "clip".to_string(),
        other => format!("{other} stand"),
    }
}

/// `48 V from pit.in 1`: which preamp supplies a source, where it is another than the one at hand.
pub(super) fn supplied(full: &View, source: &str) -> String {
    let mut plugs = full.plugs.iter().rev().filter(|plug| plug.source == source);
    let preamp = plugs.find_map(|plug| plug.phantom_path.last());
    preamp.map_or_else(|| "needs 48 V".to_string(), |socket| format!("48 V from {socket}"))
}

/// The source at a socket, whether it asks for phantom, and the line that brings it, where it does not
/// stand on the socket itself.
pub(super) fn plugged(view: &View, at: &str) -> Option<(String, bool, Option<String>)> {
    if let Some(plug) = view.plugs.iter().find(|plug| plug.at == at) {
        return Some((plug.source.clone(), plug.phantom, None));
    }
    let line = view.in_paths(at);
    let signal = if line == at { None } else { view.through(&line).first().copied() }?;
    let asks = view.plugs.iter().any(|plug| plug.source == signal.source && plug.phantom);
    Some((signal.source.clone(), asks, Some(line)))
}

/// What each socket then carries: number, source, label, use, what else is said of it, and where it is on the way
/// to. The tail of a snake is no socket: what it carries stands where it is plugged.
pub(super) fn outputs(view: &View, full: &View, device: &Device) -> Table {
    let mut table = Table::default();
    for bank in banks(view, device, |bank| bank.role == Role::Out && bank.end) {
        for n in 1..=bank.size {
            let at = point(&device.name, &bank.bank, n);
            for (signal, end) in ending(view, &at) {
                let asked = end.asked;
                if !asked && view.far_end(&at).is_some() {
                    continue;
                }
                let on_the_way = passed_on(signal, &at);
                let why = match on_the_way {
                    _ if asked => String::new(),
                    Some(end) => format!("on the way to {end}"),
                    None => continue,
                };
                let label = if signal.label == signal.source { String::new() } else { signal.label.clone() };
                let used_as = end.used_as.clone().unwrap_or_default();
                let said = full.outputs.iter().find(|said| said.to == at).map(|said| said::of_output(said));
                let said = said.unwrap_or_default();
                table.row([format!("{} {n}", bank.bank), signal.source.clone(), label, used_as, said, why]);
            }
        }
    }
    table
}

/// What a desk makes and other gear puts out: point, use, and the socket.
pub(super) fn leaving(view: &View, device: &Device) -> Table {
    let mut table = Table::default();
    for signal in view.signals.iter().filter(|_| device.role == "desk") {
        let Some(at) = Points::read(&signal.source).filter(|at| at.device == device.name) else { continue };
        let is_out = |end: &&End| {
            let Some(to) = Points::read(&end.end).filter(|to| to.device != device.name) else { return false };
            let banks = view.wiring(to.device).map(|wiring| wiring.banks.as_slice()).unwrap_or_default();
            end.asked && banks.iter().any(|bank| bank.bank == to.bank && bank.role == Role::Out)
        };
        for end in signal.ends.iter().filter(is_out) {
            let label = if signal.label == signal.source { String::new() } else { signal.label.clone() };
            let used_as = end.used_as.clone().unwrap_or_default();
            table.row([format!("{} {}", at.bank, at.first), label, used_as, format!("by {}", end.end)]);
        }
    }
    table
}

/// What nobody asked for and blocks bring along, neighbours together. What lines bring that were laid for it
/// by hand, such as the leg of a split to a truck, somebody asked for.
pub(super) fn dragged(view: &View, device: &Device) -> Table {
    let any = View::any(view.plan);
    let mut runs: Vec<(String, BTreeSet<u32>, Vec<String>)> = Vec::new();
    for bank in banks(view, device, |bank| bank.end) {
        for n in 1..=bank.size {
            let at = point(&device.name, &bank.bank, n);
            for (signal, end) in ending(view, &at) {
                if end.asked
                    || view.far_end(&at).is_some()
                    || any.laid_by_hand(&end.path)
                    || (bank.role == Role::Out && passed_on(signal, &at).is_some())
                {
                    continue;
                }
                match runs.last_mut() {
                    Some((b, numbers, sources)) if *b == bank.bank && numbers.last().is_some_and(|l| l + 1 == n) => {
                        numbers.insert(n);
                        sources.push(signal.source.clone());
                    }
                    _ => runs.push((bank.bank.clone(), BTreeSet::from([n]), vec![signal.source.clone()])),
                }
            }
        }
    }
    let mut table = Table::default();
    for (bank, numbers, sources) in runs {
        table.row([format!("{bank} {}", ranges(&numbers)), in_runs(&sources).join(", ")]);
    }
    table
}

/// Banks in which points stay without a signal, and what that means for whoever stands there.
pub(super) fn unused(view: &View, device: &Device, usage: &Usage) -> Table {
    let mut table = Table::default();
    for bank in banks(view, device, |bank| bank.role != Role::Origin) {
        let mut free: BTreeSet<u32> = (1..=bank.size).collect();
        free.retain(|n| !usage.passed(&device.name, &bank.bank).contains(n));
        free.retain(|n| !view.plugs.iter().any(|plug| plug.at == point(&device.name, &bank.bank, *n)));
        let means = match (bank.role, device.role.as_str()) {
            (Role::In, "desk") => "feed no channel",
            (Role::In, _) => "free",
            _ if !bank.end => continue,
            (Role::Out, _) => "silent",
            _ => "unused",
        };
        free.retain(|n| view.far_end(&point(&device.name, &bank.bank, *n)).is_none());
        let dead: BTreeSet<u32> = device.out_of_use.iter().copied().filter(|_| bank.role == Role::In).collect();
        free.retain(|n| !dead.contains(n));
        let lined = |n: &u32| {
            let at = point(&device.name, &bank.bank, *n);
            view.in_paths(&at) != at
        };
        let (lines, free) = free.into_iter().partition::<BTreeSet<u32>, _>(lined);
        let rows = [(free, means.to_string()), (lines, "a line without a source".to_string())];
        for (numbers, means) in rows.into_iter().chain(out_of_use(device, &dead)).filter(|row| !row.0.is_empty()) {
            table.row([format!("{} {}:", bank.bank, ranges(&numbers)), means]);
        }
    }
    table
}

/// The lines that are kept for something, by what for, then those that are dead.
fn out_of_use(device: &Device, lines: &BTreeSet<u32>) -> Vec<(BTreeSet<u32>, String)> {
    let (mut kept, mut dead) = (BTreeMap::<&str, BTreeSet<u32>>::new(), lines.clone());
    for one in device.kept_for.iter().filter(|kept| lines.contains(&kept.line)) {
        kept.entry(&one.for_what).or_default().insert(one.line);
        dead.remove(&one.line);
    }
    let kept = kept.into_iter().map(|(what, lines)| (lines, format!("kept for {what}, plug nothing here")));
    kept.chain([(dead, "out of use, plug nothing here".to_string())]).collect()
}

fn banks<'p>(view: &View<'p>, device: &Device, wanted: fn(&Bank) -> bool) -> impl Iterator<Item = &'p Bank> {
    let banks = view.wiring(&device.name).map(|wiring| wiring.banks.as_slice()).unwrap_or_default();
    banks.iter().filter(move |bank| wanted(bank))
}

fn ending<'p>(view: &View<'p>, at: &str) -> Vec<(&'p Signal, &'p End)> {
    let ends = view.signals.iter().flat_map(|signal| signal.ends.iter().map(move |end| (*signal, end)));
    ends.filter(|(_, end)| end.end == at).collect()
}

/// An asked end that lies behind this one.
fn passed_on<'p>(signal: &'p Signal, at: &str) -> Option<&'p str> {
    let behind = |end: &&crate::plan::data::End| end.asked && end.end != at && end.path.iter().any(|p| p == at);
    signal.ends.iter().find(behind).map(|end| end.end.as_str())
}

/// `foh.mix 1-6`, `kick-in`: points that count on by one are one range.
pub(super) fn in_runs(sources: &[String]) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    let mut last: Option<Points> = None;
    for source in sources {
        let here = Points::read(source);
        let merged = match (last, here) {
            (Some(l), Some(h)) if (l.device, l.bank) == (h.device, h.bank) && l.last + 1 == h.first => {
                Some(Points { last: h.last, ..l })
            }
            _ => None,
        };
        if let Some(run) = merged {
            parts.pop();
            parts.push(format!("{}.{} {}", run.device, run.bank, range(run.first, run.last)));
            last = merged;
        } else {
            parts.push(source.clone());
            last = here;
        }
    }
    parts
}
