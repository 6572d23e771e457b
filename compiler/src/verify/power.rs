//! Who feeds whom in any act, and what makes the sound: what the order in which gear is switched on is held
//! against. Of mains it knows nothing.

use super::state::{Node, State};
use super::walk::{Found, Source};
use crate::plan::{Act, End, Plan, Role, Signal};
use rustc_hash::{FxHashMap, FxHashSet};

/// Outputs where nothing makes sound; any other use does, and so may one that nobody said.
const QUIET: &[&str] = &["broadcast", "press", "record", "effects", "comms"];

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Gear<'p> {
    Source(&'p str),
    Device(&'p str),
    Output(&'p str),
}

/// Everything that has a switch, by its place in `gear`, and what it leads to directly.
#[derive(Default)]
pub(super) struct Power<'p> {
    pub gear: Vec<Gear<'p>>,
    numbers: FxHashMap<Gear<'p>, usize>,
    pub feeds: FxHashSet<(usize, usize)>,
    pub links: FxHashSet<(usize, usize)>,
    pub sounding: FxHashSet<usize>,
}

impl<'p> Power<'p> {
    /// Adds one act.
    pub fn read(&mut self, state: &State<'p>, plan: &'p Plan) {
        let act = plan.acts.iter().find(|act| Some(act.act.as_str()) == state.act);
        for dev in state.devices.iter().filter(|dev| on_mains(plan, &dev.device.model)) {
            self.add(Gear::Device(&dev.device.name));
        }
        let switched = with_a_switch(plan, act);
        for plug in state.plugs.iter().filter(|plug| switched.contains(plug.source.as_str())) {
            self.add(Gear::Source(&plug.source));
        }
        let devices: Vec<Option<usize>> =
            state.devices.iter().map(|dev| self.number(Gear::Device(&dev.device.name))).collect();
        let plugs: Vec<Option<usize>> =
            state.plugs.iter().map(|plug| self.number(Gear::Source(&plug.source))).collect();
        self.read_links(state, &devices);
        self.read_feeds(state, &devices, &plugs);
        let signals = plan.signals.iter().chain(act.map(|act| act.signals.as_slice()).unwrap_or_default());
        self.read_sounding(state, &signals.collect::<Vec<_>>());
    }

    pub fn number(&self, gear: Gear<'p>) -> Option<usize> {
        self.numbers.get(&gear).copied()
    }

    fn add(&mut self, gear: Gear<'p>) -> usize {
        *self.numbers.entry(gear).or_insert_with(|| {
            self.gear.push(gear);
            self.gear.len() - 1
        })
    }

    fn read_links(&mut self, state: &State<'p>, numbers: &[Option<usize>]) {
        for ((device, dev), near) in state.devices.iter().enumerate().zip(numbers) {
            let far = (0..dev.ports.len()).filter_map(|port| *numbers.get(state.link(device, port)?.device)?);
            self.links.extend(near.iter().flat_map(|near| far.clone().map(move |far| (*near, far))));
        }
    }

    /// Along each way from a source to an end: from each piece with a switch to the next.
    fn read_feeds(&mut self, state: &State<'p>, devices: &[Option<usize>], plugs: &[Option<usize>]) {
        let mut path = Vec::new();
        for end in state.ends() {
            let Found::Source(source) = state.walk(end, &mut path) else { continue };
            let mut last = match source {
                Source::Plug(plug) => plugs.get(plug).copied().flatten(),
                Source::Origin(_) => None,
            };
            let of = |node: &Node| devices.get(node.device).copied().flatten();
            for next in path.iter().rev().filter_map(of) {
                if let Some(from) = last.replace(next).filter(|from| *from != next) {
                    self.feeds.insert((from, next));
                }
            }
        }
    }

    /// What makes the sound: on asked outputs, and behind gear that takes one and gives it on.
    fn read_sounding(&mut self, state: &State<'p>, signals: &[&'p Signal]) {
        let quiet = |end: &End| end.used_as.as_ref().is_some_and(|used_as| QUIET.contains(&used_as.as_str()));
        let mut heard: Vec<&'p End> = Vec::new();
        for signal in signals {
            heard.extend(signal.ends.iter().filter(|end| end.asked && !quiet(end)));
        }
        let (mut passing, mut given, mut next) = (FxHashSet::default(), None, 0);
        while let Some(end) = heard.get(next).copied() {
            next += 1;
            let Some(node) = state.bank_point(&end.end) else { continue };
            let (Some(dev), Some(inside)) = (state.devices.get(node.device), state.inside(node.device)) else {
                continue;
            };
            let takes_only = || inside.ports.is_empty() && inside.banks.iter().all(|bank| bank.bank.role == Role::In);
            let sounding = match state.role(node) {
                // A hub's feeds are no outputs of a list: what hangs there is fed by it.
                Some(Role::Out) if dev.device.role != "hub" => Gear::Output(&end.end),
                Some(Role::In) if takes_only() => Gear::Device(&dev.device.name),
                Some(Role::In) if passing.insert(node.device) => {
                    let given = given.get_or_insert_with(|| given_by(state, signals));
                    heard.extend(given.get(&node.device).into_iter().flatten());
                    continue;
                }
                _ => continue,
            };
            let sounding = self.add(sounding);
            self.sounding.insert(sounding);
        }
    }
}

/// The inputs that hear what a device gives, unasked.
fn given_by<'p>(state: &State<'p>, signals: &[&'p Signal]) -> FxHashMap<usize, Vec<&'p End>> {
    let mut given: FxHashMap<usize, Vec<&'p End>> = FxHashMap::default();
    let role = |end: &End| state.bank_point(&end.end).and_then(|node| state.role(node));
    for signal in signals {
        let Some(origin) = state.bank_point(&signal.source) else { continue };
        let inputs = signal.ends.iter().filter(|end| !end.asked && role(end) == Some(Role::In));
        given.entry(origin.device).or_default().extend(inputs);
    }
    given
}

fn on_mains(plan: &Plan, model: &str) -> bool {
    plan.models.get(model).is_some_and(|model| model.mains)
}

/// Sources with a switch of their own.
fn with_a_switch<'p>(plan: &'p Plan, act: Option<&'p Act>) -> FxHashSet<&'p str> {
    let sources = plan.sources.iter().chain(act.map(|act| act.sources.as_slice()).unwrap_or_default());
    let switched = sources.filter(|source| {
        let kind = source.kind.as_ref().and_then(|kind| plan.kinds.get(kind));
        kind.is_some_and(|kind| kind.mains) && !matches!(source.pickup.as_deref(), Some("passive" | "piezo"))
    });
    switched.map(|source| source.source.as_str()).collect()
}
