//! What the router has to say, in the user's nouns: which rows cannot hold together and at which
//! device they part.

use super::conflict::{Conflict, Impossible, Unit};
use super::lost::lost;
use super::problem::Solution;
use super::switches::{Switch, Value, What};
use crate::diagnostics::Diagnostic;
use crate::rig::{Feed, How, Rig};
use crate::syntax::ast::DeviceWord;
use crate::wants::{RowFact, RowKind, Scene, WantKind};
use std::collections::BTreeSet;

/// Diagnostics for everything that the solution lacks, each with the rows that could move to mend it.
/// What one row says in several acts is told once.
pub fn report(scenes: &[Scene], solution: &Solution) -> Vec<(Diagnostic, Vec<Unit>)> {
    let mut found: Vec<(Diagnostic, Vec<Unit>)> = Vec::new();
    let mut tell = |diagnostic: Diagnostic, units: Vec<Unit>| {
        let same = |(known, _): &&mut (Diagnostic, Vec<Unit>)| {
            known.rule == diagnostic.rule && known.span == diagnostic.span && known.message == diagnostic.message
        };
        match found.iter_mut().find(same) {
            Some((known, _)) => known.act = None,
            None => found.push((diagnostic, units)),
        }
    };
    for conflict in &solution.conflicts {
        if let Some(diagnostic) = clash(scenes, solution, conflict) {
            let units = if conflict.why == Impossible::TooHard { Vec::new() } else { conflict.units.clone() };
            tell(diagnostic, units);
        }
    }
    for (diagnostic, units) in lost(scenes, solution) {
        tell(diagnostic, units);
    }
    found
}

fn row(scenes: &[Scene], unit: Unit) -> Option<&RowFact> {
    scenes.get(unit.scene)?.rows.get(unit.row)
}

fn clash(scenes: &[Scene], solution: &Solution, conflict: &Conflict) -> Option<Diagnostic> {
    let mut units = conflict.units.clone();
    units.sort_by_key(|unit| row(scenes, *unit).map(|row| (row.span, unit.scene)));
    // The last of them is the one that a reader added or would move.
    let last = units.iter().copied().rfind(|unit| row(scenes, *unit).is_some())?;
    let here = row(scenes, last)?;
    let scene = scenes.get(last.scene)?;
    let switch = conflict.at.and_then(|at| solution.switches.get(at));
    let rule = rule_of(conflict, switch, &scene.rig);
    let span = here.place.unwrap_or(here.span);
    let mut problem = Diagnostic::error(rule, span, headline(scenes, conflict, &units, switch, scene));
    for unit in &units {
        let Some(fact) = row(scenes, *unit) else { continue };
        problem = problem.about(fact.name.clone());
        let needs = conflict.needs.get(unit).map(|values| needs_text(scene, switch, values));
        let message = match needs {
            Some(needs) if !needs.is_empty() => format!("`{}` needs {needs}", row_name(scenes, *unit, fact)),
            _ => format!("`{}` is part of it", row_name(scenes, *unit, fact)),
        };
        if *unit != last {
            problem = problem.label(fact.place.unwrap_or(fact.span), message);
        } else {
            problem = problem.label(fact.span, message);
        }
    }
    if conflict.why == Impossible::TooHard {
        problem.labels.truncate(4);
        problem = problem.help("say an `offset`, or `set` one block, and check again");
    }
    if units.iter().all(|unit| unit.scene == last.scene) {
        problem.act = scene.act.clone();
    }
    Some(problem)
}

fn rule_of(conflict: &Conflict, switch: Option<&Switch>, rig: &Rig) -> &'static str {
    match (conflict.why, switch.map(|switch| &switch.what)) {
        (Impossible::TooHard, _) => "too-hard-to-route",
        (Impossible::Kept, _) => "kept-source-recorded",
        (_, Some(What::Route { lane, first })) => {
            let device = switch.and_then(|switch| rig.device_named(&switch.device));
            let block = device.and_then(|device| block_size(rig, device, *lane, *first));
            if block.is_some_and(|size| size > 1) { "impossible-block" } else { "point-wanted-twice" }
        }
        (_, Some(What::Offset { .. })) => "offsets-clash",
        (_, Some(What::Mode { .. })) => "modes-clash",
        (_, Some(What::Slot { .. })) => "slots-clash",
        _ if conflict.point.is_some() => "point-wanted-twice",
        _ => "too-few-points",
    }
}

fn block_size(rig: &Rig, device: u32, lane: u32, first: u32) -> Option<u32> {
    let (_, route) = rig.model(device)?.route_of(lane as usize, first)?;
    match route.how {
        How::Blocks(size) => Some(size),
        How::Straight => None,
    }
}

fn names(scenes: &[Scene], units: &[Unit]) -> String {
    let mut names: Vec<String> = Vec::new();
    for unit in units {
        let Some(fact) = row(scenes, *unit) else { continue };
        let name = format!("`{}`", row_name(scenes, *unit, fact));
        if !names.contains(&name) {
            names.push(name);
        }
    }
    match names.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [first, second] => format!("{first} and {second}"),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// A row's name; an output's with its desk where there are several.
fn row_name(scenes: &[Scene], unit: Unit, fact: &RowFact) -> String {
    let several = scenes.get(unit.scene).is_some_and(|scene| scene.rig.only_desk().is_none());
    let desk = fact.desk.and_then(|desk| scenes.get(unit.scene).map(|scene| scene.rig.device_name(desk)));
    match (fact.kind, desk) {
        (RowKind::Output | RowKind::Personal, Some(desk)) if several => format!("{desk}.{}", fact.name),
        _ => fact.name.clone(),
    }
}

/// The bank where all wants of these rows end, if it is one.
fn common_end(scenes: &[Scene], units: &[Unit]) -> Option<String> {
    let mut ends = BTreeSet::new();
    let mut text = None;
    for unit in units {
        let scene = scenes.get(unit.scene)?;
        for want in scene.wants.iter().filter(|want| want.row == unit.row && want.kind == WantKind::Output) {
            let desk = scene.rig.device(want.end.device).is_some_and(|device| device.word == DeviceWord::Desk);
            if desk {
                return None;
            }
            ends.insert((want.end.device, want.end.lane));
            let lane = scene.rig.lane_at(want.end).map_or("", |lane| lane.name.as_str());
            text = Some(format!("{}.{lane}", scene.rig.device_name(want.end.device)));
        }
    }
    if ends.len() == 1 { text } else { None }
}

fn headline(scenes: &[Scene], conflict: &Conflict, units: &[Unit], switch: Option<&Switch>, scene: &Scene) -> String {
    let who = names(scenes, units);
    let place = switch.map(|switch| switch_text(&scene.rig, switch)).unwrap_or_default();
    match (conflict.why, switch.map(|switch| &switch.what)) {
        (Impossible::TooHard, _) => {
            format!("there are too many ways to route these {} rows; {place} is where most of them part", units.len())
        }
        (Impossible::Kept, _) => {
            format!("{who} cannot hold together: what is kept out of the recording shares a block with what is wanted")
        }
        (_, Some(What::Route { .. })) => format!("{who} cannot hold together: {place} takes one thing at a time"),
        (_, Some(What::Offset { .. })) => format!("{who} cannot hold together: {place} has one offset"),
        (_, Some(What::Mode { .. })) => format!("{who} cannot hold together: {place} has one mode at a time"),
        (_, Some(What::Slot { .. })) => format!("{who} cannot hold together: {place} rides at one slot"),
        _ => match conflict.point {
            Some(point) => format!(
                "{who} cannot hold together: each needs `{}`, which carries one signal",
                scene.rig.point_text(point)
            ),
            None => match common_end(scenes, units) {
                Some(end) => {
                    format!("{who} cannot all hold: one block of slots feeds `{end}`, and they need more than one")
                }
                None => format!("{who} cannot all hold: there are not enough points on the way"),
            },
        },
    }
}

/// `foh` channels 9-16, as a message names a switch.
pub fn switch_text(rig: &Rig, switch: &Switch) -> String {
    let Some(device) = rig.device_named(&switch.device) else { return format!("`{}`", switch.device) };
    let lane_name = |lane: u32| rig.lane(device, lane).map_or("?", |lane| lane.name.as_str());
    match &switch.what {
        What::Route { lane, first } => match block_size(rig, device, *lane, *first) {
            Some(size) if size > 1 => format!("`{}.{} {first}-{}`", switch.device, lane_name(*lane), first + size - 1),
            _ => format!("`{}.{} {first}`", switch.device, lane_name(*lane)),
        },
        What::Offset { lane } | What::Slot { lane } | What::Mode { lane } => {
            format!("`{}.{}`", switch.device, lane_name(*lane))
        }
        What::Occupant { lane, number } => format!("`{}.{} {number}`", switch.device, lane_name(*lane)),
        What::Plug { source } => format!("the socket of `{source}`"),
    }
}

/// `foh.portA 9-16`, as a message names a value of a switch.
pub fn value_text(rig: &Rig, switch: &Switch, value: Value) -> Option<String> {
    let device = rig.device_named(&switch.device);
    match &switch.what {
        What::Route { lane, first } => {
            let device = device?;
            let model = rig.model(device)?;
            let (_, route) = model.route_of(*lane as usize, *first)?;
            let (feed, block) = value.route();
            let size = block_size(rig, device, *lane, *first)?;
            let switch_first = *first;
            match route.from.get(feed)? {
                Feed::Block(index) => {
                    let named = model.blocks.get(*index)?;
                    let count = u32::try_from(named.points.len()).unwrap_or(u32::MAX);
                    let text = format!("{}.{}", switch.device, named.name);
                    // Larger than a block, its parts are counted.
                    Some(match (count <= size, size) {
                        (true, _) => text,
                        (false, 1) => format!("{text} {}", block + 1),
                        _ => format!("{text} {}-{}", block * size + 1, (block * size + size).min(count)),
                    })
                }
                Feed::Lane(from) => {
                    let lane = model.lane(*from)?;
                    // A block at the end of a bank that is no multiple of the block is short.
                    let fed = rig.lane(device, route.lane as u32).map_or(size, |lane| lane.size + 1 - switch_first);
                    let (first, last) = (block * size + 1, (block * size + size.min(fed)).min(lane.size));
                    let numbers = if first == last { format!("{first}") } else { format!("{first}-{last}") };
                    Some(format!("{}.{} {numbers}", switch.device, lane.name))
                }
            }
        }
        What::Mode { lane } => {
            rig.model(device?)?.modes(*lane as usize).get(value.0 as usize).map(|mode| (*mode).to_string())
        }
        What::Offset { .. } | What::Slot { .. } => Some(value.0.to_string()),
        What::Plug { .. } | What::Occupant { .. } => None,
    }
}

fn needs_text(scene: &Scene, switch: Option<&Switch>, values: &BTreeSet<Value>) -> String {
    let Some(switch) = switch else { return String::new() };
    let mut texts: Vec<String> = values
        .iter()
        .filter_map(|value| value_text(&scene.rig, switch, *value))
        .map(|text| format!("`{text}`"))
        .collect();
    if texts.len() > 3 {
        texts.truncate(3);
        texts.push("…".to_string());
    }
    if texts.is_empty() { String::new() } else { format!("{} there", texts.join(" or ")) }
}
