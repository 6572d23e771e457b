//! Which rows did it. Of a change those rows of its thing, and of whatever else the change is about, that do not stand
//! on both sides; where they all do, those of the nearest things, as gear and signals join them; where no thing near it
//! says otherwise, any row that does. A row that stands on both sides is never named.

use super::Said;
use super::data::{Change, Verb};
use super::names::Renames;
use super::ways::Ways;
use crate::plan::{Origin, Origins, Plan, parted, port_or_bank};
use rustc_hash::{FxHashMap, FxHashSet};
use std::cell::OnceCell;
use std::collections::BTreeSet;

/// So many rows are named at most: more are no answer.
pub(super) const MANY: usize = 24;

/// The rows that differ, by thing under its new name.
pub(super) struct Blame<'p> {
    differ: FxHashMap<String, Vec<&'p Origin>>,
    /// Things of which some row stands somewhere.
    said: FxHashSet<String>,
    /// Who is near whom. A comparison of which every change names its own rows never asks.
    ways: OnceCell<Ways>,
    /// The old one under the new names.
    plans: [&'p Plan; 2],
}

impl<'p> Blame<'p> {
    /// `was` is the old plan under the new names.
    pub fn new(was: &'p Plan, old: Said<'p>, new: Said<'p>, renames: &'p Renames) -> Self {
        let sides = Rows::of(old.origins, new.origins, renames);
        let mut things: FxHashMap<String, [&'p [Origin]; 2]> = FxHashMap::default();
        for (thing, rows) in old.origins {
            things.entry(renames.new_thing(thing)).or_default()[0] = rows;
        }
        for (thing, rows) in new.origins {
            things.entry(thing.clone()).or_default()[1] = rows;
        }
        let mut blame = Blame {
            differ: FxHashMap::default(),
            said: FxHashSet::default(),
            ways: OnceCell::new(),
            plans: [was, new.plan],
        };
        for (thing, [was, now]) in things {
            let rows = sides.differ(was, now);
            if !rows.is_empty() {
                blame.differ.insert(thing.clone(), rows);
            }
            blame.said.insert(thing);
        }
        blame
    }

    /// The rows that did it, by place.
    pub fn of(&self, change: &Change) -> Vec<Origin> {
        if self.differ.is_empty() {
            return Vec::new();
        }
        let about = self.about(change);
        let here =
            |origin: &Origin| change.acts.is_empty() || origin.act.as_ref().is_none_or(|act| change.acts.contains(act));
        let rows = |things: &mut dyn Iterator<Item = &str>| -> BTreeSet<&'p Origin> {
            let rows = things.filter_map(|thing| self.differ.get(thing)).flatten().copied();
            rows.filter(|origin| here(origin)).collect()
        };
        let mut found = rows(&mut about.iter().map(String::as_str));
        if found.is_empty() {
            found = rows(&mut self.ways().nearest(&about).into_iter());
        }
        if found.is_empty() {
            found = rows(&mut self.differ.keys().map(String::as_str));
        }
        found.into_iter().take(MANY).cloned().collect()
    }

    /// The things that a change is about.
    fn about(&self, change: &Change) -> Vec<String> {
        let mut about = vec![change.thing.clone()];
        about.extend(change.with.clone());
        let (kind, name) = change.thing.split_once(' ').unwrap_or((&change.thing, ""));
        match kind {
            "show" => about.push(format!("show {}", change.of)),
            "spare cable" | "spare" => about.push("spare cable".into()),
            "allowed" => about.extend(name.split(' ').next().map(|rule| format!("allowed {rule}"))),
            "cable" => about.extend(self.layers(name)),
            "device" if change.verb.is_dialled() || change.verb == Verb::Owner => {
                about.extend(self.ways().served(name, &change.of));
            }
            _ => {}
        }
        match change.verb {
            Verb::Sent => about.extend(only_in_one(change)),
            Verb::Said if change.of == "leave out by hand" => about.extend(only_in_one(change)),
            Verb::Reordered => {
                about.extend(listed(&change.was).chain(listed(&change.now)).map(|d| format!("device {d}")))
            }
            Verb::Repatched => {
                let desk = port_or_bank(&change.of).map(|(device, _)| device);
                about.extend(desk.into_iter().flat_map(|d| [format!("list {d}"), format!("recording {d}")]));
            }
            _ => {}
        }
        about
    }

    /// The row of a cable; a cable that no row of its own lays is laid by the device at its end.
    fn layers(&self, cable: &str) -> Option<String> {
        let end = cable.split_once(',').map_or(cable, |(end, _)| end);
        let own = format!("cable {end}");
        if self.said.contains(&own) { Some(own) } else { Some(format!("device {}", parted(end)?.0)) }
    }

    fn ways(&self) -> &Ways {
        self.ways.get_or_init(|| Ways::of(self.plans, |thing| self.differ.contains_key(thing)))
    }
}

/// What one side lists and the other does not.
fn only_in_one(change: &Change) -> impl Iterator<Item = String> {
    let (was, now): (BTreeSet<&str>, BTreeSet<&str>) = (listed(&change.was).collect(), listed(&change.now).collect());
    let only: Vec<String> = was.symmetric_difference(&now).map(|name| thing_of(name)).collect();
    only.into_iter()
}

fn listed(side: &Option<String>) -> impl Iterator<Item = &str> {
    side.iter().flat_map(|list| list.split(", ")).filter(|name| !name.is_empty())
}

/// What a signal starts at: a source, or the point of a mix.
pub(super) fn thing_of(name: &str) -> String {
    format!("{} {name}", if name.contains(' ') { "mix" } else { "source" })
}

/// All rows of both sides.
struct Rows<'p> {
    old: &'p Origins,
    new: &'p Origins,
    was: FxHashSet<Says<'p>>,
    now: FxHashSet<Says<'p>>,
    renames: &'p Renames,
}

/// What a row says, in which act and in whose list.
type Says<'o> = (&'o str, Option<&'o str>, Option<&'o str>);

impl<'p> Rows<'p> {
    fn of(old: &'p Origins, new: &'p Origins, renames: &'p Renames) -> Self {
        let mut rows = Rows { old, new, was: FxHashSet::default(), now: FxHashSet::default(), renames };
        rows.was = old.values().flatten().map(|row| rows.old_says(row)).collect();
        rows.now = new.values().flatten().map(says).collect();
        rows
    }

    /// The rows of a thing that say it now and did not before; of what went, the other way round.
    fn differ(&self, was: &'p [Origin], now: &'p [Origin]) -> Vec<&'p Origin> {
        let rows = || was.iter().chain(now);
        let here = now.iter().chain(rows().filter_map(|row| in_place_of(row, self.new)).flatten());
        // A row that something stands in the place of is still there to read.
        let come = here.filter(|row| !self.was.contains(&says(row)) && in_place_of(row, self.old).is_none());
        let come: Vec<&Origin> = come.collect();
        if !come.is_empty() {
            return come;
        }
        let there = was.iter().chain(rows().filter_map(|row| in_place_of(row, self.old)).flatten());
        let gone = there.filter(|row| !self.now.contains(&self.old_says(row)) && in_place_of(row, self.new).is_none());
        gone.collect()
    }

    /// What a row of the old side says, under the new names.
    fn old_says(&self, row: &'p Origin) -> Says<'p> {
        let (row, act, list) = says(row);
        let renamed = |desk| self.renames.devices.get(desk).map_or(desk, String::as_str);
        (row, act, list.map(renamed))
    }
}

fn says(row: &Origin) -> Says<'_> {
    (&row.says, row.act.as_deref(), row.list.as_deref())
}

/// What stands in the place of a row.
fn in_place_of<'o>(row: &Origin, side: &'o Origins) -> Option<&'o Vec<Origin>> {
    side.get(&format!("row {}", row.says))
}
