//! What the router has to say, in the user's nouns: which rows cannot hold together and at which
//! device they part, and where a signal's way ends.

use super::conflict::{Conflict, Impossible, Unit};
use super::problem::{Solution, Unreachable};
use super::switches::{Switch, SwitchId, Value, What};
use super::trail::{Break, where_lost};
use crate::diagnostics::Diagnostic;
use crate::rig::{Feed, How, Point, Rig};
use crate::source::Span;
use crate::syntax::ast::DeviceWord;
use crate::wants::{RowFact, RowKind, Scene, Target, WantKind};
use std::collections::{BTreeMap, BTreeSet};

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
    for missing in &solution.not_recorded {
        if let Some(diagnostic) = scenes.get(missing.scene).and_then(|scene| not_recorded(scene, missing)) {
            tell(diagnostic, Vec::new());
        }
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

/// Wants that no setting satisfies: what is lost at one place is told at one place.
fn lost(scenes: &[Scene], solution: &Solution) -> Vec<(Diagnostic, Vec<Unit>)> {
    let mut found = Vec::new();
    let mut past: BTreeMap<(usize, u32, String), Vec<&Unreachable>> = BTreeMap::new();
    let mut pinned: BTreeMap<(usize, usize, SwitchId), Vec<&Unreachable>> = BTreeMap::new();
    let mut seen: BTreeSet<(usize, usize, Option<usize>)> = BTreeSet::new();
    // A socket out of step with its own row is out of step with what other lists make of that row: told once.
    let mut out_of_steps: BTreeSet<(usize, Option<usize>, u32)> = BTreeSet::new();
    let again = |missing: &&Unreachable| {
        let row = scenes.get(missing.scene).and_then(|scene| scene.rows.get(missing.want.row));
        row.is_none_or(|row| row.kind != RowKind::Input)
    };
    let (others, declaring): (Vec<_>, Vec<_>) = solution.unreachable.iter().partition(again);
    for missing in declaring.into_iter().chain(others) {
        let Some(scene) = scenes.get(missing.scene) else { continue };
        // A source lost on its way is told once, not again for its track and its other channels.
        let source = match missing.want.what {
            Target::Source(source) => Some(source),
            Target::Point(_) => None,
        };
        if !seen.insert((missing.scene, missing.want.row, source)) {
            continue;
        }
        if let Some(pin) = missing.but_for {
            pinned.entry((missing.scene, missing.want.row, pin)).or_default().push(missing);
            continue;
        }
        match where_lost(scene, &missing.want) {
            Break::PastLink { device, port } => past.entry((missing.scene, device, port)).or_default().push(missing),
            Break::OutOfStep { point, block } => {
                let place = (missing.want.end.number - 1) % block.max(1);
                if !out_of_steps.insert((missing.scene, source, place)) && source.is_some() {
                    continue;
                }
                let unit = Unit { scene: missing.scene, row: missing.want.row };
                found.extend(out_of_step(scene, missing, point, block).map(|diagnostic| (diagnostic, vec![unit])));
            }
            other => found.extend(told(scene, missing, other).map(|diagnostic| (diagnostic, Vec::new()))),
        }
    }
    for ((number, _, pin), missing) in pinned {
        if let Some(scene) = scenes.get(number) {
            found.extend(pinned_away(scene, solution, &missing, pin).map(|diagnostic| (diagnostic, Vec::new())));
        }
    }
    for ((number, device, port), missing) in past {
        if let Some(scene) = scenes.get(number) {
            found.push((past_link(scene, device, &port, &missing), Vec::new()));
        }
    }
    found
}

fn place(scene: &Scene, missing: &Unreachable) -> Option<(Span, String)> {
    let fact = scene.rows.get(missing.want.row)?;
    Some((fact.place.unwrap_or(fact.span), name_of(scene, missing)))
}

fn name_of(scene: &Scene, missing: &Unreachable) -> String {
    match missing.want.what {
        Target::Source(source) => scene.source(source).map_or_else(String::new, |source| source.name.clone()),
        Target::Point(point) => scene.rig.point_text(point),
    }
}

/// What one fixed setting takes from one row.
fn pinned_away(scene: &Scene, solution: &Solution, all: &[&Unreachable], pin: SwitchId) -> Option<Diagnostic> {
    let (missing, last) = (all.first()?, all.last()?);
    let (span, name) = place(scene, missing).unwrap_or((scene_span(scene), String::new()));
    let ends = |first: String, last: String| match first == last {
        true => format!("`{first}`"),
        false => format!("`{first}` to `{last}`"),
    };
    let names = ends(name.clone(), name_of(scene, last));
    let end = ends(scene.rig.point_text(missing.want.end), scene.rig.point_text(last.want.end));
    let switch = solution.switches.get(pin);
    let what = switch.map(|switch| switch_text(&scene.rig, switch)).unwrap_or_default();
    let value = solution.switches.pins.get(&pin).zip(switch).and_then(|(value, s)| value_text(&scene.rig, s, *value));
    let message = if missing.want.kind == WantKind::Track {
        format!("{end} would record silence instead of {names}")
    } else {
        format!("{names} cannot reach {end}")
    };
    let rule = if missing.want.kind == WantKind::Track { "track-records-silence" } else { "pin-in-the-way" };
    let mut problem = Diagnostic::error(rule, span, message).about(name);
    if let Some(said) = solution.pinned.get(&pin) {
        let fixed =
            value.map_or_else(|| format!("{what} is fixed here"), |value| format!("{what} is fixed to `{value}` here"));
        problem = problem.label(*said, fixed);
    }
    problem.act = scene.act.clone();
    Some(problem.help("take the fixed setting out, or change it to what the row needs"))
}

fn scene_span(scene: &Scene) -> Span {
    scene.rows.first().map_or(Span::new(crate::source::FileId(0), 0, 0), |row| row.span)
}

fn past_link(scene: &Scene, device: u32, port: &str, missing: &[&Unreachable]) -> Diagnostic {
    let rig = &scene.rig;
    let mut names: Vec<String> = missing.iter().map(|missing| name_of(scene, missing)).collect();
    names.dedup();
    let listed: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    let device_name = rig.device_name(device);
    let khz = f64::from(rig.rate_hz) / 1000.0;
    let falls = if names.len() == 1 { "falls" } else { "fall" };
    let message = format!("{} on `{device_name}` {falls} off the end of `{port}` at {khz} kHz", listed.join(", "));
    let span = missing.first().and_then(|missing| place(scene, missing)).map_or(scene_span(scene), |(span, _)| span);
    let mut problem = Diagnostic::error("slot-past-the-link", span, message)
        .help(format!("hang `{device_name}` on another port, or use sockets that fit"))
        .about(device_name.to_string());
    for missing in missing.iter().skip(1) {
        if let Some((span, name)) = place(scene, missing) {
            problem = problem.label(span, format!("`{name}` is lost too"));
        }
    }
    problem.about.extend(names);
    problem.act = scene.act.clone();
    problem
}

fn told(scene: &Scene, missing: &Unreachable, why: Break) -> Option<Diagnostic> {
    let (span, name) = place(scene, missing)?;
    let rig = &scene.rig;
    let end = rig.point_text(missing.want.end);
    let fact = scene.rows.get(missing.want.row)?;
    let mut problem = if missing.too_many {
        Diagnostic::error("too-hard-to-route", span, format!("there are too many ways from `{name}` to `{end}`"))
            .help("say an `offset`, or `set` one block, and check again")
    } else {
        match why {
            Break::NoCable { device, port } => {
                let device = rig.device_name(device);
                let message = format!("`{name}` cannot reach `{end}`: `{device}` has no cable in `{port}`");
                Diagnostic::error("not-cabled", span, message)
                    .help(format!("say where it is plugged: `{device} … on foh.portA`"))
            }
            Break::OutOfUse { point } => {
                let message = format!(
                    "`{name}` cannot reach `{end}`: `{}` on the way is dead or kept for something else",
                    rig.point_text(point)
                );
                let mut problem = Diagnostic::error("line-out-of-use", span, message);
                let said = rig.device(point.device).and_then(|device| device.out_of_use.get(&point.number));
                if let Some((_, said)) = said {
                    problem = problem.label(*said, "said here");
                }
                problem.help("use another line")
            }
            Break::NotFirstDesk { device } => {
                let device = rig.device_name(device);
                let message =
                    format!("`{name}` cannot reach `{end}`: only the first desk drives the outputs of `{device}`");
                Diagnostic::error("driven-by-first-desk-only", span, message)
                    .help("send it from the first desk, or pass it on through that desk's port")
            }
            Break::FarthestAt { point } => {
                let message = format!("`{name}` cannot reach `{end}`: it gets as far as `{}`", rig.point_text(point));
                Diagnostic::error("no-way-there", span, message).help(way_help(rig, point, missing.want.end))
            }
            Break::NoSocket => {
                let message = format!("no free socket that `{name}` may plug into reaches `{end}`");
                Diagnostic::error("no-way-there", span, message).help("name a socket, or free one that fits")
            }
            Break::PastLink { .. } | Break::OutOfStep { .. } | Break::Nowhere => {
                Diagnostic::error("no-way-there", span, format!("there is no way from `{name}` to `{end}`"))
                    .help("check which port and which socket it uses")
            }
        }
    };
    if fact.kind == RowKind::Again {
        problem = problem.label(fact.span, "wanted here");
    }
    problem.act = scene.act.clone();
    Some(problem.about(name))
}

/// The signal arrives, but not at the place in its block where the row wants it.
fn out_of_step(scene: &Scene, missing: &Unreachable, point: Point, block: u32) -> Option<Diagnostic> {
    let (span, name) = place(scene, missing)?;
    let rig = &scene.rig;
    let end = missing.want.end;
    let nth = |number: u32| (number - 1) % block + 1;
    let message = format!(
        "`{name}` cannot reach `{}`: blocks of {block} keep their order, and it arrives at `{}`, number {} of its block, where number {} is wanted",
        rig.point_text(end),
        rig.point_text(point),
        nth(point.number),
        nth(end.number),
    );
    let mut problem = Diagnostic::error("impossible-block", span, message).about(name);
    if let Some(numbers) = scene.rows.get(missing.want.row).and_then(|row| row.numbers) {
        problem = problem.label(numbers, format!("number {} of its block", nth(end.number)));
    }
    problem.act = scene.act.clone();
    Some(problem)
}

fn not_recorded(scene: &Scene, missing: &Unreachable) -> Option<Diagnostic> {
    let (span, name) = place(scene, missing)?;
    let end = scene.rig.point_text(missing.want.end);
    let message = format!("`{name}` is not recorded: `{end}` cannot take what the desk itself plays");
    let mut problem = Diagnostic::note("not-recorded", span, message).about(name);
    problem.act = scene.act.clone();
    Some(problem)
}

fn way_help(rig: &Rig, point: Point, end: Point) -> String {
    let end_lane = rig.lane_at(end).map_or("", |lane| lane.name.as_str());
    let from: Vec<String> = rig
        .model(end.device)
        .and_then(|model| model.route_of(end.lane as usize, end.number).map(|(_, route)| (model, route)))
        .map(|(model, route)| {
            route
                .from
                .iter()
                .map(|feed| match feed {
                    Feed::Lane(lane) => model.lane(*lane).map_or("?", |lane| lane.name.as_str()).to_string(),
                    Feed::Block(block) => model.blocks.get(*block).map_or("?", |block| block.name.as_str()).to_string(),
                })
                .collect()
        })
        .unwrap_or_default();
    if from.is_empty() {
        format!("lay a cable on from `{}`", rig.device_name(point.device))
    } else {
        format!("`{}.{end_lane}` can be fed from {}", rig.device_name(end.device), from.join(", "))
    }
}
