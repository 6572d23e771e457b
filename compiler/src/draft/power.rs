//! The order in which gear is switched on: along the signal, so that nothing thumps through what is on already,
//! and what makes the sound last; off the other way round (common practice, from several articles). It says what
//! stands on mains and in which turn, and nothing of mains themselves: those are for licensed people.

use crate::plan::{Plan, PowerStep, Powered, Role};
use crate::rig::{LaneKind, LinkEnd, Model, Point, Rig, all_of};
use crate::route::{Arrival, Origin, Solution};
use crate::wants::{Scene, Source, Spot, Use};
use std::collections::{BTreeMap, BTreeSet};

/// What is switched on.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Gear {
    /// By the name of the source.
    Source(String),
    Device(String),
}

/// Who feeds whom in any act, and what makes the sound.
#[derive(Default)]
struct Flow {
    feeds: BTreeSet<(Gear, Gear)>,
    /// What a link joins, both ways round.
    links: BTreeSet<(Gear, Gear)>,
    gear: BTreeSet<Gear>,
    /// Of devices, those that pass nothing on and make sound of what they get.
    sounding: BTreeSet<Gear>,
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
        let devices = (0u32..).zip(&rig.devices).filter(|(device, _)| on_mains(rig, *device));
        self.gear.extend(devices.map(|(_, device)| Gear::Device(device.name.clone())));
        let plugged = |source: &&Source| matches!(source.spot, Spot::Socket(_) | Spot::Any(_));
        let own = scene.sources.iter().filter(plugged).filter(|source| has_a_switch(source));
        self.gear.extend(own.map(|source| Gear::Source(source.name.clone())));
        let rows = scene.outputs.iter().filter(|row| row.from != row.to);
        let uses: BTreeMap<Point, Option<Use>> = rows.map(|row| (row.to, row.used_as)).collect();
        for arrival in arrivals {
            let source = match arrival.origin {
                Origin::Source(source) => scene.source(source).filter(|source| has_a_switch(source)),
                Origin::Point(_) => None,
            };
            let source = source.map(|source| Gear::Source(source.name.clone()));
            let devices = devices_on(rig, &arrival.path).into_iter().filter(|device| on_mains(rig, *device));
            let devices = devices.map(|device| Gear::Device(rig.device_name(device).to_string()));
            let way: Vec<Gear> = source.into_iter().chain(devices).collect();
            let pairs = way.iter().zip(way.iter().skip(1)).filter(|(from, to)| from != to);
            self.feeds.extend(pairs.map(|(from, to)| (from.clone(), to.clone())));
        }
        self.follow_sound(rig, arrivals, &uses);
        for cable in &rig.cables {
            let [one, two] = [cable.from, cable.to].map(|end| Gear::Device(rig.device_name(end.device).to_string()));
            if self.gear.contains(&one) && self.gear.contains(&two) {
                self.links.extend([(one.clone(), two.clone()), (two, one)]);
            }
        }
    }

    /// From each output that is to be heard to what makes the sound, also where others' gear takes it and gives it on.
    fn follow_sound(&mut self, rig: &Rig, arrivals: &[Arrival], uses: &BTreeMap<Point, Option<Use>>) {
        let (mut passing, mut known) = (BTreeSet::new(), None);
        while known != Some(passing.len()) {
            known = Some(passing.len());
            for arrival in arrivals {
                let passed = matches!(arrival.origin, Origin::Point(point) if passing.contains(&point.device));
                let heard = match uses.get(&arrival.end) {
                    Some(used_as) => used_as.is_none_or(Use::sounds),
                    None => {
                        passed && rig.lane_at(arrival.end).is_some_and(|lane| lane.kind == LaneKind::Bank(Role::In))
                    }
                };
                passing.extend(heard.then(|| self.sounds(rig, arrival.end)).flatten());
            }
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
                self.sounding.insert(Gear::Device(rig.device_name(end.device).to_string()));
            }
        }
        None
    }

    /// No signal comes to it from other gear, nor goes to any.
    fn is_idle(&self, gear: &Gear) -> bool {
        matches!(gear, Gear::Device(_)) && !self.feeds.iter().any(|(from, to)| from == gear || to == gear)
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
    let turns = turns(flow);
    let mut by_turn: BTreeMap<(bool, usize), Vec<&Gear>> = BTreeMap::new();
    for gear in &flow.gear {
        let sounds = flow.sounding.contains(gear);
        let turn = if sounds { 0 } else { turns.get(gear).copied().unwrap_or(0) };
        by_turn.entry((sounds, turn)).or_default().push(gear);
    }
    let mut steps: Vec<PowerStep> = Vec::new();
    if !flow.outputs.is_empty() {
        by_turn.entry((true, 0)).or_default();
    }
    for ((sounds, _), mut gear) in by_turn {
        gear.sort_by_key(|gear| (!matches!(gear, Gear::Device(name) if Some(name.as_str()) == clock), *gear));
        let why = if sounds { LAST.to_string() } else { why(flow, &gear) };
        let mut step = PowerStep { why, ..PowerStep::default() };
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
fn why(flow: &Flow, step: &[&Gear]) -> String {
    let within = |gear: &Gear| step.contains(&gear);
    let mut feeders: Vec<String> = Vec::new();
    let mut each_other = false;
    for (from, _) in flow.feeds.iter().filter(|(_, to)| within(to)) {
        let name = match from {
            _ if within(from) => {
                each_other = true;
                continue;
            }
            Gear::Source(_) => "the sources".to_string(),
            Gear::Device(name) => name.clone(),
        };
        if !feeders.contains(&name) {
            feeders.push(name);
        }
    }
    let by = all_of(&feeders);
    let name = |gear: &&Gear| match gear {
        Gear::Device(name) if flow.is_idle(gear) && flow.links.iter().any(|(from, _)| from == *gear) => {
            Some(name.clone())
        }
        _ => None,
    };
    let idle: BTreeSet<String> = step.iter().filter_map(name).collect();
    let idle: Vec<String> = idle.into_iter().collect();
    let idle =
        if idle.is_empty() { String::new() } else { format!("; nothing runs over the links of {}", all_of(&idle)) };
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

/// The turn of each piece: after all that feeds it, and together with what it feeds in return.
fn turns(flow: &Flow) -> BTreeMap<&Gear, usize> {
    let mut next: BTreeMap<&Gear, Vec<&Gear>> = BTreeMap::new();
    for (from, to) in &flow.feeds {
        next.entry(from).or_default().push(to);
    }
    let reached: BTreeMap<&Gear, BTreeSet<&Gear>> = flow.gear.iter().map(|gear| (gear, beyond(gear, &next))).collect();
    let leads = |from: &Gear, to: &Gear| reached.get(from).is_some_and(|beyond| beyond.contains(to));
    let mut turns: BTreeMap<&Gear, usize> = flow.gear.iter().map(|gear| (gear, 0)).collect();
    // Pieces that feed each other rise together, all others one step: so it ends.
    let mut rising = true;
    while rising {
        rising = false;
        for (from, to) in &flow.feeds {
            let step = usize::from(!leads(to, from));
            let least = turns.get(from).map_or(0, |turn| turn + step);
            if let Some(turn) = turns.get_mut(to).filter(|turn| **turn < least) {
                *turn = least;
                rising = true;
            }
        }
    }
    for gear in flow.gear.iter().filter(|gear| flow.is_idle(gear)) {
        let turn = led_to(flow, gear).filter_map(|gear| turns.get(gear).copied()).min();
        turns.insert(gear, turn.unwrap_or(0));
    }
    turns
}

/// What the links of a piece that no signal passes lead to, by way of others such, and which some signal passes.
fn led_to<'f>(flow: &'f Flow, idle: &'f Gear) -> impl Iterator<Item = &'f Gear> {
    let mut next: BTreeMap<&Gear, Vec<&Gear>> = BTreeMap::new();
    for (from, to) in flow.links.iter().filter(|(from, _)| flow.is_idle(from)) {
        next.entry(from).or_default().push(to);
    }
    beyond(idle, &next).into_iter().filter(|gear| !flow.is_idle(gear) && !flow.sounding.contains(*gear))
}

/// Everything that a piece leads to.
fn beyond<'f>(gear: &'f Gear, next: &BTreeMap<&'f Gear, Vec<&'f Gear>>) -> BTreeSet<&'f Gear> {
    let (mut found, mut open) = (BTreeSet::new(), vec![gear]);
    while let Some(at) = open.pop() {
        let fed = next.get(at).map(Vec::as_slice).unwrap_or_default();
        open.extend(fed.iter().filter(|fed| found.insert(**fed)));
    }
    found
}
