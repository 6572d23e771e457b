//! Plugs that change places: which go, which come, and in which order hands move them. Sources and what hangs on outputs
//! alike; a microphone that is another one is another plug in the same socket.

use super::data::{Deed, Side, Step};
use super::steps::stage;
use crate::plan::{Plug, Points, Role, View};
use std::collections::{BTreeMap, BTreeSet};

/// A plug in a socket: what it is, and for a source its microphone.
pub(super) type Plugged = BTreeMap<Socket, What>;
pub(super) type Socket = (Side, String);
pub(super) type What = (String, Option<String>);

pub(super) fn plugged(view: &View) -> Plugged {
    let inward = |plug: &&Plug| ((Side::In, plug.at.clone()), (plug.source.clone(), plug.mic.clone()));
    let mut plugged: Plugged = view.plugs.iter().map(inward).collect();
    let leaves = |at: &str| Points::read(at).and_then(|at| view.bank(&at)).is_some_and(|bank| bank.role == Role::Out);
    for output in view.outputs.iter().filter(|output| leaves(&output.to)) {
        let what = output.label.as_ref().or(output.used_as.as_ref()).unwrap_or(&output.from);
        plugged.insert((Side::Out, output.to.clone()), (what.clone(), output.used_as.clone()));
    }
    plugged
}

/// What hangs on an output as before and is only called otherwise: its name is new, and the old one is nowhere.
pub(super) fn relabelled(was: &mut Plugged, now: &Plugged) -> Vec<Step> {
    let names = |of: &Plugged| of.values().map(|(what, _)| what.clone()).collect::<BTreeSet<_>>();
    let (before, after) = (names(was), names(now));
    let mut steps = Vec::new();
    for ((side, at), (what, used)) in was.iter_mut().filter(|((side, _), _)| *side == Side::Out) {
        let Some((new, new_use)) = now.get(&(*side, at.clone())) else { continue };
        if new != what && new_use == used && !before.contains(new) && !after.contains(what) {
            steps.push(stage(Deed::Relabel { at: at.clone(), was: what.clone(), now: new.clone() }));
            what.clone_from(new);
        }
    }
    steps
}

/// Plugs that change places.
pub(super) struct Moves<'v> {
    labels: BTreeMap<&'v str, &'v str>,
    /// Out of these, in the order of places.
    from: Vec<(Socket, String)>,
    /// Into these.
    to: Vec<(Socket, What)>,
}

impl<'v> Moves<'v> {
    pub fn of(was: &Plugged, now: &Plugged, exchanged: &BTreeSet<&str>, labels: BTreeMap<&'v str, &'v str>) -> Self {
        let on_new_gear = |at: &str| Points::read(at).is_some_and(|at| exchanged.contains(at.device));
        let other = |at: &Socket, what: &What, there: &Plugged| on_new_gear(&at.1) || there.get(at) != Some(what);
        let from = was.iter().filter(|(at, what)| other(at, what, now)).map(|(at, what)| (at.clone(), what.0.clone()));
        let to = now.iter().filter(|(at, what)| other(at, what, was)).map(|(at, what)| (at.clone(), what.clone()));
        let (mut from, mut to): (Vec<_>, Vec<_>) = (from.collect(), to.collect());
        from.sort_by_cached_key(|(at, _)| walked(at));
        to.sort_by_cached_key(|(at, _)| walked(at));
        Moves { labels, from, to }
    }

    fn unplug(&self, (side, at): &Socket, what: &str) -> Step {
        let called = self.called(*side, what);
        stage(Deed::Unplug { what: what.to_string(), called, at: at.clone(), side: *side })
    }

    fn plug(&self, (side, at): &Socket, (what, mic): &What) -> Step {
        let mic = mic.clone().filter(|_| *side == Side::In);
        stage(Deed::Plug { what: what.clone(), called: self.called(*side, what), at: at.clone(), side: *side, mic })
    }

    fn called(&self, side: Side, what: &str) -> String {
        let label = self.labels.get(what).filter(|_| side == Side::In);
        label.map_or_else(|| what.to_string(), |label| (*label).to_string())
    }

    pub fn places(&self) -> BTreeSet<&str> {
        let (from, to) = (self.from.iter().map(|(at, _)| at), self.to.iter().map(|(at, _)| at));
        from.chain(to).filter(|(side, _)| *side == Side::In).map(|(_, at)| at.as_str()).collect()
    }

    pub fn pulled(&self) -> Vec<Step> {
        self.from.iter().map(|(at, what)| self.unplug(at, what)).collect()
    }

    pub fn put(&self) -> Vec<Step> {
        self.to.iter().map(|(at, what)| self.plug(at, what)).collect()
    }

    /// What only goes first; then each plug from its old place straight to its new one as soon as that is free; of
    /// those that stand in each other's way one is pulled ahead.
    pub fn one_by_one(&self) -> Vec<Step> {
        let staying: BTreeSet<(Side, &str)> = self.to.iter().map(|(at, what)| (at.0, what.0.as_str())).collect();
        let (moving, going): (Vec<_>, Vec<_>) =
            self.from.iter().partition(|(at, what)| staying.contains(&(at.0, what.as_str())));
        let mut steps: Vec<Step> = going.into_iter().map(|(at, what)| self.unplug(at, what)).collect();
        let mut taken: BTreeMap<&Socket, usize> = moving.iter().zip(0..).map(|((at, _), n)| (at, n)).collect();
        let mut places: BTreeMap<(Side, &str), BTreeSet<usize>> = BTreeMap::new();
        for ((at, what), n) in moving.iter().zip(0..) {
            places.entry((at.0, what)).or_default().insert(n);
        }
        let wanted: BTreeMap<&Socket, usize> = self.to.iter().zip(0..).map(|((at, _), n)| (at, n)).collect();
        let mut ready: BTreeSet<usize> =
            wanted.iter().filter(|(at, _)| !taken.contains_key(*at)).map(|(_, n)| *n).collect();
        let mut waiting: BTreeSet<usize> = (0..moving.len()).collect();
        loop {
            let next = ready.pop_first().and_then(|n| self.to.get(n));
            let out = match next {
                Some((at, what)) => places.get(&(at.0, what.0.as_str())).and_then(|of| of.first().copied()),
                None => waiting.first().copied(),
            };
            if let Some((n, (at, what))) = out.and_then(|n| Some((n, moving.get(n)?))) {
                steps.push(self.unplug(at, what));
                taken.remove(at);
                waiting.remove(&n);
                places.get_mut(&(at.0, what.as_str())).map(|of| of.remove(&n));
                ready.extend(wanted.get(at));
            }
            match next {
                Some((at, what)) => steps.push(self.plug(at, what)),
                None if out.is_none() => return steps,
                None => {}
            }
        }
    }
}

/// Box by box, socket by socket.
fn walked((side, at): &Socket) -> (Side, String, String, u32) {
    match Points::read(at) {
        Some(points) => (*side, points.device.to_string(), points.bank.to_string(), points.first),
        None => (*side, at.clone(), String::new(), 0),
    }
}
