//! What people read at a channel, a track, a mix and a personal feed, and what changes there: names to write, polarity to
//! turn, what mixes carry, what a hand keeps out of them.

use super::deeds::{Deed, Named, Step, Strip};
use super::turn::{Turn, labels};
use crate::plan::{Mix, Points, Promise, Role, View, point};
use rustc_hash::{FxHashMap, FxHashSet};
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
            let channel = is_channel(view, &at);
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

/// What a mix is made of: a channel of its desk with a source on it; what is on none by its name.
#[derive(Clone, Copy)]
struct Item<'v> {
    at: Option<&'v str>,
    what: &'v str,
}

impl<'v> Item<'v> {
    /// Whoever stands at a desk sends channels, whatever comes there.
    fn key(&self) -> &'v str {
        self.at.unwrap_or(self.what)
    }
}

/// One mix and what concerns its contents.
struct Contents<'v> {
    mix: &'v str,
    items: Vec<Item<'v>>,
    of: Option<&'v Mix>,
}

type Mixes<'v> = BTreeMap<Place<'v>, Contents<'v>>;

fn carried<'v>(view: &View<'v>) -> Mixes<'v> {
    let channels = channels(view);
    let of = |mix: &'v Mix| {
        let at = Points::read(&mix.mix)?;
        let items = mix.of.iter().flat_map(|what| {
            let on = channels.get(&(at.device, what.as_str())).map(Vec::as_slice).unwrap_or_default();
            let by_name = on.is_empty().then_some(Item { at: None, what });
            on.iter().map(move |at| Item { at: Some(at), what }).chain(by_name)
        });
        Some((place(&at), Contents { mix: &mix.mix, items: items.collect(), of: Some(mix) }))
    };
    view.mixes.iter().filter_map(|mix| of(mix)).collect()
}

/// By desk and source, the channels on which it is there.
fn channels<'v>(view: &View<'v>) -> FxHashMap<(&'v str, &'v str), Vec<&'v str>> {
    let feeds: FxHashSet<&str> = view.personal.iter().map(|feed| feed.feed.as_str()).collect();
    let mut channels: FxHashMap<_, Vec<&str>> = FxHashMap::default();
    for signal in &view.signals {
        for end in signal.ends.iter().filter(|end| end.asked && !feeds.contains(end.end.as_str())) {
            let at = Points::read(&end.end).filter(|at| is_channel(view, at));
            if let Some(at) = at {
                channels.entry((at.device, signal.source.as_str())).or_default().push(&end.end);
            }
        }
    }
    channels
}

fn is_channel(view: &View, at: &Points) -> bool {
    at.bank != "track"
        && view.device(at.device).is_some_and(|device| device.role == "desk")
        && view.bank(at).is_some_and(|bank| bank.role == Role::Inner)
}

fn left_out<'v>(view: &View<'v>) -> Mixes<'v> {
    let of = |promise: &'v Promise| {
        let at = Points::read(&promise.mix)?;
        let items = promise.without.iter().map(|what| Item { at: None, what });
        Some((place(&at), Contents { mix: &promise.mix, items: items.collect(), of: None }))
    };
    view.promised.iter().filter_map(|one| of(one)).collect()
}

/// A mix of which something changed: what it has now and had not, what it had and has not, whether it is a side of a
/// stereo mix where that is otherwise, and what it is now.
struct Turned<'v> {
    mix: &'v str,
    came: Vec<Item<'v>>,
    went: Vec<Item<'v>>,
    stereo: Option<bool>,
    of: Option<&'v Mix>,
}

fn turned<'v>(was: &Mixes<'v>, now: &Mixes<'v>) -> Vec<Turned<'v>> {
    let turned = |place| {
        let (old, new) = (was.get(place), now.get(place));
        let items = |side: Option<&Contents<'v>>| side.map(|one| one.items.clone()).unwrap_or_default();
        let keys = |items: &[Item<'v>]| items.iter().map(Item::key).collect::<FxHashSet<_>>();
        let (before, after) = (items(old), items(new));
        let (had, has) = (keys(&before), keys(&after));
        let is_stereo = |side: Option<&Contents>| side.and_then(|one| one.of).is_some_and(|mix| mix.stereo);
        let stereo = (is_stereo(old) != is_stereo(new)).then(|| is_stereo(new));
        let same = had == has && stereo.is_none() && old.is_some() == new.is_some();
        (!same).then_some(Turned {
            mix: new.or(old)?.mix,
            came: after.into_iter().filter(|item| !had.contains(item.key())).collect(),
            went: before.into_iter().filter(|item| !has.contains(item.key())).collect(),
            stereo,
            of: new.and_then(|one| one.of),
        })
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
            // A mix without a name is there, and nothing is written at it.
            if was.cloned().unwrap_or_default() != now.cloned().unwrap_or_default() {
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
        for Turned { mix, came, went, stereo, of } in turned(&was, &carried(self.now)) {
            let deed = Deed::Send {
                mix: mix.to_string(),
                called: self.called(mix),
                add: self.names(came),
                out: self.names(went),
                stereo,
                of: of.cloned(),
                used: self.is_used(mix),
            };
            steps.push(Step::then(self.at_strip(mix), deed));
        }
    }

    pub fn left_out(&self, exchanged: &BTreeSet<&str>, steps: &mut Vec<Step>) {
        let mut was = left_out(self.was);
        was.retain(|(device, ..), _| !exchanged.contains(device));
        let said: FxHashSet<&str> = self.now.mixes.iter().map(|mix| mix.mix.as_str()).collect();
        for Turned { mix, came, went, .. } in turned(&was, &left_out(self.now)) {
            let deed = Deed::LeaveOut {
                mix: mix.to_string(),
                called: self.called(mix),
                out: self.names(came),
                free: self.names(went),
                used: self.is_used(mix) && !said.contains(mix),
            };
            steps.push(Step::then(self.at_strip(mix), deed));
        }
    }

    /// Something still hangs on a mix.
    fn is_used(&self, mix: &str) -> bool {
        let [_, now] = self.spoken;
        now.leaves(mix)
    }

    fn names(&self, items: Vec<Item>) -> Vec<Named> {
        let named = |item: Item| Named {
            what: item.what.to_string(),
            called: self.called(item.what),
            at: item.at.map(String::from),
        };
        items.into_iter().map(named).collect()
    }
}
