//! Who is near whom in two plans: what hangs on what, and which signals pass where. Good for finding the nearest thing
//! of which rows differ; it knows no row.

use super::facts::named;
use crate::plan::{Plan, Points, View, port_or_bank};
use rustc_hash::FxHashMap;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// So many rows are named at most: more are no answer.
pub(super) const MANY: usize = 24;

/// What a signal starts at: a source, or the point of a mix.
pub(super) fn thing_of(name: &str) -> String {
    format!("{} {name}", if name.contains(' ') { "mix" } else { "source" })
}

/// Things by number, and their neighbours.
#[derive(Default)]
pub(super) struct Ways {
    numbers: FxHashMap<String, usize>,
    things: Vec<Thing>,
    /// By bank or port and number there, what passes.
    passing: FxHashMap<String, BTreeMap<u32, BTreeSet<usize>>>,
    /// The port by whose name paths call a cable, by the port at its other end.
    called: FxHashMap<String, String>,
}

#[derive(Default)]
struct Thing {
    name: String,
    near: BTreeSet<usize>,
    /// How many steps from here to rows that differ, and whom they lead over.
    far: Option<usize>,
    next: Vec<usize>,
}

impl Ways {
    /// Of both plans, in all acts.
    pub fn of(plans: [&Plan; 2], differs: impl Fn(&str) -> bool) -> Self {
        let mut ways = Ways::default();
        for plan in plans {
            let view = View::any(plan);
            ways.gear(&view);
            ways.lists(&view);
            ways.signals(&view);
        }
        ways.measure(differs);
        ways
    }

    /// The nearest things of which rows differ.
    pub fn nearest(&self, from: &[String]) -> Vec<&str> {
        let from = from.iter().filter_map(|thing| self.numbers.get(thing)).copied();
        let from: Vec<(usize, usize)> = from.filter_map(|at| Some((self.things.get(at)?.far?, at))).collect();
        let least = from.iter().map(|(far, _)| *far).min();
        let mut open: VecDeque<usize> = from.iter().filter(|(far, _)| Some(*far) == least).map(|(_, at)| *at).collect();
        let (mut seen, mut found) = (BTreeSet::new(), Vec::new());
        while let Some(at) = open.pop_front().filter(|_| found.len() < MANY) {
            let Some(thing) = self.things.get(at).filter(|_| seen.insert(at)) else { continue };
            if thing.far == Some(0) {
                found.push(thing.name.as_str());
            }
            open.extend(&thing.next);
        }
        found
    }

    /// What passes a setting of a device, which is `in`, `portA 1-8`, or `in 3: gain`.
    pub fn served(&self, device: &str, of: &str) -> Vec<String> {
        let of = of.split_once(':').map_or(of, |(of, _)| of);
        let whole = format!("{device}.{of}");
        let (bank, first, last) = match Points::read(&whole) {
            Some(points) => (format!("{device}.{}", points.bank), points.first, points.last),
            None => (whole.clone(), 0, u32::MAX),
        };
        let bank = self.called.get(&bank).unwrap_or(&bank);
        let passing: BTreeSet<usize> = self
            .passing
            .get(bank)
            .into_iter()
            .flat_map(|at| at.range(first..=last))
            .flat_map(|(_, all)| all)
            .copied()
            .collect();
        passing.into_iter().filter_map(|at| self.things.get(at)).map(|thing| thing.name.clone()).collect()
    }

    fn number(&mut self, thing: &str) -> usize {
        if let Some(known) = self.numbers.get(thing) {
            return *known;
        }
        self.things.push(Thing { name: thing.to_string(), ..Thing::default() });
        self.numbers.insert(thing.to_string(), self.things.len() - 1);
        self.things.len() - 1
    }

    fn join(&mut self, one: &str, other: &str) {
        let (one, other) = (self.number(one), self.number(other));
        self.join_numbers(one, other);
    }

    fn join_numbers(&mut self, one: usize, other: usize) {
        for (here, there) in [(one, other), (other, one)] {
            if let Some(thing) = self.things.get_mut(here) {
                thing.near.insert(there);
            }
        }
    }

    fn gear(&mut self, view: &View) {
        for device in &view.devices {
            let thing = format!("device {}", device.name);
            self.join(&thing, &format!("model {}", device.model));
            for other in [&device.runs_on, &device.backup_of, &device.gain_by].into_iter().flatten() {
                self.join(&thing, &format!("device {other}"));
            }
        }
        for cable in &view.cables {
            let (Some((from, _)), Some((to, _))) = (port_or_bank(&cable.from), port_or_bank(&cable.to)) else {
                continue;
            };
            let (from, to) = (format!("device {from}"), format!("device {to}"));
            let thing = format!("cable {}", named(cable));
            self.join(&thing, &from);
            self.join(&thing, &to);
            self.join(&from, &to);
            if !cable.from.contains(' ') {
                self.called.insert(cable.to.clone(), cable.from.clone());
            }
        }
    }

    fn lists(&mut self, view: &View) {
        for source in &view.sources {
            let thing = format!("source {}", source.source);
            let (kind, mic) = (source.kind.iter().map(|name| format!("kind {name}")), source.mic.iter());
            kind.chain(mic.map(|name| format!("mic {name}"))).for_each(|other| self.join(&thing, &other));
        }
        for plug in view.plugs.iter().chain(&view.given) {
            self.stands_at(&format!("source {}", plug.source), &plug.at);
        }
        for output in &view.outputs {
            self.stands_at(&format!("mix {}", output.from), &output.to);
            self.stands_at(&format!("mix {}", output.from), &output.from);
        }
        for feed in &view.personal {
            let thing = format!("feed {}", feed.feed);
            self.stands_at(&thing, &feed.feed);
            self.join(&thing, &thing_of(&feed.of));
        }
        for mix in &view.mixes {
            self.stands_at(&format!("mix {}", mix.mix), &mix.mix);
        }
        for one in &view.plan.recordings {
            self.join(&format!("recording {}", one.device), &format!("device {}", one.device));
        }
    }

    fn stands_at(&mut self, thing: &str, at: &str) {
        if let Some((device, _)) = port_or_bank(at) {
            self.join(thing, &format!("device {device}"));
        }
    }

    fn signals(&mut self, view: &View) {
        let devices: FxHashMap<&str, usize> = view
            .devices
            .iter()
            .map(|device| (device.name.as_str(), self.number(&format!("device {}", device.name))))
            .collect();
        for signal in &view.signals {
            let number = self.number(&thing_of(&signal.source));
            for point in signal.ends.iter().flat_map(|end| &end.path).filter_map(|point| Points::read(point)) {
                if let Some(device) = devices.get(point.device) {
                    self.join_numbers(number, *device);
                }
                let at = format!("{}.{}", point.device, point.bank);
                self.passing.entry(at).or_default().entry(point.first).or_default().insert(number);
            }
        }
    }

    /// How far each thing is from rows that differ.
    fn measure(&mut self, differs: impl Fn(&str) -> bool) {
        let mut open = VecDeque::new();
        for (at, thing) in self.things.iter_mut().enumerate().filter(|(_, thing)| differs(&thing.name)) {
            thing.far = Some(0);
            open.push_back(at);
        }
        while let Some((at, thing)) = open.pop_front().and_then(|at| Some((at, self.things.get(at)?))) {
            let far = thing.far.map(|far| far + 1);
            for near in thing.near.clone() {
                let Some(near) = self.things.get_mut(near).map(|thing| (near, thing)) else { continue };
                if near.1.far.is_none() {
                    near.1.far = far;
                    open.push_back(near.0);
                }
                if near.1.far == far && near.1.next.len() < MANY {
                    near.1.next.push(at);
                }
            }
        }
    }
}
