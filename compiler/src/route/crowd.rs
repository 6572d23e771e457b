//! Pigeonholes: signals that all must pass one bank need a point of it each. Where a matching finds no
//! point for one of them, no search can.

use super::graph::Node;
use super::search::{State, Task};
use super::switches::What;
use std::collections::{BTreeMap, BTreeSet};

/// A row of points that signals pass: lanes of one device in one scene, or all open sockets of it.
type Place = (usize, Row);
/// One lane, or all open sockets.
type Row = Option<(u32, u32)>;
/// The points of rows that ways cross.
type Crossed = BTreeMap<Row, BTreeSet<u64>>;

/// Does every row of points have room for the goals that cannot go round it?
pub fn has_room(task: &Task, state: &State) -> bool {
    let mut needs: BTreeMap<Place, BTreeMap<Node, BTreeSet<u64>>> = BTreeMap::new();
    for (number, item) in task.items.iter().enumerate().filter(|(_, item)| item.own) {
        let Some(alive) = state.alive.get(number) else { continue };
        for (place, points) in crossed_by_all(task, number, alive) {
            let entry = needs.entry((item.goal.0, place)).or_default();
            // Of several wants for one goal any may speak; the narrowest says most.
            match entry.get(&item.goal.1) {
                Some(known) if known.len() <= points.len() => {}
                _ => {
                    entry.insert(item.goal.1, points);
                }
            }
        }
    }
    needs.values().all(|goals| matched(goals.values()))
}

/// Places that all these ways cross, with the points at which they do.
fn crossed_by_all(task: &Task, item: usize, alive: &[u32]) -> Vec<(Row, BTreeSet<u64>)> {
    let mut common: Option<Crossed> = None;
    for way in alive.iter().filter_map(|way| task.way(item, *way)) {
        let mut here: Crossed = BTreeMap::new();
        // The end itself is the want's own.
        for point in way.points.iter().skip(1) {
            here.entry(Some((point.device, point.lane))).or_default().insert(u64::from(point.number));
        }
        for literal in &way.literals {
            if let Some(What::Occupant { .. }) = task.switches.get(literal.switch).map(|switch| &switch.what) {
                here.entry(None).or_default().insert(u64::from(literal.switch.0));
            }
        }
        common = Some(match common {
            None => here,
            Some(mut before) => {
                before.retain(|place, points| here.get(place).map(|more| points.extend(more)).is_some());
                before
            }
        });
    }
    common.unwrap_or_default().into_iter().collect()
}

/// Can each set be given a member of its own? Kuhn's augmenting paths.
fn matched<'a>(sets: impl Iterator<Item = &'a BTreeSet<u64>>) -> bool {
    let sets: Vec<&BTreeSet<u64>> = sets.collect();
    let mut holder: BTreeMap<u64, usize> = BTreeMap::new();
    (0..sets.len()).all(|set| augment(set, &sets, &mut holder, &mut BTreeSet::new()))
}

fn augment(set: usize, sets: &[&BTreeSet<u64>], holder: &mut BTreeMap<u64, usize>, tried: &mut BTreeSet<u64>) -> bool {
    for member in sets.get(set).into_iter().flat_map(|members| members.iter()) {
        if !tried.insert(*member) {
            continue;
        }
        let free = match holder.get(member).copied() {
            None => true,
            Some(other) => augment(other, sets, holder, tried),
        };
        if free {
            holder.insert(*member, set);
            return true;
        }
    }
    false
}
