//! What the user fixed: offsets, slots and modes on the instance, and `set` lines. A pin that names no
//! possible value is an error; two pins on one switch are too.

use super::switches::{Switch, SwitchId, Switches, Value, What};
use crate::diagnostics::{Diagnostic, Sort, nearest};
use crate::rig::{Device, Feed, How, LaneKind, LinkEnd, Model, Point, Ride, Rig};
use crate::source::Span;
use crate::syntax::words::DEVICE_ATTRIBUTES;
use crate::wants::{Pin, PinFrom, Scene};
use std::collections::BTreeMap;

/// Where each pin is said.
pub type Said = BTreeMap<SwitchId, Span>;

/// Pins of all devices and `set` lines of a scene.
pub fn read(scene: &Scene, number: usize, switches: &mut Switches, said: &mut Said, found: &mut Vec<Diagnostic>) {
    for (index, device) in (0u32..).zip(&scene.rig.devices) {
        if let Some(model) = scene.rig.model(index) {
            on_device(&scene.rig, index, device, model, switches, said, found);
        }
    }
    for pin in &scene.pins {
        set_line(scene, number, pin, switches, said, found);
    }
}

fn pin(
    switch: Switch,
    value: Value,
    span: Span,
    switches: &mut Switches,
    said: &mut Said,
    found: &mut Vec<Diagnostic>,
) {
    let id = switches.number(switch);
    let before = switches.pins.insert(id, value);
    if let (Some(before), Some(first)) = (before, said.insert(id, span))
        && before != value
    {
        found.push(
            Diagnostic::error("pinned-twice", span, "this setting is fixed to two values")
                .label(first, "the other one")
                .help("keep one of them"),
        );
    }
}

fn on_device(
    rig: &Rig,
    index: u32,
    device: &Device,
    model: &Model,
    switches: &mut Switches,
    said: &mut Said,
    found: &mut Vec<Diagnostic>,
) {
    if device.model_missing {
        return;
    }
    let name = &device.name;
    if let Some(offset) = &device.offset {
        let plain = model.takes.iter().find(|take| take.mode.is_none() && matches!(take.at, Ride::Setting(_)));
        match plain {
            Some(take) => {
                let at = Choice { what: What::Offset { lane: take.bank as u32 }, word: "offset", value: offset.value };
                choose(rig, index, name, &take.at, at, offset.span, switches, said, found);
            }
            None => found.push(without(name, "offset", offset.span)),
        }
    }
    if let Some(slot) = &device.slot {
        match model.carries.iter().find(|carry| matches!(carry.at, Ride::Setting(_))) {
            Some(carry) => {
                let at = Choice { what: What::Slot { lane: carry.bank as u32 }, word: "slot", value: slot.value };
                choose(rig, index, name, &carry.at, at, slot.span, switches, said, found);
            }
            None => found.push(without(name, "slot", slot.span)),
        }
    }
    for mode in &device.modes {
        let Some(bank) = model.bank(&mode.bank.value) else {
            let message = format!("`{name}` has no bank called `{}`", mode.bank.value);
            let banks = (0..).zip(&model.lanes).filter(|(lane, _)| !model.modes(*lane).is_empty());
            let known = banks.map(|(_, lane)| lane.name.as_str()).chain(DEVICE_ATTRIBUTES.iter().copied());
            let part = format!("{name}.{}", mode.bank.value);
            found.push(
                Diagnostic::unknown(Sort::Part, part, mode.bank.span, message)
                    .near(mode.bank.span, nearest(&mode.bank.value, known)),
            );
            continue;
        };
        let modes = model.modes(bank);
        let Some(value) = modes.iter().position(|known| *known == mode.mode.value) else {
            let listed: Vec<String> = modes.iter().map(|mode| format!("`{mode}`")).collect();
            let message = format!("`{name}.{}` has no mode called `{}`", mode.bank.value, mode.mode.value);
            let part = format!("{name}.{} {}", mode.bank.value, mode.mode.value);
            let near = nearest(&mode.mode.value, modes.iter().copied());
            let problem = Diagnostic::unknown(Sort::Part, part, mode.mode.span, message).near(mode.mode.span, near);
            found.push(if listed.is_empty() {
                problem
            } else {
                problem.help(format!("it has {}", listed.join(" and ")))
            });
            continue;
        };
        let switch = Switch { device: name.clone(), what: What::Mode { lane: bank as u32 }, scene: None };
        pin(switch, Value(u32::try_from(value).unwrap_or(0)), mode.mode.span, switches, said, found);
        if let Some(offset) = &mode.offset {
            let take =
                model.takes.iter().find(|take| take.bank == bank && take.mode.as_deref() == Some(&mode.mode.value));
            match take {
                Some(take) => {
                    let at = Choice { what: What::Offset { lane: bank as u32 }, word: "offset", value: offset.value };
                    choose(rig, index, name, &take.at, at, offset.span, switches, said, found);
                }
                None => found.push(without(name, "offset", offset.span)),
            }
        }
    }
}

fn without(name: &str, word: &str, span: Span) -> Diagnostic {
    Diagnostic::error("no-such-setting", span, format!("`{name}` has no {word} to set"))
        .help(format!("take `{word}` out"))
}

struct Choice {
    what: What,
    word: &'static str,
    value: u32,
}

#[allow(clippy::too_many_arguments)]
fn choose(
    rig: &Rig,
    index: u32,
    name: &str,
    at: &Ride,
    choice: Choice,
    span: Span,
    switches: &mut Switches,
    said: &mut Said,
    found: &mut Vec<Diagnostic>,
) {
    let choices = super::switches::choices(at);
    if !choices.contains(&choice.value) {
        let listed: Vec<String> = choices.iter().map(u32::to_string).collect();
        let message = format!("`{name}` cannot stand at {} {}", choice.word, choice.value);
        found.push(
            Diagnostic::error("offset-not-possible", span, message)
                .help(format!("it can stand at {}", listed.join(", ")))
                .about(name.to_string()),
        );
        return;
    }
    if let What::Offset { lane } = choice.what
        && let Some((first, last, for_what, desk)) = reserved_under(rig, index, lane, choice.value)
    {
        let message = format!(
            "at offset {} `{name}` reaches slots {first}-{last}, which `{desk}` reserves for {for_what}",
            choice.value
        );
        found.push(
            Diagnostic::error("offset-on-reserved-slots", span, message)
                .help("choose a lower offset")
                .about(name.to_string()),
        );
    }
    let switch = Switch { device: name.to_string(), what: choice.what, scene: None };
    pin(switch, Value(choice.value), span, switches, said, found);
}

/// The reserved slots that a bank at an offset would take, of the desk's port at the top of its chain.
pub fn reserved_under(rig: &Rig, device: u32, lane: u32, offset: u32) -> Option<(u32, u32, String, String)> {
    let model = rig.model(device)?;
    let size = model.lane(lane as usize)?.size;
    let take = model.takes.iter().find(|take| take.bank == lane as usize)?;
    let top = rig.desk_port_beyond(LinkEnd { device, port: take.port })?;
    let reserved = rig.model(top.device)?.reserved.iter().find(|reserved| {
        reserved.port == top.port
            && reserved.rate_hz.is_none_or(|rate| rate == rig.rate_hz)
            && offset <= reserved.last
            && offset + size > reserved.first
    })?;
    Some((reserved.first, reserved.last, reserved.for_what.clone(), rig.port_text(top)))
}

fn set_line(
    scene: &Scene,
    number: usize,
    line: &Pin,
    switches: &mut Switches,
    said: &mut Said,
    found: &mut Vec<Diagnostic>,
) {
    let rig = &scene.rig;
    for (at, to) in line.to.iter().enumerate() {
        let Some(model) = rig.model(to.device) else { continue };
        let Some((_, route)) = model.route_of(to.lane as usize, to.number) else {
            let message = format!("`{}` has nothing to set", rig.point_text(*to));
            found.push(Diagnostic::error("no-such-setting", line.span, message));
            return;
        };
        let How::Blocks(size) = route.how else {
            let message = format!("`{}` is wired straight and cannot be set", rig.point_text(*to));
            found.push(Diagnostic::error("no-such-setting", line.span, message));
            return;
        };
        let first = (to.number - 1) / size * size + 1;
        let within = to.number - first;
        let Some(value) = value_of(model, &route.from, size, within, at, to, &line.from) else {
            let whole = if size == 1 { String::new() } else { format!("; it takes blocks of {size}, in order") };
            let message = format!("`{}` cannot be fed from there{whole}", rig.point_text(*to));
            let feed = |feed: &Feed| match feed {
                Feed::Lane(lane) => model.lane(*lane).map(|lane| format!("`{}`", lane.name)),
                Feed::Block(block) => model.blocks.get(*block).map(|block| format!("`{}`", block.name)),
            };
            let feeds: Vec<String> = route.from.iter().filter_map(feed).collect();
            let help = format!("name a whole block of {}", feeds.join(" or "));
            found.push(Diagnostic::error("no-such-setting", line.span, message).help(help));
            return;
        };
        let what = What::Route { lane: to.lane, first };
        let switch = Switch { device: rig.device_name(to.device).to_string(), what, scene: Some(number) };
        pin(switch, value, line.span, switches, said, found);
    }
}

fn value_of(
    model: &Model,
    feeds: &[Feed],
    size: u32,
    within: u32,
    at: usize,
    to: &Point,
    from: &PinFrom,
) -> Option<Value> {
    match from {
        PinFrom::Block(device, block) => {
            let feed = feeds.iter().position(|feed| *feed == Feed::Block(*block))?;
            (*device == to.device && at as u32 == within).then(|| Value::of_route(feed, 0))
        }
        PinFrom::Points(points) => {
            let point = points.get(at)?;
            if point.device != to.device || (point.number - 1) % size != within {
                return None;
            }
            let lane = point.lane as usize;
            let same = |feed: &Feed| match feed {
                Feed::Lane(from) => {
                    *from == lane && !matches!(model.lane(*from).map(|l| l.kind), Some(LaneKind::PortOut(_)))
                }
                Feed::Block(_) => false,
            };
            let feed = feeds.iter().position(same)?;
            Some(Value::of_route(feed, (point.number - 1) / size))
        }
    }
}
