//! The order in which gear is switched on, against who feeds whom: each piece with a switch once, after all that
//! leads to it, together with what leads back, what makes the sound last, and nothing later than need be. Each
//! piece and each way between two is looked at once: a show has thousands.

use super::Difference;
use super::power::{Gear, Power};
use crate::plan::Plan;
use petgraph::algo::kosaraju_scc;
use petgraph::graph::{DiGraph, NodeIndex};
use rustc_hash::FxHashSet;
use std::collections::BTreeMap;

/// The turn of the piece that is on last among some, and that piece.
type Latest = Option<(usize, usize)>;

/// Holds the plan's steps against all that was read.
pub(super) fn check(power: &Power<'_>, plan: &Plan, differences: &mut Vec<Difference>) {
    let steps = steps(plan);
    for (gear, steps) in &steps {
        let known = usize::from(power.number(*gear).is_some());
        if steps.len() != known {
            differences.push(difference(*gear, format!("in {known} steps"), format!("in {}", steps.len())));
        }
    }
    for gear in power.gear.iter().filter(|gear| !steps.contains_key(gear)) {
        differences.push(difference(*gear, "in 1 steps".into(), "in 0".into()));
    }
    let turns = power.gear.iter().map(|gear| steps.get(gear).and_then(|steps| steps.first().copied())).collect();
    Turns { power, turns }.check(differences);
    check_supplies(plan, differences);
}

struct Turns<'a, 'p> {
    power: &'a Power<'p>,
    /// The first step of each piece.
    turns: Vec<Option<usize>>,
}

impl Turns<'_, '_> {
    fn check(&self, differences: &mut Vec<Difference>) {
        let idle = self.idle();
        let next = self.next_to_idle(&idle);
        let numbers = 0..self.turns.len();
        let last = numbers.filter(|gear| !self.sounds(*gear)).filter_map(|gear| Some((self.turn(gear)?, gear))).max();
        let before = self.before(differences);
        for (gear, before) in before.into_iter().enumerate() {
            let Some(found) = self.turn(gear) else { continue };
            let after = if self.sounds(gear) { last } else { before };
            let least = match idle.contains(&gear) && !self.sounds(gear) {
                true => next.get(gear).copied().flatten().unwrap_or(0),
                false => after.map_or(0, |(turn, _)| turn + 1),
            };
            if let Some((turn, other)) = after.filter(|(turn, _)| found <= *turn) {
                let expected = format!("on after `{}`, in step {}", self.name(other), turn + 1);
                self.differ(gear, expected, differences);
            } else if found > least {
                self.differ(gear, format!("as early as can be, in step {}", least + 1), differences);
            }
        }
    }

    /// For each piece what is on last among all that leads to it and is not led to by it. What leads to each
    /// other is in one step.
    fn before(&self, differences: &mut Vec<Difference>) -> Vec<Latest> {
        let mut graph: DiGraph<(), (), usize> = DiGraph::default();
        for _ in &self.turns {
            graph.add_node(());
        }
        for (from, to) in &self.power.feeds {
            graph.add_edge(NodeIndex::new(*from), NodeIndex::new(*to), ());
        }
        let mut before: Vec<Latest> = vec![None; self.turns.len()];
        // What is led to comes first: the sources are at the end.
        for circle in kosaraju_scc(&graph).into_iter().rev() {
            let members = || circle.iter().map(|node| node.index());
            let earlier = members().filter_map(|gear| before.get(gear).copied().flatten()).max();
            let mut turns = members().filter_map(|gear| Some((self.turn(gear)?, gear)));
            if let Some((turn, first)) = turns.next() {
                for (_, gear) in turns.filter(|(other, _)| *other != turn) {
                    let expected = format!("on with `{}`, in step {}", self.name(first), turn + 1);
                    self.differ(gear, expected, differences);
                }
            }
            let quiet = members().filter(|gear| !self.sounds(*gear));
            let latest = quiet.filter_map(|gear| Some((self.turn(gear)?, gear))).max().max(earlier);
            for fed in circle.iter().flat_map(|node| graph.neighbors(*node)) {
                if let Some(of_fed) = before.get_mut(fed.index()) {
                    *of_fed = (*of_fed).max(latest);
                }
            }
            for gear in members() {
                if let Some(of_it) = before.get_mut(gear) {
                    *of_it = earlier;
                }
            }
        }
        before
    }

    /// Devices of which no signal comes from other gear, nor goes to any.
    fn idle(&self) -> FxHashSet<usize> {
        let busy: FxHashSet<usize> = self.power.feeds.iter().flat_map(|(from, to)| [*from, *to]).collect();
        let devices = self.power.gear.iter().enumerate().filter(|(_, gear)| matches!(gear, Gear::Device(_)));
        devices.map(|(gear, _)| gear).filter(|gear| !busy.contains(gear)).collect()
    }

    /// For each idle piece the first turn among what its links lead to by way of other idle ones, of what some signal
    /// passes and makes no sound itself.
    fn next_to_idle(&self, idle: &FxHashSet<usize>) -> Vec<Option<usize>> {
        let mut linked: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (from, to) in self.power.links.iter().filter(|(from, _)| idle.contains(from)) {
            linked.entry(*to).or_default().push(*from);
        }
        let busy = linked.keys().filter(|gear| !idle.contains(gear) && !self.sounds(**gear));
        let mut busy: Vec<(usize, usize)> = busy.filter_map(|gear| Some((self.turn(*gear)?, *gear))).collect();
        busy.sort_unstable();
        let mut first = vec![None; self.turns.len()];
        for (turn, gear) in busy {
            let mut open = vec![gear];
            while let Some(at) = open.pop() {
                for near in linked.get(&at).into_iter().flatten() {
                    if let Some(unset) = first.get_mut(*near).filter(|first| first.is_none()) {
                        *unset = Some(turn);
                        open.push(*near);
                    }
                }
            }
        }
        first
    }

    fn turn(&self, gear: usize) -> Option<usize> {
        self.turns.get(gear).copied().flatten()
    }

    fn sounds(&self, gear: usize) -> bool {
        self.power.sounding.contains(&gear)
    }

    fn name(&self, gear: usize) -> &str {
        self.power.gear.get(gear).map_or("", |gear| name(*gear))
    }

    fn differ(&self, gear: usize, expected: String, differences: &mut Vec<Difference>) {
        let found = self.turn(gear).map_or_else(String::new, |turn| format!("step {}", turn + 1));
        differences.extend(self.power.gear.get(gear).map(|gear| difference(*gear, expected, found)));
    }
}

fn difference(gear: Gear<'_>, expected: String, found: String) -> Difference {
    Difference { place: format!("power, {}", name(gear)), expected, found, act: None }
}

fn name(gear: Gear<'_>) -> &str {
    let (Gear::Source(name) | Gear::Device(name) | Gear::Output(name)) = gear;
    name
}

/// Each device on the supply that it says.
fn check_supplies(plan: &Plan, differences: &mut Vec<Difference>) {
    let devices = plan.devices.iter().chain(plan.acts.iter().flat_map(|act| &act.devices));
    let said: FxHashSet<(&str, Option<&str>)> =
        devices.map(|device| (device.name.as_str(), device.supply.as_deref())).collect();
    for (number, step) in plan.power.iter().enumerate() {
        for entry in &step.devices {
            let supply = entry.supply.as_deref();
            if !said.contains(&(entry.device.as_str(), supply)) {
                let found = format!("{} in step {}", supply.unwrap_or("none"), number + 1);
                let expected = "the supply that the device says".into();
                differences.push(difference(Gear::Device(&entry.device), expected, found));
            }
        }
    }
}

/// The steps in which each piece stands.
fn steps(plan: &Plan) -> BTreeMap<Gear<'_>, Vec<usize>> {
    let mut steps: BTreeMap<Gear<'_>, Vec<usize>> = BTreeMap::new();
    for (number, step) in plan.power.iter().enumerate() {
        let sources = step.sources.iter().map(|name| Gear::Source(name));
        let devices = step.devices.iter().map(|entry| Gear::Device(&entry.device));
        let outputs = step.outputs.iter().map(|at| Gear::Output(at));
        for gear in sources.chain(devices).chain(outputs) {
            steps.entry(gear).or_default().push(number);
        }
    }
    steps
}
