//! A model, as it is at the show's rate, and one bank, port or named block of it.

use super::{Part, line, table};
use crate::Compiled;
use crate::editor::ground::{place, rig_with, scene, unproven};
use crate::editor::index::{Index, Owner, Symbol};
use crate::plan::{Role, Usage, View, point, ranges};
use crate::rig::{Carry, Feed, How, Lane, LaneKind, Model, PortFact, Ride, RouteFact, Take};
use crate::syntax::ast::Faces;

fn known<'c>(compiled: &'c Compiled, name: &str) -> Option<&'c Model> {
    scene(compiled, None)?.rig.models.iter().find(|model| model.name == name)
}

pub(super) fn model(compiled: &Compiled, index: &Index, name: &str) -> Option<(String, Vec<Part>)> {
    let model = known(compiled, name)?;
    let label = model.label.as_ref().map(|label| format!(", \"{label}\"")).unwrap_or_default();
    let declared = index.declarations(&Symbol::Model(name.to_string())).next();
    let mut parts: Vec<Part> = Vec::new();
    parts.extend(declared.map(|name| line(format!("declared in {}", place(compiled, name.span)))));
    let banks = model.lanes.iter().filter_map(bank_row);
    parts.extend(table("banks", banks.collect()));
    let khz = khz(compiled);
    parts.extend(table("ports", model.ports.iter().map(|port| port_row(model, port, &khz)).collect()));
    parts.extend(table("inside", inside(model)));
    parts.extend(facts(model).map(line));
    Some((format!("model {name}{label}"), parts))
}

/// A bank, port or block; of a device, how much of it is in use and what hangs on it.
pub(super) fn part(compiled: &Compiled, of: &Owner, name: &str, device: Option<&str>) -> Option<(String, Vec<Part>)> {
    let model = match (of, device) {
        (_, Some(device)) => rig_with(compiled, device).and_then(|(rig, number)| rig.model(number))?,
        (Owner::Model(model), None) => known(compiled, model)?,
        (Owner::Device(device), None) => rig_with(compiled, device).and_then(|(rig, number)| rig.model(number))?,
    };
    let owner = device.map_or_else(|| format!("model {}", model.name), str::to_string);
    let mut parts: Vec<Part> = Vec::new();
    if let Some(port) = model.ports.iter().find(|port| port.name == name) {
        parts.extend(table("", vec![port_row(model, port, &khz(compiled))]));
        parts.extend(device.into_iter().flat_map(|device| hanging(compiled, device, name)).map(line));
    } else if let Some(lane) = model.bank(name).and_then(|bank| model.lane(bank)) {
        parts.extend(bank_row(lane).and_then(|row| table("", vec![row])));
    } else if let Some(block) = model.blocks.iter().find(|block| block.name == name) {
        parts.push(line(block_points(model, &block.points)));
    }
    let about = inside(model).into_iter().filter(|row| row.first().is_some_and(|first| first == name));
    parts.extend(table("", about.collect()));
    if let Some(device) = device {
        parts.extend(in_use(compiled, device, name).map(line));
    }
    Some((format!("{owner}.{name}").replacen("model ", "", 1), parts))
}

/// The other ends of the cables in a port.
fn hanging(compiled: &Compiled, device: &str, port: &str) -> Vec<String> {
    let end = format!("{device}.{port}");
    let view = View::any(&compiled.plan);
    let far = view.cables.iter().filter_map(|cable| {
        let other = if cable.from == end { &cable.to } else { Some(&cable.from).filter(|_| cable.to == end)? };
        let length = cable.length_m.map(|metres| format!(", {metres} m")).unwrap_or_default();
        let used_as = if cable.used_as == "main" { String::new() } else { format!(", {}", cable.used_as) };
        Some(format!("cable to {other}{length} {}{used_as}", cable.carrier))
    });
    let mut far: Vec<String> = far.collect();
    far.dedup();
    if far.is_empty() { vec!["no cable".to_string()] } else { far }
}

/// `in use: 1-12, 16`; of a port each way.
fn in_use(compiled: &Compiled, device: &str, name: &str) -> Option<String> {
    if unproven(compiled).is_some() {
        return None;
    }
    let view = View::any(&compiled.plan);
    let usage = Usage::of(&view);
    if view.is_port(device, name) {
        let say = |numbers: std::collections::BTreeSet<u32>| match numbers.is_empty() {
            true => "none".to_string(),
            false => ranges(&numbers),
        };
        let (into, out_of) = (usage.arriving(device, name), usage.leaving(device, name));
        return Some(format!("slots in use: in {}, out {}", say(into), say(out_of)));
    }
    let mut used = usage.passed(device, name);
    let size = view.wiring(device)?.banks.iter().find(|bank| bank.bank == name)?.size;
    used.extend((1..=size).filter(|n| view.plugs.iter().any(|plug| plug.at == point(device, name, *n))));
    Some(match used.is_empty() {
        true => "none in use".to_string(),
        false => format!("in use: {}", ranges(&used)),
    })
}

fn khz(compiled: &Compiled) -> String {
    let rate = scene(compiled, None).map_or(0, |scene| scene.rig.rate_hz);
    format!("{} kHz", f64::from(rate) / 1000.0)
}

/// Name, numbers, what it is, facts. Ports have rows of their own.
fn bank_row(lane: &Lane) -> Option<Vec<String>> {
    let LaneKind::Bank(role) = lane.kind else { return None };
    let role = match role {
        Role::In => "in",
        Role::Out => "out",
        Role::Inner => "inner",
        Role::Origin => "origin",
    };
    let phantom = match lane.phantom {
        0 => None,
        1 => Some("phantom each".to_string()),
        group => Some(format!("phantom in groups of {group}")),
    };
    let facts = [
        lane.gain.map(|(from, to)| format!("gain {from} dB to {to} dB")),
        phantom,
        lane.pad.then(|| "pad".to_string()),
        lane.clip_dbu.map(|clip| format!("clip {clip} dBu")),
        lane.isolated.then(|| "isolated".to_string()),
        lane.pairs.then(|| "pairs start on odd numbers".to_string()),
    ];
    let facts = facts.into_iter().flatten().collect::<Vec<_>>().join(", ");
    Some(vec![
        lane.name.clone(),
        format!("1-{}", lane.size),
        format!("{role} {}", lane.signal).trim().to_string(),
        facts,
    ])
}

/// `portA  aes50 to any  48 slots at 48 kHz`
fn port_row(model: &Model, port: &PortFact, khz: &str) -> Vec<String> {
    let faces = match port.faces {
        Faces::Desk => "desk",
        Faces::Next => "next",
        Faces::Any => "any",
    };
    let slots = model.lane(port.outward).map_or(0, |lane| lane.size);
    let power = [port.powers.then_some("powers"), port.needs_power.then_some("needs power")];
    let power = power.into_iter().flatten().collect::<Vec<_>>().join(", ");
    vec![port.name.clone(), format!("{} to {faces}", port.carrier), format!("{slots} slots each way at {khz}"), power]
}

/// What feeds, rides, takes, copies and passes what; each row begins with what it is about.
fn inside(model: &Model) -> Vec<Vec<String>> {
    let lane = |index: usize| model.lane(index).map_or("", |lane| lane.name.as_str());
    let port = |index: usize| model.ports.get(index).map_or("", |port| port.name.as_str());
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut put = |about: &str, says: String| rows.push(vec![about.to_string(), says]);
    for route in &model.routes {
        put(lane(route.lane), routes(model, route));
    }
    for carry in &model.carries {
        put(lane(carry.bank), rides(carry, port(carry.port)));
    }
    for take in &model.takes {
        put(lane(take.bank), takes(take, port(take.port)));
    }
    for copy in &model.copies {
        let mode = copy.mode.as_ref().map(|mode| format!(" in mode {mode}")).unwrap_or_default();
        put(lane(copy.bank), format!("copies {} from {}{mode}", lane(copy.of), copy.first));
    }
    for (from, to) in &model.passes {
        put(port(*from), format!("passes to {}", port(*to)));
    }
    for block in &model.blocks {
        put(&block.name, block_points(model, &block.points));
    }
    for kept in &model.reserved {
        let rate = kept.rate_hz.map(|rate| format!(" at {} kHz", f64::from(rate) / 1000.0)).unwrap_or_default();
        put(port(kept.port), format!("{}-{} reserved for {}{rate}", kept.first, kept.last, kept.for_what));
    }
    rows
}

fn routes(model: &Model, route: &RouteFact) -> String {
    let from = route.from.iter().map(|feed| match feed {
        Feed::Lane(lane) => model.lane(*lane).map_or("", |lane| lane.name.as_str()),
        Feed::Block(block) => model.blocks.get(*block).map_or("", |block| block.name.as_str()),
    });
    let part = route.part.map(|(first, last)| format!("{first}-{last} ")).unwrap_or_default();
    let how = match route.how {
        How::Blocks(1) => "one by one".to_string(),
        How::Blocks(size) => format!("in blocks of {size}"),
        How::Straight => "straight".to_string(),
    };
    let most = route.at_most.map(|most| format!(", at most {most}")).unwrap_or_default();
    format!("{part}from {} {how}{most}", from.collect::<Vec<_>>().join(", "))
}

fn rides(carry: &Carry, port: &str) -> String {
    match &carry.at {
        Ride::Stacked => format!("rides {port}, stacked by chain order"),
        Ride::Setting(choices) if choices.is_empty() => format!("rides {port} from a slot that is set"),
        Ride::Setting(choices) => format!("rides {port} from a slot that is set: {}", numbers(choices)),
        Ride::Fixed(slot) => format!("rides {port} from slot {slot}"),
    }
}

fn takes(take: &Take, port: &str) -> String {
    let mode = take.mode.as_ref().map(|mode| format!(" in mode {mode}")).unwrap_or_default();
    let first = if take.first_desk_only { ", of its first desk only" } else { "" };
    let at = match &take.at {
        Ride::Fixed(slot) => format!("from slot {slot}"),
        Ride::Setting(choices) if !choices.is_empty() => format!("at offset {}", numbers(choices)),
        Ride::Setting(_) | Ride::Stacked => "at any offset".to_string(),
    };
    format!("takes {port} {at}{mode}{first}")
}

fn numbers(numbers: &[u32]) -> String {
    numbers.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}

/// `aux-out 1-4, cue 1-2`
fn block_points(model: &Model, points: &[(usize, u32)]) -> String {
    let mut runs: Vec<(usize, std::collections::BTreeSet<u32>)> = Vec::new();
    for (lane, number) in points {
        match runs.last_mut() {
            Some((last, numbers)) if last == lane => {
                numbers.insert(*number);
            }
            _ => runs.push((*lane, std::iter::once(*number).collect())),
        }
    }
    let run = |(lane, numbers): &(usize, std::collections::BTreeSet<u32>)| {
        format!("{} {}", model.lane(*lane).map_or("", |lane| lane.name.as_str()), ranges(numbers))
    };
    runs.iter().map(run).collect::<Vec<_>>().join(", ")
}

fn facts(model: &Model) -> Option<String> {
    let facts = [
        model.latency_ms.map(|latency| format!("latency {latency} ms")),
        model.phantom_limit_ma.map(|limit| format!("48 V up to {limit} mA in all")),
        model.draws_w.map(|power| format!("draws {power} W")),
        model.strip.map(|letters| format!("strips of {letters} letters")),
        model.converts.then(|| "converts the rate at its digital lines".to_string()),
    ];
    let facts: Vec<String> = facts.into_iter().flatten().collect();
    (!facts.is_empty()).then(|| facts.join(", "))
}
