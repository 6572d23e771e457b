//! The order in which gear is switched on: along the signal, so that nothing thumps through what is on already,
//! and what makes the sound last; off the other way round (common practice, from several articles). It says what
//! stands on mains and in which turn, and nothing of mains themselves: those are for licensed people.

use crate::plan::{Plan, PowerStep, Powered, Role};
use crate::rig::{Device, LaneKind, LinkEnd, Model, Point, Rig, all_of};
use crate::route::{Arrival, Origin, Solution};
use crate::wants::{Scene, Source, Spot, Use};
use petgraph::algo::kosaraju_scc;
use petgraph::graph::DiGraph;
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::{BTreeMap, BTreeSet};

/// What is switched on.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
enum Gear {
    /// By the name of the source.
    Source(String),
    Device(String),
}

impl Gear {
    fn name(&self) -> &str {
        let (Gear::Source(name) | Gear::Device(name)) = self;
        name
    }
}

/// Who feeds whom in any act, and what makes the sound. Gear is known by its place in `gear`.
#[derive(Default)]
struct Flow {
    gear: Vec<Gear>,
    numbers: FxHashMap<Gear, usize>,
    feeds: FxHashSet<(usize, usize)>,
    /// What a link joins, both ways round.
    links: FxHashMap<usize, Vec<usize>>,
    /// Of devices, those that pass nothing on and make sound of what they get.
    sounding: BTreeSet<String>,
    /// Sockets on which something makes sound that the plan does not know as a device.
    outputs: BTreeMap<(String, u32, u32), String>,
}

/// All steps of a drafted plan, in order.
pub fn power(scenes: &[Scene], solution: &Solution, plan: &Plan) -> Vec<PowerStep> {
    let mut flow = Flow::default();
    for (scene, arrivals) in scenes.iter().zip(&solution.arrivals) {
        flow.read(scene, arrivals);
    }
    steps(&flow, scenes, plan.clock.as_deref())
}

impl Flow {
    fn read(&mut self, scene: &Scene, arrivals: &[Arrival]) {
        let rig = &scene.rig;
        let device = |(number, device): (u32, &Device)| on_mains(rig, number).then(|| device.name.clone());
        let devices: Vec<Option<usize>> =
            (0u32..).zip(&rig.devices).map(|entry| device(entry).map(|name| self.number(Gear::Device(name)))).collect();
        let device = |number: u32| devices.get(number as usize).copied().flatten();
        let plugged = |source: &Source| matches!(source.spot, Spot::Socket(_) | Spot::Any(_));
        for source in scene.sources.iter().filter(|source| plugged(source) && has_a_switch(source)) {
            self.number(Gear::Source(source.name.clone()));
        }
        for arrival in arrivals {
            let source = match arrival.origin {
                Origin::Source(source) => scene.source(source).filter(|source| has_a_switch(source)),
                Origin::Point(_) => None,
            };
            let source = source.map(|source| self.number(Gear::Source(source.name.clone())));
            let way = source.into_iter().chain(devices_on(rig, &arrival.path).into_iter().filter_map(device));
            let mut last = None;
            for next in way {
                if let Some(from) = last.replace(next).filter(|from| *from != next) {
                    self.feeds.insert((from, next));
                }
            }
        }
        self.follow_sound(scene, arrivals);
        let known = |end: LinkEnd| self.numbers.get(&Gear::Device(rig.device_name(end.device).to_string())).copied();
        for cable in &rig.cables {
            if let (Some(one), Some(two)) = (known(cable.from), known(cable.to)) {
                self.links.entry(one).or_default().push(two);
                self.links.entry(two).or_default().push(one);
            }
        }
    }

    fn number(&mut self, gear: Gear) -> usize {
        let next = self.gear.len();
        let number = *self.numbers.entry(gear.clone()).or_insert(next);
        if number == next {
            self.gear.push(gear);
        }
        number
    }

    /// From each output that is to be heard to what makes the sound, also where others' gear takes it and gives it on.
    fn follow_sound(&mut self, scene: &Scene, arrivals: &[Arrival]) {
        let rig = &scene.rig;
        let rows = scene.outputs.iter().filter(|row| row.from != row.to);
        let uses: FxHashMap<Point, Option<Use>> = rows.map(|row| (row.to, row.used_as)).collect();
        let is_in = |end: Point| rig.lane_at(end).is_some_and(|lane| lane.kind == LaneKind::Bank(Role::In));
        let mut given: FxHashMap<u32, Vec<Point>> = FxHashMap::default();
        let mut open = Vec::new();
        for Arrival { end, origin, .. } in arrivals {
            match (uses.get(end), origin) {
                (Some(used_as), _) if used_as.is_none_or(Use::sounds) => open.push(*end),
                (None, Origin::Point(point)) if is_in(*end) => given.entry(point.device).or_default().push(*end),
                _ => {}
            }
        }
        while let Some(end) = open.pop() {
            let passing = self.sounds(rig, end);
            open.extend(passing.and_then(|device| given.remove(&device)).into_iter().flatten());
        }
    }

    /// Gear that takes and gives nothing back makes the sound itself, or leads to what does; what gives is only on
    /// the way there, and is returned; on any other socket hangs something that makes it.
    fn sounds(&mut self, rig: &Rig, end: Point) -> Option<u32> {
        let lanes = rig.model(end.device)?.lanes.as_slice();
        match rig.lane_at(end)?.kind {
            LaneKind::Bank(Role::Out) => {
                let place = (rig.device_name(end.device).to_string(), end.lane, end.number);
                self.outputs.insert(place, rig.point_text(end));
            }
            _ if lanes.iter().any(|lane| lane.kind != LaneKind::Bank(Role::In)) => return Some(end.device),
            _ => {
                self.sounding.insert(rig.device_name(end.device).to_string());
            }
        }
        None
    }
}

/// Passive gear has no switch, and what a link feeds comes on with it.
fn on_mains(rig: &Rig, device: u32) -> bool {
    rig.model(device).is_some_and(Model::on_mains)
}

/// A receiver, a player, an instrument; not a passive pickup behind a DI.
fn has_a_switch(source: &Source) -> bool {
    source.mic.as_ref().is_some_and(|mic| mic.kind.mains)
        && source.pickup.as_ref().is_none_or(|pickup| pickup.value.has_a_switch())
}

/// The devices on a way, in order. A slot belongs to both ends of its cable: the one that the signal comes from
/// stands first.
fn devices_on(rig: &Rig, path: &[Point]) -> Vec<u32> {
    let mut way: Vec<u32> = Vec::new();
    for point in path {
        let far = match rig.lane_at(*point).map(|lane| lane.kind) {
            Some(LaneKind::PortIn(port) | LaneKind::PortOut(port)) => {
                rig.peer(LinkEnd { device: point.device, port }).map(|(far, _)| far.device)
            }
            _ => None,
        };
        let ends = match far {
            Some(far) if way.last() == Some(&far) => vec![far, point.device],
            Some(far) => vec![point.device, far],
            None => vec![point.device],
        };
        way.extend(ends);
        way.dedup();
    }
    way
}

fn steps(flow: &Flow, scenes: &[Scene], clock: Option<&str>) -> Vec<PowerStep> {
    let idle = idle(flow);
    let sounds = |gear: &Gear| matches!(gear, Gear::Device(name) if flow.sounding.contains(name));
    let mut by_turn: BTreeMap<(bool, usize), Vec<usize>> = BTreeMap::new();
    for ((number, gear), turn) in flow.gear.iter().enumerate().zip(turns(flow, &idle)) {
        let sounds = sounds(gear);
        by_turn.entry((sounds, if sounds { 0 } else { turn })).or_default().push(number);
    }
    let mut fed_by: FxHashMap<usize, Vec<usize>> = FxHashMap::default();
    for (from, to) in &flow.feeds {
        fed_by.entry(*to).or_default().push(*from);
    }
    let mut steps: Vec<PowerStep> = Vec::new();
    if !flow.outputs.is_empty() {
        by_turn.entry((true, 0)).or_default();
    }
    for ((sounds, _), numbers) in by_turn {
        let why = if sounds { LAST.to_string() } else { why(flow, &numbers, &fed_by, &idle) };
        let mut step = PowerStep { why, ..PowerStep::default() };
        let mut gear: Vec<&Gear> = numbers.iter().filter_map(|number| flow.gear.get(*number)).collect();
        gear.sort_by_key(|gear| (!matches!(gear, Gear::Device(name) if Some(name.as_str()) == clock), *gear));
        for gear in gear {
            match gear {
                Gear::Source(name) => step.sources.push(name.clone()),
                Gear::Device(name) => {
                    step.devices.push(Powered { device: name.clone(), supply: supply_of(scenes, name) });
                }
            }
        }
        if sounds {
            step.outputs = flow.outputs.values().cloned().collect();
        }
        steps.push(step);
    }
    steps
}

const LAST: &str = "they make the sound: on last, off first";

/// `fed by the sources, and by each other; nothing runs over the links of recorder`
fn why(flow: &Flow, step: &[usize], fed_by: &FxHashMap<usize, Vec<usize>>, idle: &FxHashSet<usize>) -> String {
    let within: FxHashSet<usize> = step.iter().copied().collect();
    let feeders = || step.iter().filter_map(|gear| fed_by.get(gear)).flatten();
    let each_other = feeders().any(|from| within.contains(from));
    let others: BTreeSet<&Gear> =
        feeders().filter(|from| !within.contains(from)).filter_map(|from| flow.gear.get(*from)).collect();
    let mut feeders: Vec<String> = Vec::new();
    for gear in others {
        match gear {
            Gear::Source(_) if feeders.is_empty() => feeders.push("the sources".to_string()),
            Gear::Source(_) => {}
            Gear::Device(name) => feeders.push(name.clone()),
        }
    }
    let by = all_of(&feeders);
    let linked = step.iter().filter(|gear| idle.contains(gear) && flow.links.contains_key(gear));
    let linked: BTreeSet<&Gear> = linked.filter_map(|gear| flow.gear.get(*gear)).collect();
    let linked: Vec<String> = linked.into_iter().map(|gear| gear.name().to_string()).collect();
    let idle =
        if linked.is_empty() { String::new() } else { format!("; nothing runs over the links of {}", all_of(&linked)) };
    let fed = match (feeders.is_empty(), each_other) {
        (true, false) => "no other gear feeds them".to_string(),
        (true, true) => "they feed each other, and no other gear feeds them".to_string(),
        (false, false) => format!("fed by {by}"),
        (false, true) => format!("fed by {by}, and by each other"),
    };
    fed + &idle
}

fn supply_of(scenes: &[Scene], name: &str) -> Option<String> {
    let mut devices = scenes.iter().filter_map(|scene| scene.rig.device(scene.rig.device_named(name)?));
    devices.find_map(|device| device.supply.as_ref().map(|supply| supply.value.clone()))
}

/// Devices of which no signal comes from other gear, nor goes to any.
fn idle(flow: &Flow) -> FxHashSet<usize> {
    let busy: FxHashSet<usize> = flow.feeds.iter().flat_map(|(from, to)| [*from, *to]).collect();
    let devices = flow.gear.iter().enumerate().filter(|(_, gear)| matches!(gear, Gear::Device(_)));
    devices.map(|(number, _)| number).filter(|number| !busy.contains(number)).collect()
}

/// The turn of each piece: after all that feeds it, and together with what it feeds in return.
fn turns(flow: &Flow, idle: &FxHashSet<usize>) -> Vec<usize> {
    let graph: DiGraph<(), (), usize> = DiGraph::from_edges(flow.feeds.iter().copied());
    let mut turns = vec![0; flow.gear.len()];
    // Pieces that feed each other come as one, and each such circle before what it feeds.
    for circle in kosaraju_scc(&graph).into_iter().rev() {
        let turn = circle.iter().filter_map(|gear| turns.get(gear.index())).max().copied().unwrap_or(0);
        for fed in circle.iter().flat_map(|gear| graph.neighbors(*gear)) {
            if let Some(of_fed) = turns.get_mut(fed.index()) {
                *of_fed = (*of_fed).max(turn + 1);
            }
        }
        for gear in &circle {
            if let Some(of_it) = turns.get_mut(gear.index()) {
                *of_it = turn;
            }
        }
    }
    rest_of_links(flow, idle, &mut turns);
    turns
}

/// What no signal passes comes on with the first of what its links lead to, by way of others such, and which some
/// signal passes.
fn rest_of_links(flow: &Flow, idle: &FxHashSet<usize>, turns: &mut [usize]) {
    let sounds =
        |gear: &usize| matches!(flow.gear.get(*gear), Some(Gear::Device(name)) if flow.sounding.contains(name));
    let mut known = FxHashSet::default();
    for gear in idle {
        if !known.insert(*gear) {
            continue;
        }
        let (mut group, mut next, mut turn) = (vec![*gear], 0, None::<usize>);
        while let Some(at) = group.get(next) {
            next += 1;
            for near in flow.links.get(at).into_iter().flatten() {
                if idle.contains(near) {
                    group.extend(known.insert(*near).then_some(*near));
                } else if !sounds(near) {
                    turn = turn.into_iter().chain(turns.get(*near).copied()).min();
                }
            }
        }
        for gear in group {
            if let Some(of_it) = turns.get_mut(gear) {
                *of_it = turn.unwrap_or(0);
            }
        }
    }
}
