//! What can go wrong: who is no longer heard where they were, who gets 48 V and had none, what is heard where nobody
//! asked for it, what only a hand on a desk keeps out.

use super::data::{Hazard, Risk};
use super::facts::{Facts, Thing};
use super::steps::{Copper, Turn};
use crate::plan::{Points, Role, Source, View, ranges};
use std::collections::{BTreeMap, BTreeSet};

impl Turn<'_, '_, '_> {
    /// Each without its acts.
    pub fn risks(&self, facts: &Facts) -> Vec<Risk> {
        let mut risks = [self.gains(), self.silent(), self.leaks(), self.by_hand()].concat();
        for risk in &mut risks {
            let (kind, name) = risk.thing.split_once(' ').unwrap_or_default();
            let kind = if kind == "mix" { "mix" } else { "source" };
            risk.called = facts.called.get(&Thing::new(kind, name)).cloned().unwrap_or_else(|| name.to_string());
        }
        risks
    }

    fn gains(&self) -> Vec<Risk> {
        let before: BTreeSet<&str> = powered(self.was, self.copper_was).into_keys().collect();
        let now = powered(self.now, self.copper_now);
        let sources = sources(self.now);
        let new = now.into_iter().filter(|(source, _)| !before.contains(source));
        new.map(|(source, at)| {
            let kind =
                sources.get(source).and_then(|source| Some((source.kind.as_ref()?, self.now.plan.kind_of(source)?)));
            let policy = kind.map(|(name, kind)| match kind.phantom.as_str() {
                "never" => format!("; a {name} may be DAMAGED by it"),
                policy => format!("; a {name} {policy} it"),
            });
            risk(Hazard::Gains, "source", source, format!("48 V from {at}{}", policy.unwrap_or_default()))
        })
        .collect()
    }

    /// A bank of a device that somebody or a mix reached, and reaches nowhere any more.
    fn silent(&self) -> Vec<Risk> {
        let (was, now) = (heard(self.was, true), heard(self.now, true));
        let sources = sources(self.now);
        // A source that is still in the show, a mix that can still be sent.
        let stays = |what: &str| match Points::read(what) {
            Some(at) => self.now.bank(&at).is_some(),
            None => sources.contains_key(what),
        };
        let mut risks = Vec::new();
        for ((what, bank), numbers) in was {
            if now.contains_key(&(what, bank)) || !stays(what) {
                continue;
            }
            let kind = if Points::read(what).is_some() { "mix" } else { "source" };
            risks.push(risk(Hazard::Silent, kind, what, format!("no longer reaches {bank} {}", ranges(&numbers))));
        }
        risks
    }

    fn leaks(&self) -> Vec<Risk> {
        let (was, now) = (heard(self.was, false), heard(self.now, false));
        let none = BTreeSet::new();
        let mut risks = Vec::new();
        for ((what, bank), numbers) in now {
            let before = was.get(&(what, bank)).unwrap_or(&none);
            let new: BTreeSet<u32> = numbers.difference(before).copied().collect();
            if !new.is_empty() {
                let kind = if Points::read(what).is_some() { "mix" } else { "source" };
                let says = format!("comes along to {bank} {}, where no row asks for it", ranges(&new));
                risks.push(risk(Hazard::Leaks, kind, what, says));
            }
        }
        risks
    }

    fn by_hand(&self) -> Vec<Risk> {
        let pairs = |view: &View| -> BTreeSet<(String, String)> {
            let all =
                view.promised.iter().flat_map(|one| one.without.iter().map(|name| (one.mix.clone(), name.clone())));
            all.collect()
        };
        let before = pairs(self.was);
        let new = pairs(self.now).into_iter().filter(|pair| !before.contains(pair));
        new.map(|(mix, name)| {
            risk(Hazard::ByHand, "source", &name, format!("no row keeps it out of {mix}: do not send it there"))
        })
        .collect()
    }
}

fn risk(risk: Hazard, kind: &str, name: &str, says: String) -> Risk {
    Risk { risk, thing: format!("{kind} {name}"), called: String::new(), says, acts: Vec::new() }
}

/// Where each source and mix is heard: by what and by bank of a device, the numbers. Asked for, or only dragged along to
/// where it does harm: to what leaves, and to tracks.
fn heard<'v>(view: &View<'v>, asked: bool) -> BTreeMap<(&'v str, &'v str), BTreeSet<u32>> {
    let mut heard: BTreeMap<_, BTreeSet<u32>> = BTreeMap::new();
    for signal in &view.signals {
        let wanted: BTreeSet<&String> = signal.ends.iter().filter(|end| end.asked).flat_map(|end| &end.path).collect();
        // What lies on a way that was asked for is no end of its own.
        for end in signal.ends.iter().filter(|end| end.asked == asked && (asked || !wanted.contains(&end.end))) {
            let Some(at) = Points::read(&end.end) else { continue };
            let leaves = || at.bank == "track" || view.bank(&at).is_some_and(|bank| bank.role == Role::Out);
            let bank = end.end.rsplit_once(' ').map_or(end.end.as_str(), |(bank, _)| bank);
            if asked || leaves() {
                heard.entry((signal.source.as_str(), bank)).or_default().insert(at.first);
            }
        }
    }
    heard
}

fn sources<'v>(view: &View<'v>) -> BTreeMap<&'v str, &'v Source> {
    view.sources.iter().map(|source| (source.source.as_str(), *source)).collect()
}

/// The sources to which 48 V comes, each with the socket that gives it.
fn powered<'c>(view: &View, copper: &'c Copper) -> BTreeMap<&'c str, String> {
    let mut powered = BTreeMap::new();
    for setting in view.settings.iter().filter(|setting| setting.set == "phantom" && setting.is_on()) {
        let switch = (setting.device.clone(), setting.bank.clone(), setting.first.unwrap_or(1));
        let joined = copper.get(&switch).map(Vec::as_slice).unwrap_or_default();
        let mut socket = String::new();
        for name in joined {
            match Points::read(name) {
                Some(at) if at.device == setting.device && at.bank == setting.bank => socket.clone_from(name),
                Some(_) => {}
                None => {
                    powered.insert(name.as_str(), socket.clone());
                }
            }
        }
    }
    powered
}
