//! Two box outputs play the same, and no row asks for it.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::{Device, LinkEnd, Point, Ride, Rig, Take};
use crate::route::{Origin, Solution, Switch, What};
use crate::rules::say::numbers;
use crate::rules::{Facts, Seen};
use crate::syntax::ast::DeviceWord;
use crate::wants::WantKind;
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    slug: "mirrored-outputs",
    code: "C010",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| Look::new(facts.solution, seen).found())
}

/// A bank of a box that plays slots of a desk's port.
struct Bank {
    device: u32,
    lane: u32,
    first: u32,
    size: u32,
    top: LinkEnd,
}

/// Sockets of two banks that play the same: the earlier box's, the later one's.
type Pairs = BTreeMap<((u32, u32), (u32, u32)), BTreeSet<(u32, u32)>>;

struct Look<'a> {
    seen: &'a Seen<'a>,
    banks: Vec<Bank>,
    /// Box outputs that a row wants something at.
    asked: BTreeSet<Point>,
    /// Devices in the order of their chains.
    order: BTreeMap<u32, usize>,
}

impl<'a> Look<'a> {
    fn new(solution: &Solution, seen: &'a Seen<'a>) -> Self {
        let order: BTreeMap<u32, usize> = seen.rig.walk_order().into_iter().zip(0..).collect();
        let mut banks = Vec::new();
        for (device, fact) in (0u32..).zip(&seen.rig.devices).filter(|(_, fact)| fact.word == DeviceWord::Box) {
            let takes = seen.rig.model(device).into_iter().flat_map(|model| &model.takes);
            banks.extend(takes.filter_map(|take| bank(solution, seen.rig, device, &fact.name, take)));
        }
        banks.sort_by_key(|bank| (order.get(&bank.device).copied(), bank.lane));
        let asked = seen.scene.wants.iter().filter(|want| want.kind == WantKind::Output).map(|want| want.end).collect();
        Look { seen, banks, asked, order }
    }

    fn found(&self) -> Vec<Diagnostic> {
        let mut pairs = Pairs::new();
        for (index, one) in self.banks.iter().enumerate() {
            for two in self.banks.iter().skip(index + 1).filter(|two| two.top == one.top) {
                self.overlap(one, two, &mut pairs);
            }
        }
        self.repeats(&mut pairs);
        pairs.iter().filter_map(|((one, two), sockets)| self.told(*one, *two, sockets)).collect()
    }

    /// Slots that both banks play: those with a signal that is not asked for at both; where none has a
    /// signal yet, all of them.
    fn overlap(&self, one: &Bank, two: &Bank, pairs: &mut Pairs) {
        let first = one.first.max(two.first);
        let end = (one.first + one.size).min(two.first + two.size);
        let reserved = |slot: u32| {
            let model = self.seen.rig.model(one.top.device);
            model.into_iter().flat_map(|model| &model.reserved).any(|reserved| {
                reserved.port == one.top.port
                    && (reserved.first..=reserved.last).contains(&slot)
                    && reserved.rate_hz.is_none_or(|rate| rate == self.seen.rig.rate_hz)
            })
        };
        let slots: Vec<u32> = (first..end).filter(|slot| !reserved(*slot)).collect();
        let point =
            |bank: &Bank, slot: u32| Point { device: bank.device, lane: bank.lane, number: slot - bank.first + 1 };
        let heard = |slot: &u32| self.seen.arrival(point(one, *slot)).is_some();
        let both = |slot: &u32| self.asked.contains(&point(one, *slot)) && self.asked.contains(&point(two, *slot));
        let any_heard = slots.iter().any(heard);
        let told = slots.iter().filter(|slot| !any_heard || (heard(slot) && !both(slot)));
        let sockets: BTreeSet<(u32, u32)> =
            told.map(|slot| (point(one, *slot).number, point(two, *slot).number)).collect();
        if !sockets.is_empty() {
            pairs.insert(((one.device, one.lane), (two.device, two.lane)), sockets);
        }
    }

    /// Outputs on other chains that carry, unasked, what a row asks for at another box.
    fn repeats(&self, pairs: &mut Pairs) {
        let banks: BTreeSet<(u32, u32)> = self.banks.iter().map(|bank| (bank.device, bank.lane)).collect();
        let mut by_origin: BTreeMap<Origin, Vec<Point>> = BTreeMap::new();
        for arrival in self.seen.arrivals.iter().filter(|a| banks.contains(&(a.end.device, a.end.lane))) {
            by_origin.entry(arrival.origin).or_default().push(arrival.end);
        }
        let place = |point: &Point| (self.order.get(&point.device).copied(), *point);
        for ends in by_origin.values() {
            let Some(asked) = ends.iter().filter(|end| self.asked.contains(end)).min_by_key(|end| place(end)) else {
                continue;
            };
            for end in ends.iter().filter(|end| !self.asked.contains(end) && end.device != asked.device) {
                let (one, two) = if place(asked) < place(end) { (asked, end) } else { (end, asked) };
                let key = ((one.device, one.lane), (two.device, two.lane));
                pairs.entry(key).or_default().insert((one.number, two.number));
            }
        }
    }

    fn told(&self, one: (u32, u32), two: (u32, u32), sockets: &BTreeSet<(u32, u32)>) -> Option<Diagnostic> {
        let rig = self.seen.rig;
        let (earlier, later) = (rig.device(one.0)?, rig.device(two.0)?);
        let of_one: Vec<u32> = sockets.iter().map(|(number, _)| *number).collect();
        let of_two: BTreeSet<u32> = sockets.iter().map(|(_, number)| *number).collect();
        let of_two: Vec<u32> = of_two.into_iter().collect();
        let message = format!(
            "`{}.{} {}` plays the same as `{}.{} {}`",
            later.name,
            rig.lane(two.0, two.1)?.name,
            numbers(&of_two),
            earlier.name,
            rig.lane(one.0, one.1)?.name,
            numbers(&of_one),
        );
        let span = |device: &Device| device.offset.as_ref().map_or(device.span, |offset| offset.span);
        let allow = format!("`allow mirrored-outputs on {} because \"…\"`", later.name);
        let help = match self.free(two) {
            Some(offset) => format!("put `{}` at `offset {offset}`, or, if it is meant, say {allow}", later.name),
            None => format!("send the mix to both sockets, `to … and …`, or say {allow}"),
        };
        Some(
            Diagnostic::warning(RULE.slug, span(later), message)
                .label(span(earlier), format!("`{}` plays them first", earlier.name))
                .help(help)
                .about(later.name.clone()),
        )
    }

    /// The lowest offset at which a bank would play what no other does.
    fn free(&self, bank: (u32, u32)) -> Option<u32> {
        let here = self.banks.iter().find(|known| (known.device, known.lane) == bank)?;
        let others = self.banks.iter().filter(|other| other.top == here.top && (other.device, other.lane) != bank);
        let others: Vec<&Bank> = others.collect();
        let take = self.seen.rig.model(bank.0)?.takes.iter().find(|take| take.bank == bank.1 as usize)?;
        let Ride::Setting(choices) = &take.at else { return None };
        let apart = |offset: &u32| others.iter().all(|o| offset + here.size <= o.first || o.first + o.size <= *offset);
        let kept = |offset: &u32| crate::route::reserved_under(self.seen.rig, bank.0, bank.1, *offset).is_none();
        choices.iter().copied().find(|offset| apart(offset) && kept(offset))
    }
}

/// Where a bank plays from, as it is set. `None` where it plays nothing.
fn bank(solution: &Solution, rig: &Rig, device: u32, name: &str, take: &Take) -> Option<Bank> {
    let lane = u32::try_from(take.bank).ok()?;
    let value = |what: What| {
        let switch = Switch { device: name.to_string(), what, scene: None };
        solution.values.get(&solution.switches.known(&switch)?).map(|value| value.0)
    };
    let from = LinkEnd { device, port: take.port };
    if take.first_desk_only && rig.desk_beyond(from) != rig.first_desk(device) {
        return None;
    }
    if let Some(mode) = &take.mode {
        let set = value(What::Mode { lane })? as usize;
        rig.model(device)?.modes(take.bank).get(set).filter(|known| *known == mode)?;
    }
    let first = match &take.at {
        Ride::Fixed(first) => *first,
        _ => value(What::Offset { lane })?,
    };
    Some(Bank { device, lane, first, size: rig.lane(device, lane)?.size, top: rig.desk_port_beyond(from)? })
}
