//! What runs on which clock: the devices that digital lines join, and what each of them says of its own. An
//! analogue line carries no clock, and neither does one with a sample-rate converter at its end.

use crate::rig::{Device, Rig};
use crate::source::Span;
use crate::syntax::ast::{DeviceWord, OwnClock};
use std::collections::BTreeMap;

/// Two devices with a digital line between them.
#[derive(Clone, Copy)]
pub struct Join {
    pub one: u32,
    pub two: u32,
    pub span: Span,
}

/// What a device counts by.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Clock<'a> {
    /// The clock inside that device.
    Own(u32),
    /// One that stands apart, by its name.
    House(&'a str),
}

/// Every digital line between two devices; several in one run are one.
pub fn digital(rig: &Rig) -> Vec<Join> {
    let cables = rig.cables.iter().filter(|cable| has_rates(rig, &cable.carrier));
    let cables = cables.map(|cable| Join { one: cable.from.device, two: cable.to.device, span: cable.span });
    let is_digital = |signal: &str| matches!(signal, "digital" | "optical");
    let runs = rig.runs.iter().filter(|run| {
        let ends = [run.from, run.to];
        ends.iter().any(|end| rig.lane_at(*end).is_some_and(|lane| is_digital(&lane.signal)))
    });
    let runs = runs.map(|run| Join { one: run.from.device, two: run.to.device, span: run.span });
    cables.chain(runs).filter(|join| join.one != join.two).collect()
}

/// A carrier of samples says how many it carries at a rate; an analogue one does not.
pub fn has_rates(rig: &Rig, carrier: &str) -> bool {
    rig.library.carrier(carrier).is_some_and(|carrier| !carrier.slots.is_empty())
}

/// Has the device a sample-rate converter at its digital lines?
pub fn converts(rig: &Rig, device: u32) -> bool {
    rig.device(device).is_some_and(|device| device.converts)
}

/// The devices of a rig in trees of digital lines, each with the device that leads it.
pub struct Clocks {
    /// Of each device, a number that its whole tree shares.
    trees: Vec<usize>,
    /// Of each tree of two devices and more.
    leaders: BTreeMap<usize, u32>,
    /// Of each tree with several desks of which no row says which gives the clock: those desks, by number.
    undecided: BTreeMap<usize, Vec<u32>>,
}

impl Clocks {
    pub fn of(rig: &Rig) -> Clocks {
        let mut up: Vec<usize> = (0..rig.devices.len()).collect();
        for join in digital(rig).iter().filter(|join| !converts(rig, join.one) && !converts(rig, join.two)) {
            let (one, two) = (root(&mut up, join.one as usize), root(&mut up, join.two as usize));
            if let Some(entry) = up.get_mut(one.max(two)) {
                *entry = one.min(two);
            }
        }
        let trees: Vec<usize> = (0..up.len()).map(|device| root(&mut up, device)).collect();
        let mut sizes: BTreeMap<usize, usize> = BTreeMap::new();
        for tree in &trees {
            *sizes.entry(*tree).or_default() += 1;
        }
        let mut best: BTreeMap<usize, (Rank, u32)> = BTreeMap::new();
        for ((number, device), tree) in (0u32..).zip(&rig.devices).zip(&trees) {
            let here = (rank(rig, number, device), number);
            let entry = best.entry(*tree).or_insert(here);
            *entry = (*entry).min(here);
        }
        let joined =
            |(tree, (_, device)): (usize, (Rank, u32))| (sizes.get(&tree) > Some(&1)).then_some((tree, device));
        let leaders: BTreeMap<usize, u32> = best.into_iter().filter_map(joined).collect();
        let undecided = undecided(rig, &trees, &leaders);
        Clocks { trees, leaders, undecided }
    }

    /// The device that gives the clock where this one is joined to others by digital lines.
    pub fn leader(&self, device: u32) -> Option<u32> {
        self.leaders.get(self.trees.get(device as usize)?).copied()
    }

    /// The desks of each tree of which no row says that one gives the clock, by number.
    pub fn undecided(&self) -> impl Iterator<Item = &[u32]> {
        self.undecided.values().map(Vec::as_slice)
    }

    /// What a device counts by, in words: a device's name, also its own, or `external` with a clock's name. None
    /// where it has no digital line and is no desk, and where no row says which desk it is.
    pub fn text(&self, rig: &Rig, device: u32) -> Option<String> {
        let leader = self.leader(device);
        let is_desk = rig.device(device)?.word == DeviceWord::Desk;
        let desks = self.trees.get(device as usize).and_then(|tree| self.undecided.get(tree));
        let open = leader.zip(desks).is_some_and(|(leader, desks)| desks.contains(&leader));
        match self.runs_on(rig, device) {
            _ if open || (leader.is_none() && !is_desk) => None,
            Clock::Own(of) => Some(rig.device_name(of).to_string()),
            Clock::House(name) => Some(format!("external {name}")),
        }
    }

    /// What a device runs on: what it says, else what leads its tree, else itself.
    pub fn runs_on<'a>(&self, rig: &'a Rig, device: u32) -> Clock<'a> {
        let said = |device: u32| match rig.device(device)?.clock.as_ref().map(|clock| &clock.value)? {
            OwnClock::Internal => Some(Clock::Own(device)),
            OwnClock::External(name) => Some(Clock::House(&name.value)),
        };
        let leader = self.leader(device).unwrap_or(device);
        said(device).or_else(|| said(leader)).unwrap_or(Clock::Own(leader))
    }
}

fn undecided(rig: &Rig, trees: &[usize], leaders: &BTreeMap<usize, u32>) -> BTreeMap<usize, Vec<u32>> {
    let said = |leader: u32| rig.clock == Some(leader) || rig.device(leader).is_some_and(|it| it.clock.is_some());
    let open = |tree: &usize| leaders.get(tree).is_some_and(|leader| !said(*leader));
    let mut desks: BTreeMap<usize, Vec<u32>> = BTreeMap::new();
    for ((number, device), tree) in (0u32..).zip(&rig.devices).zip(trees) {
        if device.word == DeviceWord::Desk && open(tree) {
            desks.entry(*tree).or_default().push(number);
        }
    }
    desks.retain(|_, desks| desks.len() > 1);
    desks
}

/// Who leads: the show's clock, then a desk, each better where it says a clock of its own.
type Rank = (bool, bool, bool);

fn rank(rig: &Rig, number: u32, device: &Device) -> Rank {
    (rig.clock != Some(number), device.clock.is_none(), device.word != DeviceWord::Desk)
}

fn root(up: &mut [usize], mut at: usize) -> usize {
    while let Some(next) = up.get(at).copied().filter(|next| *next != at) {
        let above = up.get(next).copied().unwrap_or(next);
        if let Some(entry) = up.get_mut(at) {
            *entry = above;
        }
        at = above;
    }
    at
}

/// `44.1 kHz`
pub fn kilohertz(rate_hz: u32) -> String {
    format!("{} kHz", f64::from(rate_hz) / 1000.0)
}
