//! Which rows did it. Of a change those rows of its thing, and of whatever else the change is about, that do not stand
//! on both sides; where they all do, those of the nearest things, as gear and signals join them; where no thing near it
//! says otherwise, any row that does. A row that stands on both sides is never named.

use super::Said;
use super::data::{Change, Verb};
use super::names::Renames;
use super::ways::{MANY, Ways, thing_of};
use crate::plan::{Origin, Origins, Plan, parted, port_or_bank};
use rustc_hash::{FxHashMap, FxHashSet};
use std::borrow::Cow;
use std::cell::OnceCell;
use std::collections::BTreeSet;

/// All things that rows say something of, under their new names.
pub(super) struct Blame<'p> {
    known: FxHashMap<Cow<'p, str>, Known<'p>>,
    /// Who is near whom. A comparison of which every change names its own rows never asks.
    ways: OnceCell<Ways>,
    /// The old one under the new names.
    plans: [&'p Plan; 2],
    renames: &'p Renames,
}

/// What rows say of one thing.
#[derive(Default)]
struct Known<'p> {
    /// Those that do not stand on both sides.
    differ: Vec<&'p Origin>,
    on_both_sides: bool,
}

impl<'p> Blame<'p> {
    /// `was` is the old plan under the new names.
    pub fn new(was: &'p Plan, old: Said<'p>, new: Said<'p>, renames: &'p Renames) -> Self {
        let rows = Rows::of(old.origins, new.origins, renames);
        let mut things: FxHashMap<Cow<str>, (&'p [Origin], &'p [Origin])> = FxHashMap::default();
        for (thing, rows) in old.origins {
            things.entry(renames.new_thing(thing)).or_default().0 = rows;
        }
        for (thing, rows) in new.origins {
            things.entry(Cow::Borrowed(thing)).or_default().1 = rows;
        }
        let known = |(was, now): (&'p [Origin], &'p [Origin])| Known {
            differ: rows.differ(was, now),
            on_both_sides: !was.is_empty() && !now.is_empty(),
        };
        let known = things.into_iter().map(|(thing, sides)| (thing, known(sides))).collect();
        Blame { known, ways: OnceCell::new(), plans: [was, new.plan], renames }
    }

    /// The rows that did it, by place.
    pub fn of(&self, change: &Change) -> Vec<Origin> {
        if self.known.is_empty() {
            return Vec::new();
        }
        let plays = |act: &str| change.acts.iter().any(|one| one == self.renames.act(act));
        let here = |row: &Origin| change.acts.is_empty() || row.act.as_deref().is_none_or(plays);
        let rows = |things: &mut dyn Iterator<Item = &str>| -> BTreeSet<&'p Origin> {
            let rows = things.filter_map(|thing| self.known.get(thing)).flat_map(|known| &known.differ).copied();
            rows.filter(|origin| here(origin)).collect()
        };
        let (said, about) = self.about(change);
        let mut found = rows(&mut said.iter().map(String::as_str));
        if found.is_empty() {
            found = rows(&mut about.iter().map(String::as_str));
        }
        if found.is_empty() {
            found = rows(&mut self.ways().nearest(&[said, about].concat()).into_iter());
        }
        if found.is_empty() {
            found = rows(&mut self.known.keys().map(AsRef::as_ref));
        }
        found.into_iter().take(MANY).cloned().collect()
    }

    /// The things whose rows say it, and those that it serves besides.
    fn about(&self, change: &Change) -> (Vec<String>, Vec<String>) {
        let (mut said, mut about) = (vec![change.thing.clone()], Vec::new());
        said.extend(change.with.clone());
        let (kind, name) = change.thing.split_once(' ').unwrap_or((&change.thing, ""));
        match kind {
            "show" => said.push(format!("show {}", change.of)),
            "spare" => said.push("spare cable".into()),
            "allowed" => said.extend(name.split(' ').next().map(|rule| format!("allowed {rule}"))),
            "cable" => said.extend(self.layer(name)),
            _ => {}
        }
        match change.verb {
            // No row of a device says its blocks.
            Verb::Blocks => said.extend(self.ways().served(name, &change.of)),
            verb if verb.is_dialled() || verb == Verb::Owner => about = self.ways().served(name, &change.of),
            Verb::Reordered => {
                let chains = listed(&change.was).chain(listed(&change.now));
                said.extend(chains.map(|device| format!("device {device}")));
            }
            Verb::Repatched => {
                let desk = port_or_bank(&change.of).map(|(device, _)| device);
                said.extend(desk.into_iter().flat_map(|desk| [format!("list {desk}"), format!("recording {desk}")]));
            }
            Verb::Sent | Verb::Said if kind == "mix" => {
                about = only_in_one(change);
                said.extend(about.iter().filter(|thing| self.comes_or_goes(thing)).cloned());
            }
            _ => {}
        }
        (said, about)
    }

    /// The row of a cable; a cable that no row of its own lays is laid by the device at its end.
    fn layer(&self, cable: &str) -> Option<String> {
        let end = cable.split_once(',').map_or(cable, |(end, _)| end);
        let own = format!("cable {end}");
        if self.known.contains_key(own.as_str()) { Some(own) } else { Some(format!("device {}", parted(end)?.0)) }
    }

    fn comes_or_goes(&self, thing: &str) -> bool {
        self.known.get(thing).is_some_and(|known| !known.on_both_sides)
    }

    fn ways(&self) -> &Ways {
        let differs = |thing: &str| self.known.get(thing).is_some_and(|known| !known.differ.is_empty());
        self.ways.get_or_init(|| Ways::of(self.plans, differs))
    }
}

/// What one side lists and the other does not.
fn only_in_one(change: &Change) -> Vec<String> {
    let (was, now): (BTreeSet<&str>, BTreeSet<&str>) = (listed(&change.was).collect(), listed(&change.now).collect());
    was.symmetric_difference(&now).map(|name| thing_of(name)).collect()
}

fn listed(side: &Option<String>) -> impl Iterator<Item = &str> {
    side.iter().flat_map(|list| list.split(", ")).filter(|name| !name.is_empty())
}

/// All rows of both sides.
struct Rows<'p> {
    was: Side<'p>,
    now: Side<'p>,
    renames: &'p Renames,
}

/// What the rows of one side say, and by what some say what stands in their place.
#[derive(Default)]
struct Side<'p> {
    says: FxHashSet<Says<'p>>,
    instead: FxHashMap<&'p str, &'p [Origin]>,
}

/// What a row says, in which act and in whose list.
type Says<'o> = (&'o str, Option<&'o str>, Option<&'o str>);

impl<'p> Rows<'p> {
    fn of(old: &'p Origins, new: &'p Origins, renames: &'p Renames) -> Self {
        let instead = |origins: &'p Origins| {
            origins.iter().filter_map(|(thing, rows)| Some((thing.strip_prefix("row ")?, rows.as_slice()))).collect()
        };
        let side = |origins| Side { says: FxHashSet::default(), instead: instead(origins) };
        let mut rows = Rows { was: side(old), now: side(new), renames };
        rows.was.says = old.values().flatten().map(|row| rows.old_says(row)).collect();
        rows.now.says = new.values().flatten().map(says).collect();
        rows
    }

    /// The rows of a thing that say it now and did not before; of what went, the other way round.
    fn differ(&self, was: &'p [Origin], now: &'p [Origin]) -> Vec<&'p Origin> {
        let instead = |side: &Side<'p>| was.iter().chain(now).flat_map(|row| side.instead_of(row)).collect::<Vec<_>>();
        // A row that something stands in the place of is still there to read.
        let come = |row: &&Origin| !self.was.says.contains(&says(row)) && self.was.instead_of(row).is_empty();
        let come: Vec<&Origin> = now.iter().chain(instead(&self.now)).filter(come).collect();
        if !come.is_empty() {
            return come;
        }
        let gone =
            |row: &&'p Origin| !self.now.says.contains(&self.old_says(row)) && self.now.instead_of(row).is_empty();
        was.iter().chain(instead(&self.was)).filter(gone).collect()
    }

    /// What a row of the old side says, under the new names.
    fn old_says(&self, row: &'p Origin) -> Says<'p> {
        let (row, act, list) = says(row);
        let desk = |name| self.renames.devices.get(name).map_or(name, String::as_str);
        (row, act.map(|act| self.renames.act(act)), list.map(desk))
    }
}

impl<'p> Side<'p> {
    fn instead_of(&self, row: &Origin) -> &'p [Origin] {
        self.instead.get(row.says.as_str()).copied().unwrap_or_default()
    }
}

fn says(row: &Origin) -> Says<'_> {
    (&row.says, row.act.as_deref(), row.list.as_deref())
}
