//! Words that several sheets share for a place, a switch and a line.

use super::super::known::Known;
use super::super::sheet::{Cell, Sign};
use crate::plan::{Device, Plug, Points, Role, Source, range, said_of_itself};

/// `stage-left in 3`: a point as it is said aloud.
pub(super) fn spoken(known: &Known, at: &str) -> String {
    aloud(at, |device| known.called(device))
}

/// The same, where somebody else knows what devices are called.
pub(super) fn aloud(at: &str, called: impl Fn(&str) -> String) -> String {
    let said = Points::read(at).map(|at| format!("{} {}", called(at.device), local(&at)));
    said.unwrap_or_else(|| at.to_string())
}

/// `in 3`, `in 1-8`
pub(super) fn local(at: &Points) -> String {
    format!("{} {}", at.bank, range(at.first, at.last))
}

/// `foh`, or `Broadcast truck (truck)`: a device on the head of a sheet.
pub(super) fn headed(device: &Device) -> String {
    match &device.label {
        Some(label) if *label != device.name => format!("{label} ({})", device.name),
        _ => device.name.clone(),
    }
}

pub(super) fn phantom_on() -> Cell {
    Cell { text: "48 V".into(), sign: Some(Sign::Phantom) }
}

pub(super) fn never_phantom() -> Cell {
    Cell { text: "NEVER 48 V".into(), sign: Some(Sign::NeverPhantom) }
}

/// What stands at a socket under 48 V: on, here or where its line leads; never; or which preamp gives it.
pub(super) fn phantom(known: &Known, at: &Points, source: Option<&str>) -> Cell {
    if known.is_on("phantom", at) {
        return phantom_on();
    }
    let Some(source) = source else { return Cell::default() };
    if known.never_phantom(source) {
        return never_phantom();
    }
    let supplier = known.plugs_of(source).iter().rev().find_map(|plug| plug.phantom_path.last());
    let Some(supplier) = supplier else { return Cell::default() };
    let passive = known.device(at.device).is_some_and(|one| matches!(one.role.as_str(), "snake" | "split"));
    if passive && known.leads_to(at).contains(supplier) {
        return phantom_on();
    }
    let text = format!("48 V from {}", spoken(known, supplier));
    if passive { Cell { text, sign: Some(Sign::Phantom) } } else { Cell::from(format!("no: {text}")) }
}

/// `tall`, `clip`; nothing where it needs none.
pub(super) fn stand(plug: Option<&Plug>) -> String {
    plug.and_then(|plug| plug.stand.clone()).filter(|stand| stand != "none").unwrap_or_default()
}

pub(super) fn mic(plug: Option<&Plug>) -> String {
    plug.and_then(|plug| plug.mic.clone()).unwrap_or_default()
}

/// What a row says of a source beside its place and its people.
pub(super) fn notes(source: &Source) -> Vec<String> {
    let mut notes = said_of_itself(source);
    notes.extend(source.ears_only.then(|| "ears only".to_string()));
    notes.extend(source.data.then(|| "in no mix".to_string()));
    notes.extend(source.remarks.note.clone());
    notes
}

/// The line that brings something to a socket: `drum-riser 3`. The end of a snake has its numbers on it and no name.
pub(super) fn comes_by(known: &Known, at: &str) -> Option<String> {
    let line = known.in_paths(at);
    let of_snake = Points::read(&line).filter(|at| known.device(at.device).is_some_and(|one| one.role == "snake"));
    let said = || of_snake.map(|at| format!("{} {}", known.called(at.device), range(at.first, at.last)));
    (line != at && known.role(at) == Some(Role::In)).then(|| said().unwrap_or_else(|| spoken(known, &line)))
}

/// `mix 1` of `foh.mix 1`.
pub(super) fn made(from: &str) -> String {
    Points::read(from).map_or_else(|| from.to_string(), |at| local(&at))
}

/// What is plugged in at the end of a line out, in words: `in-ear sender`.
pub(super) fn at_the_end(used_as: Option<&str>) -> String {
    match used_as {
        Some("in-ears") => "in-ear sender".to_string(),
        Some("pa") => "PA".to_string(),
        Some("side-fill") => "side fill".to_string(),
        Some(other) => other.replace('-', " "),
        None => String::new(),
    }
}
