//! What can go wrong: who is no longer heard where they were, who gets 48 V and had none, what is heard where nobody
//! asked for it, what only a hand on a desk keeps out.

use super::data::{Hazard, Risk, Verb};
use super::facts::{Facts, Key, Thing, bank_of};
use super::rows::together;
use super::turn::{Copper, Turn};
use crate::diagnostics::counted;
use crate::plan::{Points, Role, Source, View, is_monitor};
use std::collections::{BTreeMap, BTreeSet};

impl Turn<'_, '_, '_> {
    /// Each without its acts. `facts` are those before and after.
    pub fn risks(&self, facts @ [before, after]: [&Facts; 2]) -> Vec<Risk> {
        let (was, now) = (Heard::in_scene(self.was), Heard::in_scene(self.now));
        let mut risks = [
            self.ears(),
            self.gains(),
            self.silent(&was, &now),
            self.unmixed(),
            leaks(&was, &now),
            jumps(before, after),
            self.by_hand(),
        ]
        .concat();
        for risk in &mut risks {
            let (kind, name) = risk.thing.split_once(' ').unwrap_or_default();
            let kind = ["mix", "device"].into_iter().find(|one| *one == kind).unwrap_or("source");
            let thing = Thing::new(kind, name);
            let called = facts.iter().rev().find_map(|facts| facts.called.get(&thing));
            risk.called = called.cloned().unwrap_or_else(|| name.to_string());
        }
        risks
    }

    /// A mix that was for loudspeakers and comes to in-ears.
    fn ears(&self) -> Vec<Risk> {
        let (was, now) = (uses(self.was), uses(self.now));
        let to_ears = now.iter().filter(|(_, uses)| uses.contains("in-ears"));
        let risk = |(mix, _): (&&str, &BTreeSet<&str>)| {
            let before = was.get(*mix).filter(|uses| !uses.is_empty() && !uses.contains("in-ears"))?;
            let before = before.iter().copied().collect::<Vec<_>>().join(", ");
            Some(risk(Hazard::Ears, "mix", mix, format!("was for {before}: bring it down before packs go on")))
        };
        to_ears.filter_map(risk).collect()
    }

    /// What can be hurt by it, what did not ask for it.
    fn gains(&self) -> Vec<Risk> {
        let before: BTreeSet<&str> = powered(self.was, self.copper_was).into_keys().collect();
        let sources = sources(self.now);
        let asks: BTreeSet<&str> =
            self.now.plugs.iter().filter(|plug| plug.phantom).map(|plug| plug.source.as_str()).collect();
        let new = powered(self.now, self.copper_now).into_iter().filter(|(source, _)| !before.contains(source));
        new.filter_map(|(source, at)| {
            let kind =
                sources.get(source).and_then(|source| Some((source.kind.as_ref()?, self.now.plan.kind_of(source)?)));
            let policy = match kind {
                Some((name, kind)) if kind.phantom == "never" => format!("; a {name} may be DAMAGED by it"),
                Some((_, kind)) if kind.phantom == "needs" && asks.contains(source) => return None,
                Some((name, _)) if asks.contains(source) => format!("; a {name} does not need it"),
                _ => ", and did not ask for it".to_string(),
            };
            Some(risk(Hazard::Gains, "source", source, format!("48 V from {at}{policy}")))
        })
        .collect()
    }

    /// A bank of a device that a source reached, and a use that a mix was sent for: nowhere there any more.
    fn silent(&self, was: &Heard, now: &Heard) -> Vec<Risk> {
        let sources = sources(self.now);
        // A source that is still in the show, a mix that can still be sent.
        let stays = |what: &str| match Points::read(what) {
            Some(at) => self.now.bank(&at).is_some(),
            None => sources.contains_key(what),
        };
        // A socket that another mix feeds for the same use is not silent; nor is what nobody listens at any more.
        let fed: BTreeSet<(&str, &str)> =
            now.asked.iter().flat_map(|((_, place), points)| points.iter().map(|at| (*place, *at))).collect();
        let hub = |at: &str| {
            let device = Points::read(at).map(|at| at.device);
            let was = device.and_then(|name| self.was.device(name)).is_some_and(|device| device.role == "hub");
            was && device.is_some_and(|name| self.now.devices.iter().all(|device| device.name != name))
        };
        let mut risks = Vec::new();
        for ((what, place), points) in &was.asked {
            let is_mix = Points::read(what).is_some();
            // Dragged along, or for another use.
            let still = |at: &&str| now.along.contains(&(*what, *at)) || now.all_asked.contains(&(*what, *at));
            let elsewise = |at: &&str| is_mix && fed.contains(&(*place, *at)) || hub(at);
            if now.asked.contains_key(&(*what, *place))
                || !stays(what)
                || points.iter().any(still)
                || points.iter().all(elsewise)
            {
                continue;
            }
            let kind = if is_mix { "mix" } else { "source" };
            let points = points.iter().copied().collect::<Vec<_>>().join(", ");
            risks.push(risk(Hazard::Silent, kind, what, format!("no longer reaches {points}")));
        }
        risks
    }

    /// A source that stays and that musicians hear by no mix for one use any more, or that left any other mix. What a mix
    /// carries of which no row says it nobody knows, and that a mix is gone is told of the mix.
    fn unmixed(&self) -> Vec<Risk> {
        let (was, now) = (mixed(self.was), mixed(self.now));
        // A mix that is for something else now still carries it.
        let carried: BTreeSet<(&str, &str)> =
            self.now.mixes.iter().flat_map(|mix| mix.of.iter().map(|of| (of.as_str(), mix.mix.as_str()))).collect();
        let said: BTreeSet<&str> = self.now.mixes.iter().map(|mix| mix.mix.as_str()).collect();
        let there = sources(self.now);
        let mut risks = Vec::new();
        for ((source, used_as), mixes) in was.iter().filter(|((source, _), _)| there.contains_key(source)) {
            if is_monitor(Some(used_as)) && now.contains_key(&(*source, *used_as)) {
                continue;
            }
            let left = mixes.iter().filter(|mix| said.contains(**mix) && !carried.contains(&(*source, **mix)));
            let left: BTreeSet<String> = left.map(|mix| self.called(mix)).collect();
            if !left.is_empty() {
                let left = together(left.into_iter());
                risks.push(risk(Hazard::Silent, "source", source, format!("no longer in {left} ({used_as})")));
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
            let mix = self.called(&mix);
            risk(Hazard::ByHand, "source", &name, format!("no row keeps it out of {mix}: do not send it there"))
        })
        .collect()
    }
}

/// What comes to a desk by other preamps and of which no row states the gain; of many alike how many they are.
fn jumps(was: &Facts, now: &Facts) -> Vec<Risk> {
    type Way<'f> = (&'f str, &'f str, &'f str);
    let mut alike: BTreeMap<Way, Vec<(&Thing, &str, &str)>> = BTreeMap::new();
    for (place, at) in &now.preamps {
        let stated = Key { thing: place.0.clone(), verb: Verb::Gain, of: String::new() };
        if let Some(before) = was.preamps.get(place).filter(|before| *before != at && !now.all.contains_key(&stated)) {
            alike.entry((&place.1, bank_of(before), bank_of(at))).or_default().push((&place.0, before, at));
        }
    }
    let told = |((desk, before, bank), all): (Way, Vec<(&Thing, &str, &str)>)| match all.as_slice() {
        [(thing, was, now)] => {
            let says = format!("at {desk} it comes by {now}, not {was}: carry its gain over before it is unmuted");
            risk(Hazard::Level, thing.kind, &thing.name, says)
        }
        all => {
            let by = if before == bank { format!("other sockets of {bank}") } else { format!("{bank}, not {before}") };
            let count = counted(all.len(), "input");
            let says = format!("{count} come by {by}: carry their gains over before they are unmuted");
            risk(Hazard::Level, "device", desk, says)
        }
    };
    alike.into_iter().map(told).collect()
}

fn risk(risk: Hazard, kind: &str, name: &str, says: String) -> Risk {
    Risk { risk, thing: format!("{kind} {name}"), called: String::new(), says, acts: Vec::new() }
}

/// Where each source and mix is heard in one scene.
struct Heard<'v> {
    /// By what it is, and the bank that it was asked to reach; of a mix the use that it is sent for. The points there.
    asked: BTreeMap<(&'v str, &'v str), BTreeSet<&'v str>>,
    /// By what it is and the point: only dragged along, where it does harm, to what leaves and to tracks.
    along: BTreeSet<(&'v str, &'v str)>,
    all_asked: BTreeSet<(&'v str, &'v str)>,
}

impl<'v> Heard<'v> {
    fn in_scene(view: &View<'v>) -> Self {
        let mut heard = Heard { asked: BTreeMap::new(), along: BTreeSet::new(), all_asked: BTreeSet::new() };
        let feeds: BTreeSet<&str> = view.personal.iter().map(|feed| feed.feed.as_str()).collect();
        for signal in &view.signals {
            let is_mix = Points::read(&signal.source).is_some();
            let wanted: BTreeSet<&String> =
                signal.ends.iter().filter(|end| end.asked).flat_map(|end| &end.path).collect();
            for end in signal.ends.iter().filter(|end| !feeds.contains(end.end.as_str())) {
                let (what, at) = (signal.source.as_str(), end.end.as_str());
                let Some(points) = Points::read(at) else { continue };
                let bank = bank_of(at);
                // What others take over is missed there, whether a row asks for it or not.
                let outside = view.device(points.device).is_some_and(|device| device.role == "outside");
                if end.asked || outside {
                    // Whoever records it, it is recorded.
                    let bank = if points.bank == "track" { "track" } else { bank };
                    let place = end.used_as.as_deref().filter(|_| is_mix).unwrap_or(bank);
                    heard.asked.entry((what, place)).or_default().insert(at);
                    heard.all_asked.insert((what, at));
                } else if !wanted.contains(&end.end) && does_harm(view, &points) {
                    // What lies on a way that was asked for is no end of its own.
                    heard.along.insert((what, at));
                }
            }
        }
        heard
    }
}

/// What leaves by a desk or a box, and what is recorded. A split and a snake pass on whatever comes.
fn does_harm(view: &View, at: &Points) -> bool {
    let passive = view.device(at.device).is_none_or(|device| matches!(device.role.as_str(), "split" | "snake"));
    at.bank == "track" || !passive && view.bank(at).is_some_and(|bank| bank.role == Role::Out)
}

fn leaks(was: &Heard, now: &Heard) -> Vec<Risk> {
    let mut new: BTreeMap<(&str, bool), Vec<&str>> = BTreeMap::new();
    for (what, at) in now.along.difference(&was.along) {
        new.entry((what, was.all_asked.contains(&(*what, *at)))).or_default().push(at);
    }
    let told = |((what, asked_before), points): ((&str, bool), Vec<&str>)| {
        let kind = if Points::read(what).is_some() { "mix" } else { "source" };
        let points = points.join(", ");
        let says = match asked_before {
            true => format!("still comes along to {points}, though no row asks any more: mute or disarm it there"),
            false => format!("comes along to {points}, where no row asks for it"),
        };
        risk(Hazard::Leaks, kind, what, says)
    };
    new.into_iter().map(told).collect()
}

/// What each mix is for.
fn uses<'v>(view: &View<'v>) -> BTreeMap<&'v str, BTreeSet<&'v str>> {
    let mut uses: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for output in &view.outputs {
        uses.entry(&output.from).or_default().extend(output.used_as.as_deref());
    }
    uses
}

/// By source and use, the mixes that carry it.
fn mixed<'v>(view: &View<'v>) -> BTreeMap<(&'v str, &'v str), BTreeSet<&'v str>> {
    let uses = uses(view);
    let mut mixed: BTreeMap<_, BTreeSet<&str>> = BTreeMap::new();
    for mix in &view.mixes {
        for used_as in uses.get(mix.mix.as_str()).into_iter().flatten() {
            for source in &mix.of {
                mixed.entry((source.as_str(), *used_as)).or_default().insert(&mix.mix);
            }
        }
    }
    mixed
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
