//! Plugs that change places: which go, which come, and in which order hands move them. Sources and what hangs on outputs
//! alike; a microphone that is another one is another plug in the same socket.

use super::deeds::{Deed, Plugging, Side, Step};
use super::turn::stage;
use crate::plan::{Output, Points, Role, View};
use std::collections::{BTreeMap, BTreeSet};

pub(super) type Plugged = BTreeMap<Socket, What>;
pub(super) type Socket = (Side, String);

/// A plug: who it is, and the microphone or what an output is for.
#[derive(Clone, Debug)]
pub(super) struct What {
    name: String,
    called: String,
    is: Option<String>,
}

impl What {
    fn same(&self, other: &What) -> bool {
        (&self.name, &self.is) == (&other.name, &other.is)
    }
}

/// What is plugged in before and after, and what has another label.
pub(super) fn plugged(was: &View, now: &View) -> (Plugged, Plugged, Vec<Step>) {
    let (mut before, mut after) = (sources(was), sources(now));
    let (old, new) = (outputs(was), outputs(now));
    let (once_old, once_new) = (labels_once(&old), labels_once(&new));
    let mut relabelled = Vec::new();
    let hung = |name: String, output: &Output| What { name, called: label(output).into(), is: output.used_as.clone() };
    for (at, output) in &old {
        // The same comes out of the same socket for the same use: the same hangs there, whatever it is called.
        let stays = new.get(at).filter(|next| next.from == output.from && next.used_as == output.used_as);
        if let Some(next) = stays {
            if label(next) != label(output) {
                let (was, now) = (label(output).to_string(), label(next).to_string());
                relabelled.push(stage(Deed::Relabel { at: (*at).to_string(), was, now }));
            }
            let socket = (Side::Out, (*at).to_string());
            before.insert(socket.clone(), hung(format!("at {at}"), next));
            after.insert(socket, hung(format!("at {at}"), next));
        }
    }
    // Else people tell what hangs there by its label, where that is one.
    let name = |output: &Output| match output.label.as_deref() {
        Some(label) if once_old.contains(label) && once_new.contains(label) => label.to_string(),
        _ => output.from.clone(),
    };
    for (side, outputs) in [(&mut before, &old), (&mut after, &new)] {
        for (at, output) in outputs {
            side.entry((Side::Out, (*at).to_string())).or_insert_with(|| hung(name(output), output));
        }
    }
    // A source that is called otherwise gets its new label where it was, and then moves under it.
    let sources = after.iter().filter(|((side, _), _)| *side == Side::In);
    let labels: BTreeMap<String, String> = sources.map(|(_, what)| (what.name.clone(), what.called.clone())).collect();
    for ((_, at), was) in before.iter_mut().filter(|((side, _), _)| *side == Side::In) {
        if let Some(now) = labels.get(&was.name).filter(|now| **now != was.called) {
            let was = std::mem::replace(&mut was.called, now.clone());
            relabelled.push(stage(Deed::Relabel { at: at.clone(), was, now: now.clone() }));
        }
    }
    (before, after, relabelled)
}

fn sources(view: &View) -> Plugged {
    let labels: BTreeMap<&str, &str> =
        view.sources.iter().map(|source| (source.source.as_str(), source.label.as_str())).collect();
    let what = |plug: &crate::plan::Plug| What {
        name: plug.source.clone(),
        called: labels.get(plug.source.as_str()).copied().unwrap_or(&plug.source).to_string(),
        is: plug.mic.clone(),
    };
    view.plugs.iter().map(|plug| ((Side::In, plug.at.clone()), what(plug))).collect()
}

/// By socket, of what leaves by one.
fn outputs<'v>(view: &View<'v>) -> BTreeMap<&'v str, &'v Output> {
    let leaves = |at: &str| Points::read(at).and_then(|at| view.bank(&at)).is_some_and(|bank| bank.role == Role::Out);
    let all = view.outputs.iter().filter(|output| leaves(&output.to));
    all.map(|output| (output.to.as_str(), *output)).collect()
}

fn label(output: &Output) -> &str {
    output.label.as_ref().or(output.used_as.as_ref()).unwrap_or(&output.from)
}

/// The labels that stand once or not at all, as far as they stand.
fn labels_once<'v>(outputs: &BTreeMap<&'v str, &'v Output>) -> BTreeSet<&'v str> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    outputs
        .values()
        .filter_map(|output| output.label.as_deref())
        .for_each(|label| *counts.entry(label).or_default() += 1);
    counts.into_iter().filter(|(_, count)| *count == 1).map(|(label, _)| label).collect()
}

/// Plugs that change places.
pub(super) struct Moves {
    /// Out of these, in the order of places.
    from: Vec<(Socket, What)>,
    /// Into these.
    to: Vec<(Socket, What)>,
}

impl Moves {
    pub fn of(was: &Plugged, now: &Plugged, exchanged: &BTreeSet<&str>) -> Self {
        let on_new_gear = |at: &str| Points::read(at).is_some_and(|at| exchanged.contains(at.device));
        let other = |at: &Socket, what: &What, there: &Plugged| {
            on_new_gear(&at.1) || !there.get(at).is_some_and(|it| it.same(what))
        };
        let list = |these: &Plugged, those: &Plugged| {
            let changed = these.iter().filter(|(at, what)| other(at, what, those));
            let mut list: Vec<(Socket, What)> = changed.map(|(at, what)| (at.clone(), what.clone())).collect();
            list.sort_by_cached_key(|(at, _)| walked(at));
            list
        };
        Moves { from: list(was, now), to: list(now, was) }
    }

    pub fn places(&self) -> BTreeSet<&str> {
        let (from, to) = (self.from.iter().map(|(at, _)| at), self.to.iter().map(|(at, _)| at));
        from.chain(to).filter(|(side, _)| *side == Side::In).map(|(_, at)| at.as_str()).collect()
    }

    pub fn pulled(&self) -> Vec<Step> {
        self.from.iter().map(|(at, what)| unplug(at, what)).collect()
    }

    pub fn put(&self) -> Vec<Step> {
        self.to.iter().map(|(at, what)| plug(at, what)).collect()
    }

    /// What only goes first; then each plug from its old place straight to its new one as soon as that is free; of
    /// those that stand in each other's way one is pulled ahead.
    pub fn one_by_one(&self) -> Vec<Step> {
        let staying: BTreeSet<(Side, &str)> = self.to.iter().map(|(at, what)| (at.0, what.name.as_str())).collect();
        let (moving, going): (Vec<_>, Vec<_>) =
            self.from.iter().partition(|(at, what)| staying.contains(&(at.0, what.name.as_str())));
        let mut steps: Vec<Step> = going.into_iter().map(|(at, what)| unplug(at, what)).collect();
        let mut taken: BTreeMap<&Socket, usize> = moving.iter().zip(0..).map(|((at, _), n)| (at, n)).collect();
        let mut places: BTreeMap<(Side, &str), BTreeSet<usize>> = BTreeMap::new();
        for ((at, what), n) in moving.iter().zip(0..) {
            places.entry((at.0, &what.name)).or_default().insert(n);
        }
        let wanted: BTreeMap<&Socket, usize> = self.to.iter().zip(0..).map(|((at, _), n)| (at, n)).collect();
        let mut ready: BTreeSet<usize> =
            wanted.iter().filter(|(at, _)| !taken.contains_key(*at)).map(|(_, n)| *n).collect();
        let mut waiting: BTreeSet<usize> = (0..moving.len()).collect();
        loop {
            let next = ready.pop_first().and_then(|n| self.to.get(n));
            let out = match next {
                Some((at, what)) => places.get(&(at.0, what.name.as_str())).and_then(|of| of.first().copied()),
                None => waiting.first().copied(),
            };
            if let Some((n, (at, what))) = out.and_then(|n| Some((n, moving.get(n)?))) {
                steps.push(unplug(at, what));
                taken.remove(at);
                waiting.remove(&n);
                places.get_mut(&(at.0, what.name.as_str())).map(|of| of.remove(&n));
                ready.extend(wanted.get(at));
            }
            match next {
                Some((at, what)) => steps.push(plug(at, what)),
                None if out.is_none() => return steps,
                None => {}
            }
        }
    }
}

fn unplug(at: &Socket, what: &What) -> Step {
    stage(Deed::Unplug(plugging(at, what)))
}

fn plug(at: &Socket, what: &What) -> Step {
    stage(Deed::Plug(plugging(at, what)))
}

fn plugging((side, at): &Socket, what: &What) -> Plugging {
    let What { name, called, is } = what.clone();
    Plugging { what: name, called, at: at.clone(), side: *side, is }
}

/// Box by box, socket by socket.
fn walked((side, at): &Socket) -> (Side, String, String, u32) {
    match Points::read(at) {
        Some(points) => (*side, points.device.to_string(), points.bank.to_string(), points.first),
        None => (*side, at.clone(), String::new(), 0),
    }
}
