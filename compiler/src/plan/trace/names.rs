//! What somebody means by `kick-in`, `mix 1` or `stage-left 9`. Guesses only where one thing can be meant.

use super::TraceError;
use crate::diagnostics::nearest;
use crate::plan::data::{Device, Slots};
use crate::plan::point::{Points, point, range, read_range};
use crate::plan::view::View;
use std::collections::BTreeSet;

/// One thing to trace.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Target {
    Source(String),
    Point(String),
}

/// The targets that a text names, in its order. `view` holds every act.
pub(super) fn read(view: &View, what: &str) -> Result<Vec<Target>, TraceError> {
    let words: Vec<&str> = what.split_whitespace().collect();
    let Some((name, numbers)) = words.split_first() else {
        return Err(TraceError::NoPoint { what: what.to_string(), example: example(view, None) });
    };
    if let Some(label) = quoted(what) {
        let meant = labelled(view, label);
        let none = || TraceError::Unknown { what: what.trim().to_string(), nearest: nearest_label(view, label) };
        return if meant.is_empty() { Err(none()) } else { Ok(meant) };
    }
    if numbers.is_empty() {
        let sources = sources(view, name)?;
        if !sources.is_empty() {
            return Ok(sources.into_iter().map(Target::Source).collect());
        }
    }
    if let [part] = numbers
        && known(view).contains(&format!("{name}.{part}"))
    {
        return Ok(vec![Target::Source(format!("{name}.{part}"))]);
    }
    let asked = match numbers.split_first() {
        // `left out 3` for `left.out 3`
        Some((bank, numbers)) if view.device(name).is_some() && bank.starts_with(char::is_alphabetic) => {
            points(view, &format!("{name}.{bank}"), &numbers.concat())
        }
        _ => points(view, name, &numbers.concat()),
    };
    asked.or_else(|why| {
        let others = if numbers.is_empty() { used_as(view, name) } else { Vec::new() };
        let others = if others.is_empty() { labelled(view, what.trim()) } else { others };
        if others.is_empty() { Err(why) } else { Ok(others) }
    })
}

/// What stands between quotes, straight or curly.
fn quoted(what: &str) -> Option<&str> {
    let inner = |open: char, close: char| what.trim().strip_prefix(open)?.strip_suffix(close);
    inner('"', '"').or_else(|| inner('“', '”'))
}

/// The signals of that label, in whichever case; `Drums` is `Drums L` and `Drums R` where nothing is called
/// `Drums` alone.
fn labelled(view: &View, label: &str) -> Vec<Target> {
    let label = label.trim().to_lowercase();
    let of = |wanted: &dyn Fn(&str) -> bool| -> Vec<Target> {
        let mut targets: Vec<Target> = Vec::new();
        for signal in view.signals.iter().filter(|signal| wanted(&signal.label.to_lowercase())) {
            let name = signal.source.clone();
            let target = if name.contains(' ') { Target::Point(name) } else { Target::Source(name) };
            if !targets.contains(&target) {
                targets.push(target);
            }
        }
        targets
    };
    let whole = of(&|said| said == label);
    if !whole.is_empty() {
        return whole;
    }
    of(&|said| said.strip_suffix(" l").or(said.strip_suffix(" r")) == Some(label.as_str()))
}

fn nearest_label(view: &View, label: &str) -> Option<String> {
    nearest(label, view.signals.iter().map(|signal| signal.label.as_str())).map(|near| format!("\"{near}\""))
}

/// The outputs that are for this: `pa`, `wedge`.
fn used_as(view: &View, word: &str) -> Vec<Target> {
    let ends = view.signals.iter().flat_map(|signal| &signal.ends);
    let ends: BTreeSet<(usize, u32, &str)> = ends
        .filter(|end| end.used_as.as_deref() == Some(word))
        .filter_map(|end| {
            let at = Points::read(&end.end)?;
            Some((view.bank_index(at.device, at.bank), at.first, end.end.as_str()))
        })
        .collect();
    ends.into_iter().map(|(_, _, end)| Target::Point(end.to_string())).collect()
}

/// Every plugged source's name.
fn known(view: &View) -> BTreeSet<String> {
    let plugged = view.plugs.iter().map(|plug| &plug.source);
    plugged.chain(view.signals.iter().map(|s| &s.source).filter(|s| !s.contains(' '))).cloned().collect()
}

/// The source of that name, else its parts (`toms` is `toms.1`, `toms.2`), else the one act's source of
/// that name, else one of the house that every act replaces.
fn sources(view: &View, name: &str) -> Result<Vec<String>, TraceError> {
    let known = known(view);
    if known.contains(name) {
        return Ok(vec![name.to_string()]);
    }
    let parts: Vec<String> =
        known.iter().filter(|s| s.strip_prefix(name).is_some_and(|r| r.starts_with('.'))).cloned().collect();
    let is_act = view.plan.acts.iter().any(|act| act.act == name);
    if !parts.is_empty() && !is_act {
        return Ok(parts);
    }
    // `right` is an act's `right`, and not the right side of `keys`.
    let of_act = |s: &String| {
        let act = s.strip_suffix(name).and_then(|rest| rest.strip_suffix('.'));
        act.is_some_and(|of| view.plan.acts.iter().any(|act| act.act == of))
    };
    let in_acts: Vec<String> = known.iter().filter(|s| of_act(s)).cloned().collect();
    match in_acts.len() {
        0 if view.replaced.iter().any(|gone| gone.source == name) => Ok(vec![name.to_string()]),
        0 | 1 => Ok(in_acts),
        _ => Err(TraceError::Ambiguous { what: name.to_string(), choices: in_acts }),
    }
}

fn points(view: &View, name: &str, numbers: &str) -> Result<Vec<Target>, TraceError> {
    let what = if numbers.is_empty() { name.to_string() } else { format!("{name} {numbers}") };
    let mut ranges = Vec::new();
    for part in numbers.split(',').filter(|part| !part.is_empty()) {
        let range = read_range(&part.replace('–', "-")).filter(|(first, _)| *first > 0);
        ranges.push(range.ok_or_else(|| TraceError::NoPoint { what: what.clone(), example: example(view, None) })?);
    }
    let last = ranges.iter().map(|(_, last)| *last).max();
    let (device, bank, size) = find_bank(view, name, &what, &ranges)?;
    let full = format!("{}.{bank}", device.name);
    if last.is_some_and(|last| last > size) {
        return Err(TraceError::PastTheEnd { what: full_name(&full, &ranges), bank: full, size });
    }
    if ranges.is_empty() {
        ranges.push((1, size));
    }
    Ok(ranges
        .into_iter()
        .flat_map(|(first, last)| first..=last)
        .map(|n| Target::Point(point(&device.name, &bank, n)))
        .collect())
}

fn full_name(bank: &str, ranges: &[(u32, u32)]) -> String {
    let ranges: Vec<String> = ranges.iter().map(|(first, last)| range(*first, *last)).collect();
    format!("{bank} {}", ranges.join(", "))
}

type Found<'p> = (&'p Device, String, u32);

/// The bank or port that a name means: `foh.mix`, `stage-left` with its bank left out, `mix` with its
/// desk left out.
fn find_bank<'p>(view: &View<'p>, name: &str, what: &str, ranges: &[(u32, u32)]) -> Result<Found<'p>, TraceError> {
    if let Some(device) = view.device(name) {
        return bank_left_out(view, device, what, ranges);
    }
    if let Some((device, bank)) = name.rsplit_once('.').and_then(|(device, bank)| Some((view.device(device)?, bank))) {
        let banks = banks(view, &device.name);
        let found = banks.iter().find(|(known, _)| known == bank);
        return found.map(|(bank, size)| (device, bank.clone(), *size)).ok_or_else(|| TraceError::Unknown {
            what: what.to_string(),
            nearest: nearest(bank, banks.iter().map(|(b, _)| b.as_str())).map(|b| format!("{}.{b}", device.name)),
        });
    }
    let having = |desk: bool| -> Vec<Found<'p>> {
        let devices = view.all_devices().iter().copied().filter(|d| !desk || d.role == "desk");
        let of =
            |d: &'p Device| banks(view, &d.name).into_iter().find(|(b, _)| b == name).map(|(b, size)| (d, b, size));
        devices.filter_map(of).collect()
    };
    let found = Some(having(true)).filter(|found| !found.is_empty()).unwrap_or_else(|| having(false));
    match found.as_slice() {
        [one] => Ok(one.clone()),
        [] => Err(unknown(view, name, what)),
        _ => Err(TraceError::Ambiguous {
            what: what.to_string(),
            choices: found
                .iter()
                .map(|(d, b, _)| full_name(&format!("{}.{b}", d.name), ranges).trim().to_string())
                .collect(),
        }),
    }
}

/// The only bank that has such a number; of several, the only one that carries something there.
fn bank_left_out<'p>(
    view: &View<'p>,
    device: &'p Device,
    what: &str,
    ranges: &[(u32, u32)],
) -> Result<Found<'p>, TraceError> {
    if ranges.is_empty() {
        let example = example(view, Some(&device.name));
        return Err(TraceError::NoPoint { what: what.to_string(), example });
    }
    let banks: Vec<(String, u32)> =
        banks(view, &device.name).into_iter().filter(|(bank, _)| !view.is_port(&device.name, bank)).collect();
    let last = ranges.iter().map(|(_, last)| *last).max().unwrap_or(0);
    let big: Vec<&(String, u32)> = banks.iter().filter(|(_, size)| *size >= last).collect();
    let carries = |bank: &str| {
        let mut points = ranges.iter().flat_map(|(first, last)| *first..=*last).map(|n| point(&device.name, bank, n));
        points.any(|at| !view.through(&at).is_empty() || view.plugs.iter().any(|plug| plug.at == at))
    };
    let live: Vec<&(String, u32)> = big.iter().copied().filter(|(bank, _)| carries(bank)).collect();
    // Head and tail of a snake are one line.
    let sources = |bank: &str| -> Vec<&str> {
        let points = ranges.iter().flat_map(|(first, last)| *first..=*last).map(|n| point(&device.name, bank, n));
        points.flat_map(|at| view.through(&at)).map(|signal| signal.source.as_str()).collect()
    };
    if let [(bank, size), others @ ..] = live.as_slice()
        && others.iter().all(|(other, _)| sources(other) == sources(bank))
    {
        return Ok((device, bank.clone(), *size));
    }
    let largest = banks.iter().max_by_key(|(_, size)| *size);
    match (big.as_slice(), largest) {
        ([(bank, size)], _) => Ok((device, bank.clone(), *size)),
        ([], Some((bank, size))) => Ok((device, bank.clone(), *size)),
        ([], None) => Err(unknown(view, &device.name, what)),
        _ => {
            let named = |(bank, _): &&(String, u32)| full_name(&format!("{}.{bank}", device.name), ranges);
            Err(TraceError::Ambiguous { what: what.to_string(), choices: big.iter().map(named).collect() })
        }
    }
}

/// Banks with their sizes, then ports with the slots they have at the show's rate.
fn banks(view: &View, device: &str) -> Vec<(String, u32)> {
    let Some(wiring) = view.wiring(device) else { return Vec::new() };
    let slots = |slots: &[Slots]| {
        let fast = slots.iter().filter(|s| s.rate_hz >= view.plan.rate_hz).min_by_key(|s| s.rate_hz);
        fast.map(|s| s.inward.max(s.outward)).unwrap_or(0)
    };
    let banks = wiring.banks.iter().map(|bank| (bank.bank.clone(), bank.size));
    banks.chain(wiring.ports.iter().map(|port| (port.port.clone(), slots(&port.slots)))).collect()
}

fn unknown(view: &View, name: &str, what: &str) -> TraceError {
    let mut names: Vec<String> = known(view).into_iter().collect();
    names.extend(view.replaced.iter().map(|gone| gone.source.clone()));
    for device in view.all_devices() {
        names.push(device.name.clone());
        for (bank, _) in banks(view, &device.name) {
            names.push(format!("{}.{bank}", device.name));
            names.push(bank);
        }
    }
    TraceError::Unknown {
        what: what.to_string(),
        nearest: nearest(name, names.iter().map(String::as_str)).map(String::from),
    }
}

/// A point that exists.
fn example(view: &View, device: Option<&str>) -> String {
    let of = device.or(view.all_devices().first().map(|d| d.name.as_str())).unwrap_or("foh");
    let bank = banks(view, of).into_iter().next().map_or_else(|| "channel".to_string(), |(bank, _)| bank);
    point(of, &bank, 1)
}
