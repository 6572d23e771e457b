//! Why there are no settings: sets of rows from which none can be left out, and the switch at which
//! they part. Clashing pairs are looked for first, then the smallest set by halving (QuickXplain).

use super::graph::Node;
use super::problem::{Asked, Nogood, task};
use super::search::{Limit, Outcome};
use super::switches::{SwitchId, Switches, Value, What};
use crate::rig::Point;
use std::collections::{BTreeMap, BTreeSet};

/// A row in a scene.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Unit {
    pub scene: usize,
    pub row: usize,
}

/// Rows that cannot all hold.
#[derive(Clone, Debug)]
pub struct Conflict {
    pub units: Vec<Unit>,
    /// Where they part: the switch that each needs at another value.
    pub at: Option<SwitchId>,
    /// A point that all of them would have to pass, where no one switch tells them apart.
    pub point: Option<Point>,
    /// What each row needs of that switch.
    pub needs: BTreeMap<Unit, BTreeSet<Value>>,
    pub why: Impossible,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Impossible {
    /// One switch would have to stand at two values.
    OneSwitch,
    /// More signals than points that they can pass.
    TooMany,
    /// A kept source would be recorded.
    Kept,
    /// The search gave up.
    TooHard,
}

/// More pairs than this are not tried one by one.
const PAIRS_UP_TO: usize = 64;
const MOST_CONFLICTS: usize = 32;

struct Explaining<'a> {
    asked: &'a [&'a Asked],
    nogoods: &'a [&'a Nogood],
    limits: &'a [Limit],
    switches: &'a Switches,
    members: &'a [SwitchId],
}

pub(super) fn too_hard(asked: &[&Asked]) -> Conflict {
    let units: BTreeSet<Unit> = asked.iter().map(|asked| asked.unit).collect();
    let mut counts: BTreeMap<SwitchId, usize> = BTreeMap::new();
    for asked in asked {
        for switch in super::ways::switches_of(&asked.item.ways) {
            *counts.entry(switch).or_default() += 1;
        }
    }
    let at =
        counts.into_iter().max_by_key(|(switch, count)| (*count, std::cmp::Reverse(*switch))).map(|(switch, _)| switch);
    Conflict { units: units.into_iter().collect(), at, point: None, needs: BTreeMap::new(), why: Impossible::TooHard }
}

/// There are none, and nobody asks why.
pub(super) fn unexplained(asked: &[&Asked]) -> Conflict {
    let units: BTreeSet<Unit> = asked.iter().map(|asked| asked.unit).collect();
    Conflict {
        units: units.into_iter().collect(),
        at: None,
        point: None,
        needs: BTreeMap::new(),
        why: Impossible::TooMany,
    }
}

/// Every independent conflict once.
pub(super) fn explain(
    asked: &[&Asked],
    nogoods: &[&Nogood],
    limits: &[Limit],
    (switches, members): (&Switches, &[SwitchId]),
) -> Vec<Conflict> {
    let explaining = Explaining { asked, nogoods, limits, switches, members };
    let mut units: Vec<Unit> = explaining.units();
    let mut found = Vec::new();
    while found.len() < MOST_CONFLICTS && explaining.impossible(&units) {
        let core = explaining.smallest(&units);
        if core.is_empty() {
            break;
        }
        units.retain(|unit| !core.contains(unit));
        found.push(explaining.conflict(core));
    }
    found
}

impl Explaining<'_> {
    fn units(&self) -> Vec<Unit> {
        let wants = self.asked.iter().map(|asked| asked.unit);
        let keeps = self.nogoods.iter().filter_map(|(unit, _)| *unit);
        wants.chain(keeps).collect::<BTreeSet<_>>().into_iter().collect()
    }

    fn impossible(&self, units: &[Unit]) -> bool {
        let asked: Vec<&Asked> = self.asked.iter().filter(|asked| units.contains(&asked.unit)).copied().collect();
        let nogoods: Vec<&Nogood> =
            self.nogoods.iter().filter(|(unit, _)| unit.is_none_or(|unit| units.contains(&unit))).copied().collect();
        let of = (self.switches, self.members);
        task(&asked, &nogoods, self.limits, of, super::search::BUDGET).solve() == Outcome::Impossible
    }

    fn smallest(&self, units: &[Unit]) -> Vec<Unit> {
        if self.impossible(&[]) {
            return Vec::new();
        }
        if let Some(unit) = units.iter().find(|unit| self.impossible(&[**unit])) {
            return vec![*unit];
        }
        let core = self.halve(&[], false, units);
        if core.len() > 2 && units.len() <= PAIRS_UP_TO {
            for (index, one) in units.iter().enumerate() {
                for other in units.iter().skip(index + 1) {
                    if self.impossible(&[*one, *other]) {
                        return vec![*one, *other];
                    }
                }
            }
        }
        let mut core = core;
        core.sort_unstable();
        core
    }

    /// QuickXplain: a smallest part of `units` that is impossible with `fixed`.
    fn halve(&self, fixed: &[Unit], grown: bool, units: &[Unit]) -> Vec<Unit> {
        if grown && self.impossible(fixed) {
            return Vec::new();
        }
        if let [only] = units {
            return vec![*only];
        }
        let (first, second) = units.split_at(units.len() / 2);
        let with_first: Vec<Unit> = fixed.iter().chain(first).copied().collect();
        let of_second = self.halve(&with_first, !first.is_empty(), second);
        let with_second: Vec<Unit> = fixed.iter().chain(&of_second).copied().collect();
        let mut core = self.halve(&with_second, !of_second.is_empty(), first);
        core.extend(of_second);
        core
    }

    /// The switch at which the rows of a conflict part, with what each needs there.
    fn conflict(&self, units: Vec<Unit>) -> Conflict {
        let kept = self.nogoods.iter().any(|(unit, _)| unit.is_some_and(|unit| units.contains(&unit)));
        let mut needs: BTreeMap<SwitchId, BTreeMap<Unit, Vec<BTreeSet<Value>>>> = BTreeMap::new();
        for asked in self.asked.iter().filter(|asked| units.contains(&asked.unit)) {
            for (switch, values) in needed_by_all(asked) {
                needs.entry(switch).or_default().entry(asked.unit).or_default().push(values);
            }
        }
        let parted = needs.iter().filter(|(_, by_unit)| apart(by_unit)).map(|(switch, _)| *switch);
        // Prefer what is dialled on a desk to offsets and plugs, then the first.
        let at = parted.min_by_key(|switch| (order_of(self.switches, *switch), *switch));
        let needs = at.and_then(|at| needs.remove(&at)).unwrap_or_default();
        let needs = needs.into_iter().map(|(unit, sets)| (unit, sets.into_iter().flatten().collect())).collect();
        let why = match (kept, at) {
            (true, _) => Impossible::Kept,
            (false, Some(_)) => Impossible::OneSwitch,
            (false, None) => Impossible::TooMany,
        };
        let point = if why == Impossible::TooMany { self.shared_point(&units) } else { None };
        Conflict { units, at, point, needs, why }
    }

    /// The first point, nearest the ends, that every way of wants for two unlike signals passes.
    fn shared_point(&self, units: &[Unit]) -> Option<Point> {
        let mut passed: BTreeMap<Point, (BTreeSet<Unit>, BTreeSet<Node>)> = BTreeMap::new();
        let mut order: Vec<Point> = Vec::new();
        for asked in self.asked.iter().filter(|asked| units.contains(&asked.unit) && asked.item.own) {
            for point in passed_by_all(asked) {
                let entry = passed.entry(point).or_default();
                entry.0.insert(asked.unit);
                entry.1.insert(asked.item.goal.1);
                order.push(point);
            }
        }
        let all =
            |point: &&Point| passed.get(point).is_some_and(|(by, goals)| by.len() == units.len() && goals.len() > 1);
        order.iter().find(all).copied()
    }
}

fn order_of(switches: &Switches, id: SwitchId) -> u8 {
    match switches.get(id).map(|switch| &switch.what) {
        Some(What::Route { .. }) => 0,
        Some(What::Mode { .. }) => 1,
        Some(What::Offset { .. } | What::Slot { .. }) => 2,
        _ => 3,
    }
}

/// Points behind the end that all ways of a want pass, in the order of the walk.
fn passed_by_all(asked: &Asked) -> Vec<Point> {
    let mut ways = asked.item.ways.iter();
    let Some(first) = ways.next() else { return Vec::new() };
    let mut common: Vec<Point> = first.points.iter().skip(1).copied().collect();
    for way in ways {
        common.retain(|point| way.points.contains(point));
    }
    common
}

fn needed_by_all(asked: &Asked) -> Vec<(SwitchId, BTreeSet<Value>)> {
    let mut needs: Vec<(SwitchId, BTreeSet<Value>)> = Vec::new();
    for (index, way) in asked.item.ways.iter().enumerate() {
        if index == 0 {
            needs.extend(way.literals.iter().map(|literal| (literal.switch, BTreeSet::from([literal.value]))));
            continue;
        }
        needs.retain_mut(|(switch, values)| {
            let here = way.literals.iter().find(|literal| literal.switch == *switch);
            here.map(|literal| values.insert(literal.value)).is_some()
        });
    }
    needs
}

/// No value serves all.
fn apart(by_unit: &BTreeMap<Unit, Vec<BTreeSet<Value>>>) -> bool {
    let mut sets = by_unit.values().flatten();
    let Some(first) = sets.next() else { return false };
    let mut left = first.clone();
    for set in sets {
        left = left.intersection(set).copied().collect();
    }
    left.is_empty()
}
