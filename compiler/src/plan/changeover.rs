//! What is switched when an act follows another, as data. 48 V that the act before had on and this one has not goes
//! off before any plug is pulled or put in. Where it goes on, what it can hurt is unplugged before.

use super::before::acts_before;
use super::data::{Act, Plan, Setting};
use super::point::point;
use super::view::View;
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::{BTreeMap, BTreeSet};

/// In the order of names and numbers.
#[derive(Default)]
pub(crate) struct Changeover<'p> {
    /// The acts that may have played directly before.
    pub before: Vec<&'p Act>,
    /// Sockets whose 48 V goes off first.
    pub off: Vec<Off<'p>>,
    /// Sockets where 48 V goes on and an act before had plugged in what it can hurt.
    pub unplug: BTreeSet<Unplug<'p>>,
}

pub(crate) struct Off<'p> {
    pub device: &'p str,
    pub bank: &'p str,
    pub number: u32,
    /// The acts before that had it on.
    pub acts: BTreeSet<&'p str>,
}

#[derive(PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Unplug<'p> {
    pub device: &'p str,
    pub bank: &'p str,
    pub number: u32,
    /// The source that must be gone.
    pub gone: &'p str,
    /// The one that is plugged in then.
    pub next: Option<&'p str>,
}

impl<'p> Changeover<'p> {
    pub fn to(plan: &'p Plan, act: &'p Act) -> Self {
        let before = before(plan, act);
        let (off, unplug) = (off(&before, act), unplug(plan, &before, act));
        Changeover { before, off, unplug }
    }
}

/// The acts that may have played directly before.
fn before<'p>(plan: &'p Plan, act: &Act) -> Vec<&'p Act> {
    let timed: Vec<bool> = plan.acts.iter().map(|act| act.from.is_some()).collect();
    let at = plan.acts.iter().position(|known| known.act == act.act).unwrap_or(plan.acts.len());
    acts_before(&timed, at).into_iter().filter_map(|before| plan.acts.get(before)).collect()
}

fn off<'p>(before: &[&'p Act], act: &Act) -> Vec<Off<'p>> {
    let switch = |setting: &'p Setting| (setting.device.as_str(), setting.bank.as_str(), setting.first);
    let is_own = |own: &&Setting| is_on(own);
    let stays: FxHashSet<_> =
        act.settings.iter().filter(is_own).map(|own| (own.device.as_str(), own.bank.as_str(), own.first)).collect();
    let mut left: BTreeMap<(&str, &str, u32), BTreeSet<&str>> = BTreeMap::new();
    for before in before {
        for setting in before.settings.iter().filter(|setting| is_on(setting) && !stays.contains(&switch(setting))) {
            for number in numbers(setting) {
                left.entry((&setting.device, &setting.bank, number)).or_default().insert(&before.act);
            }
        }
    }
    left.into_iter().map(|((device, bank, number), acts)| Off { device, bank, number, acts }).collect()
}

fn unplug<'p>(plan: &'p Plan, before: &[&'p Act], act: &'p Act) -> BTreeSet<Unplug<'p>> {
    let here = View::act(plan, act);
    let now = Standing::of(&here);
    let mut found = BTreeSet::new();
    for before in before.iter().map(|before| View::act(plan, before)) {
        let hurt = before.sources.iter().filter(|source| plan.phantom_hurts(source));
        let hurt: FxHashSet<&str> = hurt.map(|source| source.source.as_str()).collect();
        if hurt.is_empty() {
            continue;
        }
        let then = Standing::of(&before);
        for setting in here.settings.iter().copied().filter(|setting| is_on(setting)) {
            for number in numbers(setting) {
                let at = point(&setting.device, &setting.bank, number);
                let Some(gone) = then.at(&before, &at).filter(|gone| hurt.contains(gone)) else { continue };
                let next = now.at(&here, &at);
                if next != Some(gone) {
                    found.insert(Unplug { device: &setting.device, bank: &setting.bank, number, gone, next });
                }
            }
        }
    }
    found
}

/// Which source stands at a socket: plugged there, or brought by a line.
struct Standing<'p> {
    plugs: FxHashMap<&'p str, &'p str>,
    passing: FxHashMap<&'p str, &'p str>,
}

impl<'p> Standing<'p> {
    fn of(view: &View<'p>) -> Self {
        let mut standing = Standing { plugs: FxHashMap::default(), passing: FxHashMap::default() };
        for plug in &view.plugs {
            standing.plugs.entry(&plug.at).or_insert(&plug.source);
        }
        for signal in &view.signals {
            let points = signal.ends.iter().flat_map(|end| &end.path).chain([&signal.source]);
            for at in points {
                standing.passing.entry(at).or_insert(&signal.source);
            }
        }
        standing
    }

    fn at(&self, view: &View, at: &str) -> Option<&'p str> {
        let plugged = self.plugs.get(at).copied();
        plugged.or_else(|| {
            let line = view.in_paths(at);
            if line == at { None } else { self.passing.get(line.as_str()).copied() }
        })
    }
}

fn is_on(setting: &Setting) -> bool {
    setting.set == "phantom" && setting.is_on()
}

fn numbers(setting: &Setting) -> std::ops::RangeInclusive<u32> {
    let first = setting.first.unwrap_or(1);
    first..=setting.last.unwrap_or(first)
}
