//! The whole way of each source, by the points that it passes and in words: what a form lights when somebody asks
//! for a source.

use super::known::Known;
use super::sheet::PathOf;
use crate::plan::{Plan, Points, Signal};
use std::collections::BTreeSet;

/// What holds in the house, then what each act has otherwise, in the order of the plan.
pub(super) fn all(plan: &Plan, house: &Known, acts: &[Known]) -> Vec<PathOf> {
    let of_house = plan.signals.iter().map(|signal| path(house, None, signal));
    let of_acts = plan.acts.iter().zip(acts).flat_map(|(act, known)| {
        let of_act = move |signal| path(known, Some(&act.act), signal);
        act.signals.iter().map(of_act)
    });
    of_house.chain(of_acts).collect()
}

fn path(known: &Known, act: Option<&str>, signal: &Signal) -> PathOf {
    let mut taken = BTreeSet::new();
    let names = signal.ends.iter().flat_map(|end| &end.path).flat_map(|at| [Some(at.clone()), known.slot_there(at)]);
    PathOf {
        source: signal.source.clone(),
        label: signal.label.clone(),
        act: act.map(String::from),
        points: names.flatten().filter(|at| taken.insert(at.clone())).collect(),
        said: said(known, signal),
    }
}

/// `Drums in 1 → Stage in 1 → FOH channel 1, FOH track 1`: a line for each way that ends part from. What no row
/// asks for is left out where any row asks.
fn said(known: &Known, signal: &Signal) -> Vec<String> {
    let asked = signal.ends.iter().any(|end| end.asked);
    let (mut lines, mut before): (Vec<String>, &[String]) = (Vec::new(), &[]);
    for end in signal.ends.iter().filter(|end| end.asked || !asked) {
        let Some((last, way)) = end.path.split_last() else { continue };
        match lines.last_mut() {
            Some(line) if way == before => line.extend([", ", &called(known, last)]),
            _ => lines.push(end.path.iter().map(|at| called(known, at)).collect::<Vec<_>>().join(" → ")),
        }
        before = way;
    }
    lines
}

/// `Drum riser in 3`: a point by its device's label.
fn called(known: &Known, at: &str) -> String {
    let Some(Points { device, bank, first, .. }) = Points::read(at) else { return at.to_string() };
    format!("{} {bank} {first}", known.called(device))
}
