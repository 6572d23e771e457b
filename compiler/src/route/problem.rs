//! From scenes to a task for the search, and from its answer to settings.

use super::conflict::{self, Conflict, Unit};
use super::graph::{Graph, Node};
use super::pins;
use super::search::{BUDGET, Item, Limit, Outcome, Task};
use super::switches::{Literal, Switch, SwitchId, Switches, Value, What, choices};
use super::ways::{Finder, MOST_WAYS, Way, switches_of};
use crate::diagnostics::Diagnostic;
use crate::plan::Role;
use crate::rig::{How, LaneKind, LinkEnd, Point, Ride, Rig};
use crate::wants::{Scene, Spot, Target, Want, WantKind};
use rustc_hash::FxHashMap;
use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// What the search found.
pub struct Solution {
    pub switches: Switches,
    /// Everything that is set: what wants need and what the user fixed.
    pub values: BTreeMap<SwitchId, Value>,
    pub conflicts: Vec<Conflict>,
    pub unreachable: Vec<Unreachable>,
    /// Tracks that cannot take their channel's source, which comes from the device itself: told, no error.
    pub not_recorded: Vec<Unreachable>,
    /// Where a pin is said.
    pub pinned: pins::Said,
    /// What arrives where in each scene, in order of end points; empty until a whole solution was
    /// written out.
    pub arrivals: Vec<Vec<super::Arrival>>,
    /// Steps that the search took, those apart that looked for reasons.
    pub steps: u64,
}

/// A want that no setting at all can satisfy.
#[derive(Clone, Debug)]
pub struct Unreachable {
    pub scene: usize,
    pub want: Want,
    /// It would be possible but for what the user fixed.
    pub but_for: Option<SwitchId>,
    /// There are more ways than can be listed.
    pub too_many: bool,
}

impl Solution {
    pub fn is_whole(&self) -> bool {
        self.conflicts.is_empty() && self.unreachable.is_empty()
    }
}

/// How hard to try, and what to leave out: a trial of a change needs no reasons.
#[derive(Clone, Debug)]
pub struct Effort {
    /// Decisions that one search may take, and more for each want in it.
    pub budget: u32,
    pub a_want: u32,
    /// Say why where there are no settings.
    pub explain: bool,
    /// Rows that are left out, by name and desk.
    pub without: Vec<(String, Option<String>)>,
}

impl Default for Effort {
    fn default() -> Self {
        Effort { budget: BUDGET, a_want: 0, explain: true, without: Vec::new() }
    }
}

/// A want with what the search needs to know of it.
pub(super) struct Asked {
    pub item: Item,
    pub unit: Unit,
}

/// Finds settings for all scenes together: cables, offsets and modes hold for all of them.
pub fn route(scenes: &[Scene], effort: &Effort, found: &mut Vec<Diagnostic>) -> Solution {
    let mut switches = Switches::default();
    let mut pinned = pins::Said::new();
    for (number, scene) in scenes.iter().enumerate() {
        pins::read(scene, number, &mut switches, &mut pinned, found);
    }
    let mut asked = Vec::new();
    let mut nogoods = Vec::new();
    let mut unreachable = Vec::new();
    let mut not_recorded = Vec::new();
    for (number, scene) in scenes.iter().enumerate() {
        let mut gathering = Gathering {
            scene,
            number,
            switches: &mut switches,
            unreachable: &mut unreachable,
            not_recorded: &mut not_recorded,
            effort,
            channels: on_channels(scene),
        };
        gathering.gather(&mut asked, &mut nogoods);
    }
    let mut limits = Vec::new();
    for (number, scene) in scenes.iter().enumerate() {
        nogoods.extend(offsets_apart(&scene.rig, &mut switches).into_iter().map(|nogood| (None, nogood)));
        limits.extend(at_most(&scene.rig, number, &switches));
    }
    found.extend(pins_past_limits(&limits, &switches, &pinned));
    switches.find_kin();
    let mut solution = Solution {
        values: switches.pins.clone(),
        switches,
        conflicts: Vec::new(),
        unreachable,
        not_recorded,
        pinned,
        arrivals: Vec::new(),
        steps: 0,
    };
    // A row that was found to clash in one part is left out of the others: one cause, one message.
    let mut out: BTreeSet<Unit> = BTreeSet::new();
    let parts = parts(&asked, &nogoods, &limits, &solution.switches);
    solution.switches.set_parts(parts.iter().map(|part| part.members.as_slice()));
    for part in parts {
        solve_part(&part, &asked, &nogoods, &limits, effort, &mut out, &mut solution);
    }
    solution
}

struct Gathering<'a, 'b> {
    scene: &'a Scene,
    number: usize,
    switches: &'b mut Switches,
    unreachable: &'b mut Vec<Unreachable>,
    not_recorded: &'b mut Vec<Unreachable>,
    effort: &'b Effort,
    /// The channels on which rows want each thing.
    channels: FxHashMap<Target, Vec<Point>>,
}

fn on_channels(scene: &Scene) -> FxHashMap<Target, Vec<Point>> {
    let mut channels: FxHashMap<Target, Vec<Point>> = FxHashMap::default();
    for want in scene.wants.iter().filter(|want| want.kind == WantKind::Channel) {
        channels.entry(want.what).or_default().push(want.end);
    }
    channels
}

/// A set of literals that must not all hold, with the row that says so.
pub(super) type Nogood = (Option<Unit>, Vec<Literal>);

impl Gathering<'_, '_> {
    fn gather(&mut self, asked: &mut Vec<Asked>, nogoods: &mut Vec<Nogood>) {
        let mut graph = Graph::new(self.scene, self.number);
        let ends = self.scene.wants.iter().map(|want| want.end).chain(self.scene.nevers.iter().map(|never| never.end));
        let ends: BTreeSet<_> = ends.collect();
        let mut finder = Finder::new(&mut graph, ends.into_iter(), self.switches);
        for want in in_order(self.scene) {
            if !self.left_out(want) {
                self.one(want, &mut finder, asked);
            }
        }
        for never in &self.scene.nevers {
            let Some(goal) = finder.goal(Target::Source(never.source)) else { continue };
            let unit = Unit { scene: self.number, row: never.row };
            let Some(ways) = finder.ways(never.end, goal, None, self.switches) else {
                let what = Target::Source(never.source);
                let want = Want { end: never.end, what, via: None, kind: WantKind::Track, row: never.row };
                self.unreachable.push(Unreachable { scene: self.number, want, but_for: None, too_many: true });
                continue;
            };
            for way in ways {
                nogoods.push((Some(unit), way.literals));
            }
        }
    }

    /// With a row, what other rows want of its sources is left out too.
    fn left_out(&self, want: &Want) -> bool {
        let declaring = match want.what {
            Target::Source(source) => self.scene.source(source).map(|source| source.row),
            Target::Point(_) => None,
        };
        [Some(want.row), declaring].into_iter().flatten().any(|row| {
            let Some(row) = self.scene.rows.get(row) else { return false };
            let desk = row.desk.map(|desk| self.scene.rig.device_name(desk));
            self.effort.without.iter().any(|(name, of)| *name == row.name && of.as_deref() == desk)
        })
    }

    /// Whether a way leads over a channel on which a row wants the same.
    fn over_its_channel(&self, want: &Want, way: &Way) -> bool {
        self.channels.get(&want.what).into_iter().flatten().any(|channel| way.points.contains(channel))
    }

    fn one(&mut self, want: &Want, finder: &mut Finder, asked: &mut Vec<Asked>) {
        let Some(goal) = finder.goal(want.what) else { return };
        let missing = |but_for, too_many| Unreachable { scene: self.number, want: want.clone(), but_for, too_many };
        let Some(mut ways) = finder.ways(want.end, goal, want.via, self.switches) else {
            self.unreachable.push(missing(None, true));
            return;
        };
        // Over a channel that carries it anyway first: another channel would be taken for nothing.
        ways.sort_by_key(|way| !self.over_its_channel(want, way));
        if ways.is_empty() {
            let pins = std::mem::take(&mut self.switches.pins);
            let free = finder.ways(want.end, goal, want.via, self.switches);
            self.switches.pins = pins;
            let but_for = free.unwrap_or_default().iter().find_map(|way| {
                let against = |literal: &&Literal| {
                    self.switches.pins.get(&literal.switch).is_some_and(|value| *value != literal.value)
                };
                way.literals.iter().find(against).map(|literal| literal.switch)
            });
            let of_itself = match want.what {
                Target::Source(source) => {
                    self.scene.source(source).is_some_and(|source| matches!(source.spot, Spot::Origin(_)))
                }
                Target::Point(_) => false,
            };
            if want.kind == WantKind::Track && of_itself {
                self.not_recorded.push(missing(but_for, false));
            } else {
                self.unreachable.push(missing(but_for, false));
            }
            return;
        }
        debug_assert!(ways.len() <= MOST_WAYS);
        let own = match goal {
            Node::Open(_) => true,
            Node::Point(point) => self.scene.rig.lane_at(point).is_some_and(|lane| {
                matches!(lane.kind, LaneKind::Bank(Role::Origin | Role::In))
                    && self.scene.rig.brought_to(point).is_none()
            }),
        };
        let item = Item { ways: Rc::new(ways), goal: (self.number, goal), own };
        asked.push(Asked { item, unit: Unit { scene: self.number, row: want.row } });
    }
}

/// Wants in the order of the search: by end point, devices as they hang, banks as in the model.
pub(super) fn in_order(scene: &Scene) -> Vec<&Want> {
    let order = scene.rig.walk_order();
    let place: BTreeMap<u32, usize> = order.into_iter().enumerate().map(|(place, device)| (device, place)).collect();
    let mut wants: Vec<&Want> = scene.wants.iter().collect();
    wants.sort_by_key(|want| {
        let at = place.get(&want.end.device).copied().unwrap_or(usize::MAX);
        (at, want.end.lane, want.end.number, want.what)
    });
    wants
}

/// The offset's switch, where there is one, the bank's size, and where it can stand.
type TakingBank = (Option<SwitchId>, u32, Vec<u32>);

/// An offset that the search chooses never makes two banks on one chain take the same slots, and never
/// reaches slots that the desk reserves.
fn offsets_apart(rig: &Rig, switches: &mut Switches) -> Vec<Vec<Literal>> {
    let mut nogoods = Vec::new();
    // By the desk's port at the top of the chain: the switch, where it is one, size, values.
    let mut chains: BTreeMap<LinkEnd, Vec<TakingBank>> = BTreeMap::new();
    for (device, fact) in (0u32..).zip(&rig.devices) {
        let Some(model) = rig.model(device) else { continue };
        for take in &model.takes {
            let Some(top) = rig.desk_port_beyond(LinkEnd { device, port: take.port }) else { continue };
            let lane = take.bank as u32;
            if let Ride::Fixed(first) = take.at {
                let size = model.lane(take.bank).map_or(0, |lane| lane.size);
                chains.entry(top).or_default().push((None, size, vec![first]));
                continue;
            }
            let switch =
                switches.number(Switch { device: fact.name.clone(), what: What::Offset { lane }, scene: None });
            let size = model.lane(take.bank).map_or(0, |lane| lane.size);
            let values = match switches.pins.get(&switch) {
                Some(pin) => vec![pin.0],
                None => choices(&take.at).to_vec(),
            };
            if !switches.pins.contains_key(&switch) {
                let reserved = values.iter().filter(|value| pins::reserved_under(rig, device, lane, **value).is_some());
                nogoods.extend(reserved.map(|value| vec![Literal { switch, value: Value(*value) }]));
            }
            chains.entry(top).or_default().push((Some(switch), size, values));
        }
    }
    for banks in chains.values() {
        for (index, (one, size, values)) in banks.iter().enumerate() {
            for (other, other_size, others) in banks.iter().skip(index + 1) {
                let moves = |switch: &Option<SwitchId>| switch.is_some_and(|id| !switches.pins.contains_key(&id));
                if one == other || !(moves(one) || moves(other)) {
                    continue;
                }
                for value in values {
                    let overlaps = |second: &&u32| *value < **second + other_size && **second < value + size;
                    for second in others.iter().filter(overlaps) {
                        let literal = |switch: &Option<SwitchId>, value: u32| {
                            switch.map(|switch| Literal { switch, value: Value(value) })
                        };
                        nogoods.push(literal(one, *value).into_iter().chain(literal(other, *second)).collect());
                    }
                }
            }
        }
    }
    nogoods
}

/// Routes that feed at most so many points.
fn at_most(rig: &Rig, scene: usize, switches: &Switches) -> Vec<Limit> {
    let mut limits = Vec::new();
    let mut by_device: BTreeMap<&str, Vec<(SwitchId, u32, u32)>> = BTreeMap::new();
    for (id, switch) in switches.ids().filter(|(_, switch)| switch.scene == Some(scene)) {
        if let What::Route { lane, first } = switch.what {
            by_device.entry(&switch.device).or_default().push((id, lane, first));
        }
    }
    for (device, fact) in (0u32..).zip(&rig.devices) {
        let Some(model) = rig.model(device) else { continue };
        let routed = by_device.get(fact.name.as_str()).map_or(&[][..], Vec::as_slice);
        for (index, route) in model.routes.iter().enumerate() {
            let (Some(most), How::Blocks(size)) = (route.at_most, route.how) else { continue };
            let lane_size = model.lane(route.lane).map_or(0, |lane| lane.size);
            let of_route = routed.iter().filter_map(|(id, lane, first)| {
                let own = model.route_of(*lane as usize, *first).is_some_and(|(of, _)| of == index);
                let here = *lane as usize == route.lane;
                (here && own).then(|| (*id, size.min((lane_size + 1).saturating_sub(*first))))
            });
            limits.push(Limit { switches: of_route.collect(), most });
        }
    }
    limits
}

/// What the user fixed may feed no more points than the model allows.
fn pins_past_limits(limits: &[Limit], switches: &Switches, pinned: &pins::Said) -> Vec<Diagnostic> {
    let over = |limit: &Limit| {
        let pins = limit.switches.iter().filter(|(switch, _)| switches.pins.contains_key(switch));
        let fed: u32 = pins.clone().map(|(_, points)| points).sum();
        let said = pins.filter_map(|(switch, _)| pinned.get(switch)).max()?;
        let message = format!("{fed} points are fixed, and at most {} may be fed at a time", limit.most);
        (fed > limit.most).then(|| {
            Diagnostic::error("pinned-past-the-limit", *said, message).help("take some of the fixed settings out")
        })
    };
    limits.iter().filter_map(over).collect()
}

/// Wants, nogoods and limits that share switches, by index.
pub(super) struct Part {
    /// Every switch that they name.
    pub members: Vec<SwitchId>,
    pub asked: Vec<usize>,
    pub nogoods: Vec<usize>,
    pub limits: Vec<usize>,
}

fn parts(asked: &[Asked], nogoods: &[Nogood], limits: &[Limit], switches: &Switches) -> Vec<Part> {
    let mut groups = Groups((0..switches.len()).collect());
    let needs: Vec<BTreeSet<SwitchId>> = asked.iter().map(|asked| switches_of(&asked.item.ways)).collect();
    for needs in &needs {
        groups.join(needs.iter());
    }
    for (_, nogood) in nogoods {
        groups.join(nogood.iter().map(|literal| &literal.switch));
    }
    for limit in limits {
        groups.join(limit.switches.keys());
    }
    for (id, _) in switches.ids() {
        groups.join([id].iter().chain(&switches.kin(id).next()));
    }
    let mut parts: BTreeMap<usize, Part> = BTreeMap::new();
    let empty = || Part { members: Vec::new(), asked: Vec::new(), nogoods: Vec::new(), limits: Vec::new() };
    for (index, needs) in needs.iter().enumerate() {
        if let Some(first) = needs.first() {
            parts.entry(groups.of(first.0 as usize)).or_insert_with(empty).asked.push(index);
        }
    }
    for (index, (unit, nogood)) in nogoods.iter().enumerate() {
        match nogood.first() {
            Some(first) => parts.entry(groups.of(first.switch.0 as usize)).or_insert_with(empty).nogoods.push(index),
            // Wired straight to where it must never be: a part of its own, which cannot be solved.
            None if unit.is_some() => {
                parts.entry(usize::MAX).or_insert_with(empty).nogoods.push(index);
            }
            None => {}
        }
    }
    for (index, limit) in limits.iter().enumerate() {
        if let Some(first) = limit.switches.keys().next() {
            parts.entry(groups.of(first.0 as usize)).or_insert_with(empty).limits.push(index);
        }
    }
    for (id, _) in switches.ids() {
        if let Some(part) = parts.get_mut(&groups.of(id.0 as usize)) {
            part.members.push(id);
        }
    }
    let wired = |part: &Part| part.nogoods.iter().filter_map(|index| nogoods.get(*index)).any(|(_, n)| n.is_empty());
    let mut parts: Vec<Part> = parts.into_values().filter(|part| !part.asked.is_empty() || wired(part)).collect();
    parts.sort_by_key(|part| part.asked.first().copied());
    parts
}

/// Union and find.
struct Groups(Vec<usize>);

impl Groups {
    fn of(&self, mut at: usize) -> usize {
        while let Some(up) = self.0.get(at).copied()
            && up != at
        {
            at = up;
        }
        at
    }

    fn join<'a>(&mut self, mut switches: impl Iterator<Item = &'a SwitchId>) {
        let Some(first) = switches.next() else { return };
        let mut root = self.of(first.0 as usize);
        for switch in switches {
            let other = self.of(switch.0 as usize);
            let (low, high) = (root.min(other), root.max(other));
            if let Some(place) = self.0.get_mut(high) {
                *place = low;
            }
            root = low;
        }
    }
}

fn solve_part(
    part: &Part,
    asked: &[Asked],
    nogoods: &[Nogood],
    limits: &[Limit],
    effort: &Effort,
    out: &mut BTreeSet<Unit>,
    solution: &mut Solution,
) {
    let all: Vec<&Asked> =
        part.asked.iter().filter_map(|index| asked.get(*index)).filter(|asked| !out.contains(&asked.unit)).collect();
    let part_nogoods: Vec<&Nogood> = part.nogoods.iter().filter_map(|index| nogoods.get(*index)).collect();
    let part_limits: Vec<Limit> = part.limits.iter().filter_map(|index| limits.get(*index)).cloned().collect();
    let wants = u32::try_from(all.len()).unwrap_or(u32::MAX);
    let budget = effort.budget.saturating_add(effort.a_want.saturating_mul(wants));
    let task = task(&all, &part_nogoods, &part_limits, (&solution.switches, &part.members), budget);
    let (outcome, steps) = (task.solve(), task.steps.get());
    solution.steps += steps;
    match outcome {
        Outcome::Found(chosen) => {
            for (asked, way) in all.iter().zip(chosen) {
                for literal in asked.item.ways.get(way).into_iter().flat_map(|way| &way.literals) {
                    solution.values.insert(literal.switch, literal.value);
                }
            }
        }
        Outcome::TooHard => {
            solution.conflicts.push(conflict::too_hard(&all));
        }
        Outcome::Impossible if !effort.explain => solution.conflicts.push(conflict::unexplained(&all)),
        Outcome::Impossible => {
            let found = conflict::explain(&all, &part_nogoods, &part_limits, (&solution.switches, &part.members));
            out.extend(found.iter().flat_map(|conflict| conflict.units.iter().copied()));
            solution.conflicts.extend(found);
        }
    }
}

pub(super) fn task<'a>(
    asked: &[&Asked],
    nogoods: &[&Nogood],
    limits: &[Limit],
    (switches, members): (&'a Switches, &'a [SwitchId]),
    budget: u32,
) -> Task<'a> {
    Task {
        items: asked.iter().map(|asked| asked.item.clone()).collect(),
        nogoods: nogoods.iter().map(|(_, literals)| literals.clone()).collect(),
        limits: limits.to_vec(),
        switches,
        members,
        budget,
        steps: Cell::new(0),
    }
}
