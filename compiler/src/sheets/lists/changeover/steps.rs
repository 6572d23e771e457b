//! What is done at each socket between the acts, and what may have stood there.

use super::super::super::known::Known;
use super::super::whole::Whole;
use crate::plan::{Act, Changeover, Plug};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::BTreeSet;

/// One act and what leads to it.
pub(super) struct Turn<'k, 'p> {
    pub act: &'p Act,
    pub known: &'k Known<'p>,
    pub changeover: Changeover<'p>,
    pub steps: Vec<Step<'p>>,
}

/// What is done at a socket.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Do {
    Unplug,
    /// Or changed, or moved here.
    Plug,
    Nothing,
}

/// What a stage hand does at one socket.
pub(super) struct Step<'p> {
    pub at: &'p str,
    /// What stood there, by the acts that had it so.
    pub gone: Vec<(BTreeSet<&'p str>, &'p Plug)>,
    pub next: Option<&'p Plug>,
    /// Where the next one stood before.
    pub from: Option<&'p str>,
}

impl<'k, 'p> Turn<'k, 'p> {
    pub fn of(whole: &Whole<'_, 'p>, known: &'k Known<'p>, by_name: &FxHashMap<&str, &'k Known<'p>>) -> Option<Self> {
        let act = known.act?;
        let changeover = Changeover::to(whole.plan, act);
        let before = changeover.before.iter().filter_map(|act| by_name.get(act.act.as_str()).copied());
        let before: Vec<&Known> = before.collect();
        Some(Turn { act, known, steps: steps(act, &before), changeover })
    }

    /// What is done where.
    pub fn to_do(&self, what: Do) -> impl Iterator<Item = &Step<'p>> {
        let before = self.changeover.before.len();
        self.steps.iter().filter(move |step| step.to_do(before) == what)
    }

    /// The time for the changeover, past midnight too.
    pub fn minutes(&self) -> Option<u32> {
        const DAY: u32 = 24 * 60;
        let clock = |time: &str| {
            let (hours, minutes) = time.split_once(':')?;
            hours.parse::<u32>().ok()?.checked_mul(60)?.checked_add(minutes.parse().ok()?)
        };
        let [before] = self.changeover.before.as_slice() else { return None };
        let (from, until) = (clock(self.act.from.as_deref()?)?, clock(before.to.as_deref()?)?);
        Some((from % DAY + DAY - until % DAY) % DAY)
    }
}

/// By socket, in the plan's order: what this act plugs, then what only goes. House rows hold in every act.
fn steps<'p>(act: &'p Act, before: &[&Known<'p>]) -> Vec<Step<'p>> {
    let next: FxHashMap<&str, &Plug> = act.plugs.iter().map(|plug| (plug.at.as_str(), plug)).collect();
    let stood: FxHashMap<&str, &str> = before
        .iter()
        .filter_map(|known| known.act)
        .flat_map(|act| act.plugs.iter().map(|plug| (plug.source.as_str(), plug.at.as_str())))
        .collect();
    let mut order: Vec<&str> = act.plugs.iter().map(|plug| plug.at.as_str()).collect();
    let mut seen: FxHashSet<&str> = order.iter().copied().collect();
    let mut gone: FxHashMap<&str, Vec<(BTreeSet<&str>, &Plug)>> = FxHashMap::default();
    for (name, plugs) in before.iter().filter_map(|known| known.act).map(|act| (act.act.as_str(), &act.plugs)) {
        for plug in plugs {
            if seen.insert(&plug.at) {
                order.push(&plug.at);
            }
            let there = gone.entry(&plug.at).or_default();
            match there.iter_mut().find(|(_, other)| same(other, plug)) {
                Some((acts, _)) => drop(acts.insert(name)),
                None => there.push((BTreeSet::from([name]), plug)),
            }
        }
    }
    let step = |at| {
        let next = next.get(at).copied();
        let from = next.and_then(|next| stood.get(next.source.as_str()).copied()).filter(|from| *from != at);
        Step { at, gone: gone.remove(at).unwrap_or_default(), next, from }
    };
    order.into_iter().map(step).collect()
}

pub(super) fn same(one: &Plug, other: &Plug) -> bool {
    (&one.source, &one.mic, &one.stand) == (&other.source, &other.mic, &other.stand)
}

impl Step<'_> {
    pub fn to_do(&self, acts_before: usize) -> Do {
        let Some(next) = self.next else { return Do::Unplug };
        let had: usize = self.gone.iter().map(|(acts, _)| acts.len()).sum();
        let stays = acts_before > 0 && had == acts_before && self.gone.iter().all(|(_, gone)| same(gone, next));
        if stays { Do::Nothing } else { Do::Plug }
    }
}
