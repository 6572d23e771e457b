//! One model's wiring with its names looked up, at the show's rate. What it cannot make sense of it
//! leaves out and reports.

use super::point::name_and_span;
use super::state::BankSet;
use crate::plan::{Bank, Model, Place, Port, Route, Wiring};
use rustc_hash::FxHashMap as HashMap;

/// No bank or port is larger; so no plan, however broken, keeps the evaluator busy for ever.
const LARGEST: u32 = 100_000;

/// What a name inside a model stands for, by its place in the wiring's list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Item {
    Bank(usize),
    Port(usize),
    Block(usize),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum At {
    Stacked,
    Setting,
    Slot(u32),
}

/// What feeds a bank without a route setting.
pub(super) enum Feeder<'p> {
    Takes { port: usize, at: At, choices: &'p [u32], mode: Option<&'p str>, first_desk: bool },
    Copies { of: usize, first: u32, mode: Option<&'p str> },
}

/// Points `first` to `last` always carry `from`, counted from 1.
pub(super) struct Fixed {
    pub first: u32,
    pub last: u32,
    pub from: Item,
}

pub(super) struct BankInside<'p> {
    pub bank: &'p Bank,
    pub feeders: Vec<Feeder<'p>>,
    pub fixed: Vec<Fixed>,
}

pub(super) struct Carried<'p> {
    pub bank: usize,
    pub size: u32,
    pub at: At,
    pub choices: &'p [u32],
}

pub(super) struct PortInside<'p> {
    pub port: &'p Port,
    pub inward: u32,
    pub outward: u32,
    pub carries: Vec<Carried<'p>>,
    pub fixed: Vec<Fixed>,
    /// Ports whose arrivals leave here.
    pub passes: Vec<usize>,
}

impl PortInside<'_> {
    /// The bank, and its point, that rides a slot on the way out.
    pub fn rider(&self, slot: u32, set: &[BankSet<'_>]) -> Option<(usize, u32)> {
        let mut pile = 0u32;
        self.carries.iter().find_map(|carried| {
            let first = match carried.at {
                At::Slot(first) => Some(first),
                At::Setting => set.get(carried.bank).and_then(|set| set.slot),
                At::Stacked => {
                    let first = pile.saturating_add(1);
                    pile = pile.saturating_add(carried.size);
                    Some(first)
                }
            };
            let k = slot.checked_sub(first?)?;
            (k < carried.size).then_some((carried.bank, k + 1))
        })
    }

    /// By how many slots that which is passed moves up.
    pub fn stacked(&self) -> u32 {
        self.carries.iter().filter(|carried| carried.at == At::Stacked).map(|carried| carried.size).sum()
    }
}

pub(super) struct Inside<'p> {
    pub wiring: &'p Wiring,
    names: HashMap<&'p str, Item>,
    pub banks: Vec<BankInside<'p>>,
    pub ports: Vec<PortInside<'p>>,
    /// Each a list of banks' and ports' points, in order.
    pub blocks: Vec<Vec<(Item, u32)>>,
    pub rate: u32,
}

impl<'p> Inside<'p> {
    /// Reads a model; `report` gets what is wrong with it.
    pub fn new(model: &'p Model, rate: u32, report: &mut dyn FnMut(String)) -> Self {
        let wiring = &model.wiring;
        let mut inside = Self { wiring, names: HashMap::default(), banks: vec![], ports: vec![], blocks: vec![], rate };
        inside.read_points(report);
        inside.read_blocks(report);
        inside.read_ports(report);
        inside.read_feeders(report);
        inside.read_fixed(report);
        inside
    }

    pub fn item(&self, name: &str) -> Option<Item> {
        self.names.get(name).copied()
    }

    pub fn bank(&self, name: &str) -> Option<usize> {
        match self.item(name) {
            Some(Item::Bank(bank)) => Some(bank),
            _ => None,
        }
    }

    pub fn port(&self, name: &str) -> Option<usize> {
        match self.item(name) {
            Some(Item::Port(port)) => Some(port),
            _ => None,
        }
    }

    /// How many points may feed something: a bank's, what arrives at a port, a block's.
    pub fn source_size(&self, item: Item) -> u32 {
        match item {
            Item::Bank(bank) => self.banks.get(bank).map_or(0, |bank| bank.bank.size),
            Item::Port(port) => self.ports.get(port).map_or(0, |port| port.inward),
            Item::Block(block) => self.blocks.get(block).map_or(0, |points| points.len() as u32),
        }
    }

    /// How many points can be fed: a bank's, or what leaves by a port.
    pub fn target_size(&self, item: Item) -> u32 {
        match item {
            Item::Port(port) => self.ports.get(port).map_or(0, |port| port.outward),
            _ => self.source_size(item),
        }
    }

    /// The routes of a bank or port that hold at this rate.
    pub fn routes<'a>(&'a self, bank: &'a str) -> impl Iterator<Item = &'p Route> + 'a {
        let rate = self.rate;
        self.wiring.routes.iter().filter(move |route| route.bank == bank && route.rate_hz.is_none_or(|r| r == rate))
    }

    /// Some bank lets only the first desk drive it.
    pub fn asks_who_drives(&self) -> bool {
        let mut feeders = self.banks.iter().flat_map(|bank| &bank.feeders);
        feeders.any(|feeder| matches!(feeder, Feeder::Takes { first_desk: true, .. }))
    }

    fn read_points(&mut self, report: &mut dyn FnMut(String)) {
        let wiring = self.wiring;
        for bank in &wiring.banks {
            if bank.size > LARGEST {
                report(format!("a bank `{}` of {} points", bank.bank, bank.size));
                continue;
            }
            if self.names.insert(&bank.bank, Item::Bank(self.banks.len())).is_some() {
                report(format!("two things called `{}`", bank.bank));
            }
            self.banks.push(BankInside { bank, feeders: vec![], fixed: vec![] });
        }
        for port in &wiring.ports {
            if self.names.insert(&port.port, Item::Port(self.ports.len())).is_some() {
                report(format!("two things called `{}`", port.port));
            }
            let slots = port.slots.iter().filter(|slots| slots.rate_hz >= self.rate).min_by_key(|slots| slots.rate_hz);
            let (inward, outward) = slots.map_or((0, 0), |slots| (slots.inward, slots.outward));
            if inward.max(outward) > LARGEST {
                report(format!("a port `{}` of {} slots", port.port, inward.max(outward)));
            }
            let (inward, outward) = (inward.min(LARGEST), outward.min(LARGEST));
            self.ports.push(PortInside { port, inward, outward, carries: vec![], fixed: vec![], passes: vec![] });
        }
    }

    fn read_blocks(&mut self, report: &mut dyn FnMut(String)) {
        for block in &self.wiring.blocks {
            let mut points = Vec::new();
            for text in &block.points {
                let known = name_and_span(text).and_then(|(name, span)| Some((self.item(name)?, span?)));
                match known {
                    Some((item @ (Item::Bank(_) | Item::Port(_)), (first, last))) if last <= self.source_size(item) => {
                        points.extend((first..=last).map(|n| (item, n)));
                    }
                    _ => report(format!("a block `{}` with `{text}`", block.block)),
                }
            }
            if self.names.insert(&block.block, Item::Block(self.blocks.len())).is_some() {
                report(format!("two things called `{}`", block.block));
            }
            self.blocks.push(points);
        }
    }

    fn read_ports(&mut self, report: &mut dyn FnMut(String)) {
        for carries in &self.wiring.carries {
            let size = self.bank(&carries.bank).map(|bank| (bank, self.source_size(Item::Bank(bank))));
            let port = self.port(&carries.port).and_then(|port| self.ports.get_mut(port));
            match (port, size, at(&carries.at)) {
                (Some(port), Some((bank, size)), Some(at)) => {
                    port.carries.push(Carried { bank, size, at, choices: &carries.choices });
                }
                _ => report(format!("`{}` riding `{}`", carries.bank, carries.port)),
            }
        }
        for passes in &self.wiring.passes {
            let (from, to) = (self.port(&passes.from), self.port(&passes.to));
            match (from, to.and_then(|to| self.ports.get_mut(to))) {
                (Some(from), Some(to)) => to.passes.push(from),
                _ => report(format!("`{}` passed to `{}`", passes.from, passes.to)),
            }
        }
    }

    fn read_feeders(&mut self, report: &mut dyn FnMut(String)) {
        for takes in &self.wiring.takes {
            let first_desk = takes.driven_by.as_deref() == Some("first");
            let place = at(&takes.at).filter(|at| *at != At::Stacked && (first_desk || takes.driven_by.is_none()));
            let port = self.port(&takes.port);
            match (self.bank(&takes.bank).and_then(|bank| self.banks.get_mut(bank)), port, place) {
                (Some(bank), Some(port), Some(at)) => {
                    let (choices, mode) = (takes.choices.as_slice(), takes.mode.as_deref());
                    bank.feeders.push(Feeder::Takes { port, at, choices, mode, first_desk });
                }
                _ => report(format!("`{}` taking `{}`", takes.bank, takes.port)),
            }
        }
        for copies in &self.wiring.copies {
            let of = self.bank(&copies.of);
            match (self.bank(&copies.bank).and_then(|bank| self.banks.get_mut(bank)), of) {
                (Some(bank), Some(of)) if copies.first > 0 => {
                    bank.feeders.push(Feeder::Copies { of, first: copies.first, mode: copies.mode.as_deref() });
                }
                _ => report(format!("`{}` copying `{}`", copies.bank, copies.of)),
            }
        }
    }

    fn read_fixed(&mut self, report: &mut dyn FnMut(String)) {
        let rate = self.rate;
        for route in &self.wiring.routes {
            let target = self.item(&route.bank);
            let known = route.from.iter().all(|from| self.item(from).is_some());
            if !known || route.block == Some(0) || !matches!(target, Some(Item::Bank(_) | Item::Port(_))) {
                report(format!("a route of `{}` from `{}`", route.bank, route.from.join(", ")));
                continue;
            }
            if !route.fixed || route.rate_hz.is_some_and(|r| r != rate) {
                continue;
            }
            let (Some(target), [from]) = (target, route.from.as_slice()) else {
                report(format!("a fixed route of `{}` from `{}`", route.bank, route.from.join(", ")));
                continue;
            };
            let Some(from) = self.item(from) else { continue };
            let (first, last) = (route.first.unwrap_or(1), route.last.unwrap_or_else(|| self.target_size(target)));
            let fixed = Fixed { first, last, from };
            match target {
                Item::Bank(bank) => self.banks.get_mut(bank).map(|bank| bank.fixed.push(fixed)),
                Item::Port(port) => self.ports.get_mut(port).map(|port| port.fixed.push(fixed)),
                Item::Block(_) => None,
            };
        }
    }
}

fn at(place: &Place) -> Option<At> {
    match place {
        Place::Slot(slot) => (*slot > 0).then_some(At::Slot(*slot)),
        Place::Word(word) if word == "stacked" => Some(At::Stacked),
        Place::Word(word) if word == "setting" => Some(At::Setting),
        Place::Word(_) => None,
    }
}
