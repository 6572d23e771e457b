//! Two plans side by side: what changed for the people who must act, by meaning. Who a thing is decides, not where it
//! stands in a list; layout, order and comments are no change. It knows plans and nothing of the files that made them.
//!
//! Data runs one way: two plans → under one set of names → scene by scene facts, steps and risks → told once for all acts
//! that agree → text, Markdown, data.

mod blame;
mod called;
mod changes;
mod data;
mod deeds;
mod facts;
mod hands;
mod moves;
mod names;
mod owners;
mod risks;
mod rows;
mod said;
mod shows;
mod steps;
mod strips;
mod text;
mod turn;
mod venues;
mod ways;

pub use called::Called;
pub use data::*;
pub use deeds::*;
pub(crate) use rows::Row;
pub use text::{json, markdown, text};
pub use venues::{Venues, venues};

use crate::plan::{Act, EVERYBODY, Origins, Plan, STAGE, View};
use crate::verify::joined_by_copper;
use blame::Blame;
use changes::{Sides, join_chains};
use facts::Facts;
use names::Renames;
use std::collections::{BTreeMap, BTreeSet};
use turn::{Spoken, Turn};

/// A plan, and where its things are said.
#[derive(Clone, Copy)]
pub struct Said<'p> {
    pub plan: &'p Plan,
    pub origins: &'p Origins,
}

/// Of no plan that says where its things stand.
static NOWHERE: Origins = Origins::new();

impl<'p> Said<'p> {
    /// A plan by itself.
    pub fn alone(plan: &'p Plan) -> Self {
        Said { plan, origins: &NOWHERE }
    }
}

/// What became of the old plan in the new one. `paper` is left for whoever can print.
pub fn compare(old: Said, new: Said) -> Comparison {
    let (was, renames) = names::under_new_names(old.plan, new.plan);
    let mut told = Told::default();
    told.changes_of_show(&was, new.plan);
    told.renamed(&renames, old.plan, new.plan);
    let scenes = scenes(&was, new.plan);
    for scene in &scenes {
        told.scene(scene);
    }
    told.finished(scenes.len(), old, new, &Blame::new(&was, old, new, &renames))
}

/// Two acts, or houses, that are held side by side.
struct Scene<'p> {
    act: Option<&'p str>,
    was: View<'p>,
    now: View<'p>,
    was_in: Option<&'p str>,
    now_in: Option<&'p str>,
}

/// Acts by name; of an act that was not there the house; a house without acts beside each act of the other.
fn scenes<'p>(old: &'p Plan, new: &'p Plan) -> Vec<Scene<'p>> {
    let of = |plan: &'p Plan, act: Option<&'p Act>| act.map_or_else(|| View::house(plan), |act| View::act(plan, act));
    let name = |act: Option<&'p Act>| act.map(|act| act.act.as_str());
    let scene = |was: Option<&'p Act>, now: Option<&'p Act>| Scene {
        act: name(now).or(name(was)),
        was: of(old, was),
        now: of(new, now),
        was_in: name(was),
        now_in: name(now),
    };
    let mut scenes: Vec<Scene> = match (old.acts.is_empty(), new.acts.is_empty()) {
        (true, true) => Vec::new(),
        (true, false) => new.acts.iter().map(|now| scene(None, Some(now))).collect(),
        (false, true) => old.acts.iter().map(|was| scene(Some(was), None)).collect(),
        (false, false) => {
            let before = |now: &Act| old.acts.iter().find(|was| was.act == now.act);
            new.acts.iter().map(|now| scene(before(now), Some(now))).collect()
        }
    };
    if scenes.is_empty() {
        scenes.push(scene(None, None));
    }
    scenes
}

/// What was found so far, each with the acts in which it was.
#[derive(Default)]
struct Told {
    show: Vec<Change>,
    changes: Known<Change>,
    risks: Known<Risk>,
    work: Vec<Work>,
}

/// What was found, and where each stands, by what it said before it was told of any act.
struct Known<T> {
    all: Vec<T>,
    places: BTreeMap<String, usize>,
}

impl<T> Default for Known<T> {
    fn default() -> Self {
        Known { all: Vec::new(), places: BTreeMap::new() }
    }
}

impl Told {
    fn changes_of_show(&mut self, old: &Plan, new: &Plan) {
        let (was, now) = (Facts::of_show(old), Facts::of_show(new));
        self.show.extend(Sides { was: &was, now: &now }.changes());
    }

    fn renamed(&mut self, renames: &Renames, old: &Plan, new: &Plan) {
        let mut add = |kind: &str, was: &str, now: &str, labels: (Option<&str>, Option<&str>), who: &[&str]| {
            // Of one label under two names the names tell.
            let (before, after) =
                if labels.0 == labels.1 { (was, now) } else { (labels.0.unwrap_or(was), labels.1.unwrap_or(now)) };
            self.show.push(Change {
                verb: Verb::Renamed,
                thing: format!("{kind} {now}"),
                called: labels.1.unwrap_or(now).to_string(),
                with: Some(format!("{kind} {was}")),
                was: Some(before.to_string()),
                now: Some(after.to_string()),
                who: who.iter().map(|who| (*who).to_string()).collect(),
                ..Change::default()
            });
        };
        fn title<'p>(plan: &'p Plan, name: &str) -> Option<&'p str> {
            plan.acts.iter().find(|act| act.act == name)?.title.as_deref()
        }
        for (was, now) in &renames.acts {
            add("act", was, now, (title(old, was), title(new, now)), &[EVERYBODY]);
        }
        for (was, now) in &renames.devices {
            add("device", was, now, (None, None), &[EVERYBODY]);
        }
        fn label<'p>(plan: &'p Plan, name: &str) -> Option<&'p str> {
            let acts = plan.acts.iter().flat_map(|act| &act.sources);
            plan.sources.iter().chain(acts).find(|source| source.source == name).map(|source| source.label.as_str())
        }
        for (was, now) in &renames.sources {
            let was = &renames.old_source(was);
            add("source", was, now, (label(old, was), label(new, now)), &[STAGE]);
        }
    }

    fn scene(&mut self, scene: &Scene) {
        let (was, now) = (Facts::of(&scene.was), Facts::of(&scene.now));
        let mut changes = Sides { was: &was, now: &now }.changes();
        join_chains(&mut changes, &scene.was, &scene.now);
        let (copper_was, copper_now) =
            (joined_by_copper(scene.was.plan, scene.was_in), joined_by_copper(scene.now.plan, scene.now_in));
        let (spoken_was, spoken_now) = (Spoken::of(&scene.was), Spoken::of(&scene.now));
        let turn = Turn {
            was: &scene.was,
            now: &scene.now,
            copper_was: &copper_was,
            copper_now: &copper_now,
            spoken: [&spoken_was, &spoken_now],
        };
        let (act, steps) = (scene.act.map(String::from), turn.steps());
        match self.work.iter_mut().find(|work| work.steps == steps) {
            Some(work) => work.acts.extend(act),
            None => self.work.push(Work { acts: act.into_iter().collect(), steps, later: false }),
        }
        let risks = turn.risks([&was, &now]);
        gather(&mut self.changes, changes, scene.act, |change| &mut change.acts);
        gather(&mut self.risks, risks, scene.act, |risk| &mut risk.acts);
    }

    fn finished(mut self, scenes: usize, old: Said, new: Said, blame: &Blame) -> Comparison {
        let everywhere = |acts: &mut Vec<String>| {
            if acts.len() == scenes {
                acts.clear();
            }
        };
        let (mut of_acts, mut risks) = (self.changes.all, self.risks.all);
        of_acts.iter_mut().for_each(|change| everywhere(&mut change.acts));
        risks.iter_mut().for_each(|risk| everywhere(&mut risk.acts));
        steps::once(&mut self.work, scenes);
        self.work.iter_mut().for_each(|work| everywhere(&mut work.acts));
        self.work.retain(|work| !work.steps.is_empty());
        // A new name brings its new label.
        let renamed: BTreeSet<String> =
            self.show.iter().filter(|c| c.verb == Verb::Renamed).map(|c| c.thing.clone()).collect();
        let mut changes = self.show;
        changes.append(&mut of_acts);
        changes.retain(|change| change.verb != Verb::Labelled || !renamed.contains(&change.thing));
        for change in &mut changes {
            change.origins = blame.of(change);
        }
        risks.sort();
        Comparison {
            old: old.plan.show.clone(),
            new: new.plan.show.clone(),
            risks,
            changes,
            work: self.work,
            paper: Vec::new(),
            called: Called::of(old.plan, new.plan),
        }
    }
}

/// Adds what one act found to what others did: the same thing once, with all acts in which it holds.
fn gather<T: std::fmt::Debug>(
    known: &mut Known<T>,
    found: Vec<T>,
    act: Option<&str>,
    acts: fn(&mut T) -> &mut Vec<String>,
) {
    if act.is_none() {
        // One scene alone tells nothing twice.
        known.all.extend(found);
        return;
    }
    for one in found {
        let at = *known.places.entry(format!("{one:?}")).or_insert(known.all.len());
        if at == known.all.len() {
            known.all.push(one);
        }
        if let Some(known) = known.all.get_mut(at) {
            acts(known).extend(act.map(String::from));
        }
    }
}
