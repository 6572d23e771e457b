//! An act's input row takes the place of the house's row on its channel or socket. What went is noted, so
//! that nobody looks for it in vain.

use super::{Reading, numbers_span};
use crate::diagnostics::Diagnostic;
use crate::rig::Point;
use crate::wants::{Replaced, Scene, Spot};
use std::collections::{BTreeMap, BTreeSet};

/// The first row of the act on each channel and on each socket, by its place in the list.
#[derive(Default)]
struct Own {
    channels: BTreeMap<(u32, u32), usize>,
    sockets: BTreeMap<Point, usize>,
}

/// Takes out the house rows on whose channel or socket an act's own row stands.
pub(super) fn replace(scene: &mut Scene, readings: &mut Vec<Reading>, found: &mut Vec<Diagnostic>) {
    let own = first_on_each(readings);
    let mut gone = BTreeSet::new();
    for (index, reading) in readings.iter().enumerate().filter(|(_, reading)| reading.row.act.is_none()) {
        let taken: Vec<usize> = channels(reading).filter_map(|channel| own.channels.get(&channel).copied()).collect();
        if !taken.is_empty() && taken.len() < reading.channels.len() {
            found.push(part_of_a_row(reading, taken.len()));
        }
        let on_socket = sockets(reading).find_map(|point| own.sockets.get(&point).copied());
        if let Some(by) = taken.first().copied().or(on_socket).and_then(|by| readings.get(by)) {
            note(scene, reading, by);
            gone.insert(index);
        }
    }
    let mut index = 0;
    readings.retain(|reading| {
        index += 1;
        // A second want for a source that is gone goes with it.
        let own = reading.declares || reading.row.act.is_some();
        !gone.contains(&(index - 1)) && (own || !scene.replaced.contains_key(&reading.row.node.row.name.value))
    });
}

fn channels<'r>(reading: &'r Reading) -> impl Iterator<Item = (u32, u32)> + 'r {
    reading.channels.iter().filter_map(|channel| Some((reading.desk?, *channel)))
}

fn sockets<'r>(reading: &'r Reading) -> impl Iterator<Item = Point> + 'r {
    reading.spots.iter().flatten().filter_map(|spot| match spot {
        Spot::Socket(point) | Spot::Origin(point) => Some(*point),
        _ => None,
    })
}

fn first_on_each(readings: &[Reading]) -> Own {
    let mut own = Own::default();
    for (index, reading) in readings.iter().enumerate().filter(|(_, reading)| reading.row.act.is_some()) {
        for channel in channels(reading) {
            own.channels.entry(channel).or_insert(index);
        }
        for socket in sockets(reading) {
            own.sockets.entry(socket).or_insert(index);
        }
    }
    own
}

fn note(scene: &mut Scene, reading: &Reading, own: &Reading) {
    let row = &reading.row.node.row;
    if reading.declares {
        scene.replaced.insert(row.name.value.clone(), reading.spots.as_ref().map_or(1, Vec::len));
    }
    let name = &own.row.node.row.name.value;
    scene.rows_replaced.push(Replaced {
        name: row.name.value.clone(),
        row: row.span,
        source: reading.declares,
        by: own.row.act.as_ref().map_or_else(|| name.clone(), |act| format!("{act}.{name}")),
        at: own.row.node.row.span,
    });
}

fn part_of_a_row(reading: &Reading, taken: usize) -> Diagnostic {
    let (name, all) = (&reading.row.node.row.name.value, reading.channels.len());
    let message = format!("an act's row takes {taken} of the {all} channels of `{name}`, and the whole row goes");
    Diagnostic::warning("act-replaces-part-of-a-row", numbers_span(reading), message)
        .help("give the act rows for all its channels")
        .about(name.clone())
}
