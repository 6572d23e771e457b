//! What people read at a channel, a track, a mix and a personal feed, and what changes there: names to write, polarity to
//! turn, what mixes carry, what a hand keeps out of them.

use super::deeds::{Deed, Step, Strip};
use super::turn::{Turn, labels};
use crate::plan::{Mix, Points, Role, View, point};
use rustc_hash::FxHashSet;
use std::collections::{BTreeMap, BTreeSet};

/// Where a strip is: device, bank, number.
type Place<'v> = (&'v str, &'v str, u32);

fn place<'v>(at: &Points<'v>) -> Place<'v> {
    (at.device, at.bank, at.first)
}

/// What people read, place by place: at what a row asked to be there, and at mixes.
fn strips<'v>(view: &View<'v>) -> BTreeMap<Place<'v>, Strip> {
    let inverted: FxHashSet<&str> =
        view.plugs.iter().chain(&view.given).filter(|p| p.polarity_inverted).map(|p| p.source.as_str()).collect();
    let mut read: BTreeMap<Place, (BTreeSet<&str>, bool)> = BTreeMap::new();
    for signal in &view.signals {
        for at in signal.ends.iter().filter(|end| end.asked).filter_map(|end| Points::read(&end.end)) {
            if view.bank(&at).is_none_or(|bank| bank.role != Role::Inner) {
                continue;
            }
            let channel = at.bank != "track" && view.device(at.device).is_some_and(|device| device.role == "desk");
            let (labels, turned) = read.entry(place(&at)).or_default();
            labels.insert(&signal.label);
            *turned |= channel && inverted.contains(signal.source.as_str());
        }
    }
    for (from, labels) in labels(view) {
        let at = Points::read(from).filter(|at| view.bank(at).is_some_and(|bank| bank.role == Role::Origin));
        if let Some(at) = at {
            read.entry(place(&at)).or_default().0.extend(labels);
        }
    }
    let strip = |(labels, inverted): (BTreeSet<&str>, bool)| Strip {
        label: labels.into_iter().collect::<Vec<_>>().join(", "),
        inverted,
    };
    read.into_iter().map(|(at, read)| (at, strip(read))).collect()
}

/// Of each mix what concerns its contents.
type Contents<'v> = BTreeMap<Place<'v>, (&'v str, Vec<&'v str>, Option<&'v Mix>)>;

fn carried<'v>(view: &View<'v>) -> Contents<'v> {
    let of = |mix: &'v Mix| {
        let at = Points::read(&mix.mix)?;
        Some((place(&at), (mix.mix.as_str(), mix.of.iter().map(String::as_str).collect(), Some(mix))))
    };
    view.mixes.iter().filter_map(|mix| of(mix)).collect()
}

fn left_out<'v>(view: &View<'v>) -> Contents<'v> {
    let of = |mix: &'v str, without: &'v [String]| {
        let at = Points::read(mix)?;
        Some((place(&at), (mix, without.iter().map(String::as_str).collect(), None)))
    };
    view.promised.iter().filter_map(|one| of(&one.mix, &one.without)).collect()
}

/// A mix of which something changed: its name, what it has now and had not, what it had and has not, and what it is now.
struct Turned<'v> {
    mix: &'v str,
    came: Vec<&'v str>,
    went: Vec<&'v str>,
    now: Option<Option<&'v Mix>>,
}

fn turned<'v>(was: &Contents<'v>, now: &Contents<'v>) -> Vec<Turned<'v>> {
    let turned = |place| {
        let (old, new) = (was.get(place), now.get(place));
        let (mix, ..) = new.or(old)?;
        let set = |side: Option<&(_, Vec<&'v str>, _)>| -> FxHashSet<&'v str> {
            side.into_iter().flat_map(|(_, of, _)| of.iter().copied()).collect()
        };
        let (before, after) = (set(old), set(new));
        let only = |side: Option<&(_, Vec<&'v str>, _)>, other: &FxHashSet<&str>| -> Vec<&'v str> {
            side.into_iter().flat_map(|(_, of, _)| of).copied().filter(|name| !other.contains(name)).collect()
        };
        let same = before == after && old.is_some() == new.is_some();
        let (came, went) = (only(new, &before), only(old, &after));
        (!same).then_some(Turned { mix, came, went, now: new.map(|(_, _, mix)| *mix) })
    };
    let places: BTreeSet<&Place> = was.keys().chain(now.keys()).collect();
    places.into_iter().filter_map(turned).collect()
}

impl Turn<'_, '_, '_> {
    /// Names and polarity, place by place. On gear that is another piece everything is said anew.
    pub fn named(&self, exchanged: &BTreeSet<&str>, steps: &mut Vec<Step>) {
        let (mut was, now) = (strips(self.was), strips(self.now));
        was.retain(|(device, ..), _| !exchanged.contains(device));
        for place in was.keys().chain(now.keys()).copied().collect::<BTreeSet<_>>() {
            let (was, now) = (was.get(&place), now.get(&place));
            if was != now {
                let at = point(place.0, place.1, place.2);
                let who = self.at_strip(&at);
                steps.push(Step::then(who, Deed::Name { at, was: was.cloned(), now: now.cloned() }));
            }
        }
    }

    pub fn sent(&self, exchanged: &BTreeSet<&str>, steps: &mut Vec<Step>) {
        let mut was = carried(self.was);
        // A desk that is another piece holds nothing yet.
        was.retain(|(device, ..), _| !exchanged.contains(device));
        for Turned { mix, came, went, now } in turned(&was, &carried(self.now)) {
            let (add, out, of) = (self.names(came), self.names(went), now.flatten().cloned());
            let deed = Deed::Send { mix: mix.to_string(), called: self.called(mix), add, out, of };
            steps.push(Step::then(self.at_strip(mix), deed));
        }
    }

    pub fn left_out(&self, exchanged: &BTreeSet<&str>, steps: &mut Vec<Step>) {
        let mut was = left_out(self.was);
        was.retain(|(device, ..), _| !exchanged.contains(device));
        for Turned { mix, came, went, .. } in turned(&was, &left_out(self.now)) {
            let (out, free) = (self.names(came), self.names(went));
            let deed = Deed::LeaveOut { mix: mix.to_string(), called: self.called(mix), out, free };
            steps.push(Step::then(self.at_strip(mix), deed));
        }
    }
}
