//! The order in which gear is switched on, against who feeds whom in any act: each piece with a switch once, after
//! all that leads to it, together with what leads back, and what makes the sound last. Of mains it knows nothing.

use super::Difference;
use super::state::{Node, State};
use super::walk::{Found, Source};
use crate::plan::{Act, End, Plan, Plug, Role, Signal};
use std::collections::{BTreeMap, BTreeSet};

/// Outputs where nothing makes sound; any other use does, and so may one that nobody said.
const QUIET: &[&str] = &["broadcast", "press", "record", "effects", "comms"];

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Gear<'p> {
    Source(&'p str),
    Device(&'p str),
    Output(&'p str),
}

/// Everything that has a switch, and what it leads to directly.
#[derive(Default)]
pub(super) struct Power<'p> {
    gear: BTreeSet<Gear<'p>>,
    feeds: BTreeMap<Gear<'p>, BTreeSet<Gear<'p>>>,
    links: BTreeMap<Gear<'p>, BTreeSet<Gear<'p>>>,
    sounding: BTreeSet<Gear<'p>>,
}

impl<'p> Power<'p> {
    /// Adds one act.
    pub fn read(&mut self, state: &State<'p>, plan: &'p Plan) {
        let devices = state.devices.iter().filter(|dev| on_mains(plan, &dev.device.model));
        self.gear.extend(devices.map(|dev| Gear::Device(&dev.device.name)));
        self.read_links(state);
        let act = plan.acts.iter().find(|act| Some(act.act.as_str()) == state.act);
        let plugs = state.plugs.iter().filter(|plug| has_a_switch(plan, act, plug));
        self.gear.extend(plugs.map(|plug| Gear::Source(&plug.source)));
        let mut path = Vec::new();
        for end in state.ends() {
            let Found::Source(source) = state.walk(end, &mut path) else { continue };
            let plug = match source {
                Source::Plug(plug) => state.plugs.get(plug).map(|plug| Gear::Source(&plug.source)),
                Source::Origin(_) => None,
            };
            let device = |node: &Node| state.devices.get(node.device).map(|dev| Gear::Device(&dev.device.name));
            let way = plug.into_iter().chain(path.iter().rev().filter_map(device));
            let way: Vec<Gear<'p>> = way.filter(|gear| self.gear.contains(gear)).collect();
            for (from, to) in way.iter().zip(way.iter().skip(1)).filter(|(from, to)| from != to) {
                self.feeds.entry(*from).or_default().insert(*to);
            }
        }
        let signals = plan.signals.iter().chain(act.map(|act| act.signals.as_slice()).unwrap_or_default());
        self.read_sounding(state, &signals.collect::<Vec<_>>());
    }

    fn read_links(&mut self, state: &State<'p>) {
        for (device, dev) in state.devices.iter().enumerate() {
            let far = (0..dev.ports.len()).filter_map(|port| state.devices.get(state.link(device, port)?.device));
            let far = far.map(|dev| Gear::Device(&dev.device.name)).filter(|gear| self.gear.contains(gear));
            let far: Vec<Gear<'p>> = far.collect();
            self.links.entry(Gear::Device(&dev.device.name)).or_default().extend(far);
        }
    }

    /// What makes the sound: on asked outputs, and behind gear that takes one and gives it on.
    fn read_sounding(&mut self, state: &State<'p>, signals: &[&'p Signal]) {
        let quiet = |end: &End| end.used_as.as_ref().is_some_and(|used_as| QUIET.contains(&used_as.as_str()));
        let mut heard: Vec<&'p End> = Vec::new();
        for signal in signals {
            heard.extend(signal.ends.iter().filter(|end| end.asked && !quiet(end)));
        }
        let (mut passing, mut next) = (BTreeSet::new(), 0);
        while let Some(end) = heard.get(next).copied() {
            next += 1;
            let Some(node) = state.bank_point(&end.end) else { continue };
            let (Some(dev), Some(inside)) = (state.devices.get(node.device), state.inside(node.device)) else {
                continue;
            };
            let takes_only = inside.banks.iter().all(|bank| bank.bank.role == Role::In) && inside.ports.is_empty();
            let sounding = match state.role(node) {
                // A hub's feeds are no outputs of a list: what hangs there is fed by it.
                Some(Role::Out) if dev.device.role != "hub" => Gear::Output(&end.end),
                Some(Role::In) if takes_only => Gear::Device(&dev.device.name),
                Some(Role::In) if passing.insert(node.device) => {
                    let from_here = |signal: &&&Signal| {
                        state.bank_point(&signal.source).is_some_and(|origin| origin.device == node.device)
                    };
                    let at_inputs = |end: &&End| {
                        let role = state.bank_point(&end.end).and_then(|node| state.role(node));
                        !end.asked && role == Some(Role::In)
                    };
                    let passed = signals.iter().filter(from_here).flat_map(|signal| &signal.ends);
                    heard.extend(passed.filter(at_inputs));
                    continue;
                }
                _ => continue,
            };
            self.gear.insert(sounding);
            self.sounding.insert(sounding);
        }
    }

    /// Holds the plan's steps against all that was read.
    pub fn check(&self, plan: &'p Plan, differences: &mut Vec<Difference>) {
        let mut differ = |place: Gear<'p>, expected: String, found: String| {
            let (Gear::Source(place) | Gear::Device(place) | Gear::Output(place)) = place;
            let place = format!("power, {place}");
            differences.push(Difference { place, expected, found, act: None });
        };
        let turns = turns(plan);
        let listed = turns.iter().flat_map(|(gear, steps)| steps.iter().map(move |_| *gear));
        for gear in listed.chain(self.gear.iter().copied()).collect::<BTreeSet<_>>() {
            let (count, known) = (turns.get(&gear).map_or(0, Vec::len), usize::from(self.gear.contains(&gear)));
            if count != known {
                differ(gear, format!("in {known} steps"), format!("in {count}"));
            }
        }
        let turn = |gear: &Gear<'p>| turns.get(gear).and_then(|steps| steps.first().copied());
        let reached: BTreeMap<_, _> = self.gear.iter().map(|gear| (*gear, beyond(&self.feeds, *gear))).collect();
        let leads = |from: &Gear<'p>, to: &Gear<'p>| reached.get(from).is_some_and(|beyond| beyond.contains(to));
        for (from, to) in self.gear.iter().flat_map(|from| self.gear.iter().map(move |to| (from, to))) {
            let last = self.sounding.contains(to) && !self.sounding.contains(from);
            let both = last || leads(from, to);
            let (Some(one), Some(two), true) = (turn(from), turn(to), both && from != to) else { continue };
            let together = leads(to, from);
            if if together { one != two } else { one >= two } {
                let word = if together { "with" } else { "after" };
                let (Gear::Source(name) | Gear::Device(name) | Gear::Output(name)) = from;
                differ(*to, format!("on {word} `{name}`, in step {}", one + 1), format!("step {}", two + 1));
            }
        }
        for gear in &self.gear {
            let Some((found, least)) = turn(gear).zip(self.least(gear, &turn, &leads)) else { continue };
            if found > least {
                differ(*gear, format!("as early as can be, in step {}", least + 1), format!("step {}", found + 1));
            }
        }
        check_supplies(plan, differences);
    }

    /// The earliest step of a piece, by the steps of those before it.
    fn least(
        &self,
        gear: &Gear<'p>,
        turn: &impl Fn(&Gear<'p>) -> Option<usize>,
        leads: &impl Fn(&Gear<'p>, &Gear<'p>) -> bool,
    ) -> Option<usize> {
        let after = |before: Option<usize>| before.map_or(0, |before| before + 1);
        if self.sounding.contains(gear) {
            let quiet = self.gear.iter().filter(|gear| !self.sounding.contains(gear));
            return Some(after(quiet.filter_map(turn).max()));
        }
        if self.is_idle(gear) {
            let mut next = self.links.clone();
            next.retain(|from, _| self.is_idle(from));
            let met = beyond(&next, *gear).into_iter();
            let met = met.filter(|gear| !self.is_idle(gear) && !self.sounding.contains(gear));
            return Some(met.filter_map(|gear| turn(&gear)).min().unwrap_or(0));
        }
        let before = self.gear.iter().filter(|from| leads(from, gear) && !leads(gear, from));
        Some(after(before.filter(|from| !self.sounding.contains(from)).filter_map(turn).max()))
    }

    /// No signal comes to it from other gear, nor goes to any.
    fn is_idle(&self, gear: &Gear<'p>) -> bool {
        let fed = || self.feeds.values().any(|fed| fed.contains(gear));
        matches!(gear, Gear::Device(_)) && !self.feeds.contains_key(gear) && !fed()
    }
}

/// Each device on the supply that it says.
fn check_supplies(plan: &Plan, differences: &mut Vec<Difference>) {
    for (number, step) in plan.power.iter().enumerate() {
        for entry in &step.devices {
            let of_it = plan.devices.iter().chain(plan.acts.iter().flat_map(|act| &act.devices));
            let mut of_it = of_it.filter(|device| device.name == entry.device);
            if !of_it.any(|device| device.supply == entry.supply) {
                let place = format!("power, {}", entry.device);
                let found = format!("{} in step {}", entry.supply.as_deref().unwrap_or("none"), number + 1);
                differences.push(Difference {
                    place,
                    expected: "the supply that the device says".into(),
                    found,
                    act: None,
                });
            }
        }
    }
}

/// All that a piece leads to.
fn beyond<'p>(next: &BTreeMap<Gear<'p>, BTreeSet<Gear<'p>>>, gear: Gear<'p>) -> BTreeSet<Gear<'p>> {
    let (mut found, mut open) = (BTreeSet::new(), vec![gear]);
    while let Some(at) = open.pop() {
        open.extend(next.get(&at).into_iter().flatten().filter(|fed| found.insert(**fed)));
    }
    found
}

/// The steps in which each piece stands.
fn turns(plan: &Plan) -> BTreeMap<Gear<'_>, Vec<usize>> {
    let mut turns: BTreeMap<Gear<'_>, Vec<usize>> = BTreeMap::new();
    for (number, step) in plan.power.iter().enumerate() {
        let sources = step.sources.iter().map(|name| Gear::Source(name));
        let devices = step.devices.iter().map(|entry| Gear::Device(&entry.device));
        let outputs = step.outputs.iter().map(|at| Gear::Output(at));
        for gear in sources.chain(devices).chain(outputs) {
            turns.entry(gear).or_default().push(number);
        }
    }
    turns
}

fn on_mains(plan: &Plan, model: &str) -> bool {
    plan.models.get(model).is_some_and(|model| model.mains)
}

fn has_a_switch(plan: &Plan, act: Option<&Act>, plug: &Plug) -> bool {
    let sources = plan.sources.iter().chain(act.map(|act| act.sources.as_slice()).unwrap_or_default());
    sources.filter(|source| source.source == plug.source).any(|source| {
        let kind = source.kind.as_ref().and_then(|kind| plan.kinds.get(kind));
        kind.is_some_and(|kind| kind.mains) && !matches!(source.pickup.as_deref(), Some("passive" | "piezo"))
    })
}
