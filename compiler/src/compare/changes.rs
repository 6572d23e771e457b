//! What changed, thing by thing, in the words of the trade. Two things that changed places, a chain in another order
//! and a new name are each told as one.

use super::data::{Change, Verb};
use super::facts::{Fact, Facts, Key, OFF, Thing};
use crate::diagnostics::counted;
use crate::plan::{EVERYBODY, MONITORS, RECORDIST, STAGE, View, is_monitor};
use std::collections::{BTreeMap, BTreeSet};

/// Two states of one scene.
pub(super) struct Sides<'f> {
    pub was: &'f Facts,
    pub now: &'f Facts,
}

impl Sides<'_> {
    /// Everything in which they differ, each without its acts and origins.
    pub fn changes(&self) -> Vec<Change> {
        let gone = self.was.all.iter().filter(|(key, _)| !self.now.all.contains_key(*key));
        let other = self.now.all.iter().filter(|(key, is)| self.was.all.get(*key) != Some(is));
        let keys: BTreeSet<&Key> = gone.chain(other).map(|(key, _)| key).collect();
        let mut changes: Vec<Change> = keys.into_iter().filter_map(|key| self.change(key)).collect();
        join_swapped(&mut changes);
        join_preamps(&mut changes);
        changes
    }

    fn change(&self, key: &Key) -> Option<Change> {
        let (was, now) = (self.was.all.get(key), self.now.all.get(key));
        if key.verb == Verb::Added {
            // What is known of gear comes and goes with the gear.
            if key.thing.is_known_of_gear() {
                return None;
            }
            return match (was, now) {
                (None, Some(_)) => Some(self.told(key, Verb::Added, None, self.place(self.now, key))),
                (Some(_), None) => Some(self.told(key, Verb::Gone, self.place(self.was, key), None)),
                _ => None,
            };
        }
        if was.map(|fact| &fact.is) == now.map(|fact| &fact.is) || !self.stays(&key.thing) {
            return None;
        }
        if key.verb.needs_both() && (was.is_none() || now.is_none()) {
            return None;
        }
        if key.verb.is_dialled() && self.is_exchanged(&key.thing) {
            return None;
        }
        // Another microphone is another one of its kind too.
        let plugged = Key { of: String::new(), ..key.clone() };
        if key.verb == Verb::Mic && !key.of.is_empty() && self.was.all.get(&plugged) != self.now.all.get(&plugged) {
            return None;
        }
        let text =
            |fact: Option<&Fact>| fact.map(|fact| fact.is.clone()).filter(|is| !is.is_empty() && !is.contains('{'));
        let off = || key.verb.is_switch().then(|| OFF.to_string());
        Some(self.told(key, key.verb, text(was).or_else(off), text(now).or_else(off)))
    }

    /// A thing that came or went is told once.
    fn stays(&self, thing: &Thing) -> bool {
        let there = Key { thing: thing.clone(), verb: Verb::Added, of: String::new() };
        self.was.all.contains_key(&there) == self.now.all.contains_key(&there)
    }

    /// Another piece under the same name is dialled anew from the start.
    fn is_exchanged(&self, thing: &Thing) -> bool {
        let model = Key { thing: thing.clone(), verb: Verb::Exchanged, of: String::new() };
        self.was.all.get(&model) != self.now.all.get(&model)
    }

    /// Where a thing that came or went stands; else what it is.
    fn place(&self, side: &Facts, key: &Key) -> Option<String> {
        let at = |verb| side.all.get(&Key { verb, ..key.clone() }).map(|fact| fact.is.clone());
        at(Verb::Moved).or_else(|| at(Verb::Added)).filter(|is| !is.is_empty())
    }

    fn told(&self, key: &Key, verb: Verb, was: Option<String>, now: Option<String>) -> Change {
        let thing = &key.thing;
        let called = self.now.called.get(thing).or_else(|| self.was.called.get(thing));
        Change {
            verb,
            thing: thing.text(),
            called: called.cloned().unwrap_or_else(|| thing.name.to_string()),
            with: None,
            of: key.of.clone(),
            was,
            now,
            who: self.who(key, verb),
            acts: Vec::new(),
            origins: Vec::new(),
        }
    }

    /// Whom it concerns.
    fn who(&self, key: &Key, verb: Verb) -> Vec<String> {
        let of = |side: &Facts, key: &Key| side.all.get(key).and_then(|fact| fact.at.clone());
        let at = of(self.now, key).or_else(|| of(self.was, key));
        let mut who: BTreeSet<String> = BTreeSet::new();
        let mut add = |name: &str| {
            who.insert(name.to_string());
        };
        match (key.thing.kind, verb) {
            ("source", Verb::Repatched) if is_track(&key.of) => add(RECORDIST),
            ("source", Verb::Repatched | Verb::Phantom | Verb::Gain | Verb::Pad | Verb::Preamps) => {
                at.iter().chain(&self.desks(&key.thing)).take(1).for_each(|at| add(at));
            }
            ("source", Verb::Polarity) => self.desks(&key.thing).iter().for_each(|at| add(at)),
            ("source", Verb::Added | Verb::Gone | Verb::Renamed | Verb::Labelled) => {
                add(STAGE);
                self.desks(&key.thing).iter().for_each(|at| add(at));
            }
            ("mix" | "output", Verb::Moved | Verb::Added | Verb::Gone | Verb::Swapped) => {
                add(STAGE);
                add(self.crew_of_mix(&key.thing).or(at.as_deref()).unwrap_or(STAGE));
            }
            ("mix", _) => add(self.crew_of_mix(&key.thing).or(at.as_deref()).unwrap_or(EVERYBODY)),
            ("feed", _) => add(MONITORS),
            ("recording", _) => add(RECORDIST),
            ("device", Verb::Mode | Verb::Offset | Verb::Slot | Verb::Blocks | Verb::Owner) => {
                at.iter().for_each(|at| add(at));
            }
            ("device" | "cable" | "spare cable" | "source" | "output", _) => add(STAGE),
            _ => add(EVERYBODY),
        }
        who.into_iter().collect()
    }

    /// The desks on whose channels a source is.
    fn desks(&self, thing: &Thing) -> BTreeSet<String> {
        let of = |side: &Facts| side.desks.get(thing).cloned().unwrap_or_default();
        let now = of(self.now);
        if now.is_empty() { of(self.was) } else { now }
    }

    fn crew_of_mix(&self, thing: &Thing) -> Option<&'static str> {
        let used = Key { thing: thing.clone(), verb: Verb::Used, of: String::new() };
        let mut uses = [self.now, self.was].into_iter().filter_map(|side| side.all.get(&used));
        uses.any(|fact| fact.is.split(", ").any(|used| is_monitor(Some(used)))).then_some(MONITORS)
    }
}

/// Tracks: the bank that a row of the language records to.
fn is_track(bank: &str) -> bool {
    bank.ends_with(".track")
}

/// Two of which each stands where the other stood, at sockets, on channels and on tracks.
fn join_swapped(changes: &mut Vec<Change>) {
    let places = |change: &Change| matches!(change.verb, Verb::Moved | Verb::Repatched);
    let mut waiting: BTreeMap<(Verb, String, String, String), usize> = BTreeMap::new();
    let mut pairs: BTreeMap<(String, String), usize> = BTreeMap::new();
    let mut gone = BTreeSet::new();
    for at in 0..changes.len() {
        let Some(second) = changes.get(at).filter(|change| places(change)).cloned() else { continue };
        let (Some(was), Some(now)) = (second.was.clone(), second.now.clone()) else { continue };
        let Some(other) = waiting.remove(&(second.verb, second.of.clone(), now.clone(), was.clone())) else {
            waiting.insert((second.verb, second.of, was, now), at);
            continue;
        };
        let Some(first) = changes.get(other).cloned() else { continue };
        gone.insert(at);
        let told = *pairs.entry((first.thing.clone(), second.thing.clone())).or_insert(other);
        if told != other {
            gone.insert(other);
        }
        let Some(swap) = changes.get_mut(told) else { continue };
        if told == other {
            swap.verb = Verb::Swapped;
            swap.of.clear();
            swap.called = format!("{} and {}", first.called, second.called);
            swap.with = Some(second.thing);
        } else {
            let add = |to: &mut Option<String>, more: String| {
                *to = Some(to.take().map_or_else(|| more.clone(), |places| format!("{places}, {more}")));
            };
            add(&mut swap.was, now);
            add(&mut swap.now, was);
        }
        swap.who.extend(first.who.into_iter().chain(second.who));
        swap.who.sort();
        swap.who.dedup();
    }
    retain_but(changes, &gone);
}

/// Sources that come to a desk by other preamps though nobody moved a plug: each once where it stands alone, else all of
/// that desk as one.
fn join_preamps(changes: &mut Vec<Change>) {
    let moved: BTreeSet<String> = changes
        .iter()
        .filter(|change| matches!(change.verb, Verb::Moved | Verb::Swapped))
        .flat_map(|change| std::iter::once(change.thing.clone()).chain(change.with.clone()))
        .collect();
    changes.retain(|change| change.verb != Verb::Preamps || !moved.contains(&change.thing));
    type Way = (String, Option<String>, Option<String>);
    let mut alike: BTreeMap<Way, Vec<usize>> = BTreeMap::new();
    for (at, change) in changes.iter().enumerate().filter(|(_, change)| change.verb == Verb::Preamps) {
        alike.entry((change.of.clone(), change.was.clone(), change.now.clone())).or_default().push(at);
    }
    let mut gone = BTreeSet::new();
    for ((desk, ..), places) in alike.into_iter().filter(|(_, places)| places.len() > 1) {
        let Some(change) = places.first().and_then(|at| changes.get_mut(*at)) else { continue };
        change.thing = format!("device {desk}");
        change.called = desk;
        change.of = counted(places.len(), "input");
        gone.extend(places.into_iter().skip(1));
    }
    retain_but(changes, &gone);
}

fn retain_but(changes: &mut Vec<Change>, gone: &BTreeSet<usize>) {
    let mut at = 0..;
    changes.retain(|_| at.next().is_none_or(|at| !gone.contains(&at)));
}

/// Chains of the same devices in another order, each as one; what that says of their cables is not said again.
pub(super) fn join_chains(changes: &mut Vec<Change>, was: &View, now: &View) {
    let before = chains(was);
    for (port, chain) in chains(now) {
        let Some(old) = before.get(&port).filter(|old| **old != chain) else { continue };
        let set = |chain: &[String]| chain.iter().cloned().collect::<BTreeSet<_>>();
        if set(old) != set(&chain) {
            continue;
        }
        let moved = |change: &Change| {
            change.verb == Verb::Recabled
                && chain.iter().any(|name| {
                    change
                        .thing
                        .strip_prefix("cable ")
                        .and_then(|at| at.strip_prefix(name.as_str()))
                        .is_some_and(|rest| rest.starts_with('.'))
                })
        };
        let mut places: BTreeSet<usize> =
            changes.iter().enumerate().filter(|(_, change)| moved(change)).map(|(at, _)| at).collect();
        let Some(first) = places.pop_first() else { continue };
        if let Some(change) = changes.get_mut(first) {
            *change = Change {
                verb: Verb::Reordered,
                thing: format!("chain {port}"),
                called: port,
                was: Some(old.join(", ")),
                now: Some(chain.join(", ")),
                ..change.clone()
            };
        }
        retain_but(changes, &places);
    }
}

/// By each port of a desk, the devices that hang on it, one behind another.
fn chains(view: &View) -> BTreeMap<String, Vec<String>> {
    let links = view.cables.iter().filter(|cable| cable.used_as == "main" && !cable.is_run());
    let mut next: BTreeMap<&str, Vec<(&str, &str)>> = BTreeMap::new();
    for cable in links {
        if let (Some((device, _)), Some((to, _))) =
            (crate::plan::port_or_bank(&cable.from), crate::plan::port_or_bank(&cable.to))
        {
            next.entry(device).or_default().push((&cable.from, to));
        }
    }
    let is_desk = |name: &str| view.device(name).is_some_and(|device| device.role == "desk");
    let mut chains = BTreeMap::new();
    for (port, first) in next.iter().filter(|(name, _)| is_desk(name)).flat_map(|(_, links)| links) {
        let (mut chain, mut open) = (Vec::new(), vec![*first]);
        while let Some(device) = open.pop() {
            if chain.iter().any(|known| known == device) || is_desk(device) {
                continue;
            }
            chain.push(device.to_string());
            open.extend(next.get(device).into_iter().flatten().rev().map(|(_, to)| *to));
        }
        if chain.len() > 1 {
            chains.insert((*port).to_string(), chain);
        }
    }
    chains
}
