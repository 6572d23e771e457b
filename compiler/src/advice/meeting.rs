//! Boxes whose offsets, as said, take the same slots: for outputs that clash over it, another offset is the
//! change to try before any row moves.

use super::candidates::{Attr, Candidate, attr_span, moving_take, offsets_of};
use crate::Analysis;
use crate::rig::Rig;
use crate::route::Unit;
use crate::source::Span;
use crate::wants::RowKind;

/// Offsets to try for the boxes that the rows' outputs stand on, the farther box first.
pub fn offsets(analysis: &Analysis, units: &[Unit]) -> Vec<Candidate> {
    let meet = meeting(analysis, units);
    let Some(rig) = units.first().and_then(|unit| analysis.scenes.get(unit.scene)).map(|scene| &scene.rig) else {
        return Vec::new();
    };
    let said = |device: &u32| -> Option<(Span, String)> {
        let fact = rig.device(*device)?;
        let span = attr_span(analysis, &fact.name, Attr::Offset)?;
        Some((span, format!("`{}` takes its outputs from slot {} on", fact.name, fact.offset.as_ref()?.value)))
    };
    let shows: Vec<(Span, String)> = meet.iter().filter_map(said).collect();
    let mut list: Vec<Candidate> = meet.iter().rev().flat_map(|device| offsets_of(analysis, rig, *device)).collect();
    for candidate in &mut list {
        candidate.shows = shows.clone();
    }
    list
}

/// Those of the boxes that share a slot with another of them, in the order of the chain.
fn meeting(analysis: &Analysis, units: &[Unit]) -> Vec<u32> {
    let mut boxes: Vec<u32> = Vec::new();
    let Some(first) = units.first() else { return boxes };
    let Some(scene) = analysis.scenes.get(first.scene) else { return boxes };
    let output = |row: usize| scene.rows.get(row).is_some_and(|row| row.kind == RowKind::Output);
    for unit in units.iter().filter(|unit| unit.scene == first.scene && output(unit.row)) {
        boxes.extend(scene.outputs.iter().filter(|out| out.row == unit.row).map(|out| out.to.device));
    }
    let rig = &scene.rig;
    let place = |device: &u32| rig.walk_order().iter().position(|known| known == device);
    boxes.sort_by_key(place);
    boxes.dedup();
    let met = |one: &u32| {
        boxes.iter().any(|other| one != other && slots(rig, *one).zip(slots(rig, *other)).is_some_and(overlap))
    };
    boxes.iter().copied().filter(met).collect()
}

fn overlap(((a, b), (c, d)): ((u32, u32), (u32, u32))) -> bool {
    a <= d && c <= b
}

/// The first and last slot that a box's outputs take, by the offset that is said.
fn slots(rig: &Rig, device: u32) -> Option<(u32, u32)> {
    let said = rig.device(device)?.offset.as_ref()?.value;
    let take = moving_take(rig, device)?;
    let size = rig.model(device)?.lane(take.bank)?.size;
    Some((said, said.checked_add(size)?.checked_sub(1)?))
}
