//! Channels that a desk has not. Where the list as a whole needs more than there are, that is one thing to
//! tell, with the rows to drop; else each row is told for itself.

use super::Reading;
use crate::diagnostics::{Diagnostic, Vacancy, counted};
use crate::project::attrs;
use crate::rig::beyond;
use crate::syntax::ast::{Priority, Range};
use crate::wants::Scene;
use std::collections::{BTreeMap, BTreeSet};

/// No list is longer; a number past this is a slip of the finger.
const LONGEST: u32 = 1024;

/// A desk's list, as far as its channels can be read.
#[derive(Default)]
struct List<'a> {
    rows: Vec<&'a Reading<'a>>,
    past: Vec<(&'a Reading<'a>, Range)>,
}

/// Tells every channel that is not there. Rows that a row of the act replaces are no longer among `readings`.
pub(super) fn tell(scene: &Scene, readings: &[Reading], found: &mut Vec<Diagnostic>) {
    let mut lists: BTreeMap<u32, List> = BTreeMap::new();
    for reading in readings {
        let Some(desk) = reading.desk else { continue };
        let list = lists.entry(desk).or_default();
        list.rows.push(reading);
        list.past.extend(reading.past.iter().map(|range| (reading, *range)));
    }
    for (desk, list) in lists.iter().filter(|(_, list)| !list.past.is_empty()) {
        let Some(size) = channels_of(scene, *desk) else { continue };
        match too_long(scene, *desk, size, list) {
            Some(told) => found.push(told),
            None => each(scene, *desk, size, list, found),
        }
    }
}

/// How many channels a desk has.
fn channels_of(scene: &Scene, desk: u32) -> Option<u32> {
    let model = scene.rig.model(desk)?;
    Some(model.lane(model.bank("channel")?)?.size)
}

/// The channels that a row needs, there or not.
fn needs(reading: &Reading) -> impl Iterator<Item = u32> {
    let numbers = reading.row.node.row.channels.iter().flat_map(|numbers| &numbers.ranges);
    numbers.flat_map(|range| range.first..=range.last.min(LONGEST))
}

fn too_long(scene: &Scene, desk: u32, size: u32, list: &List) -> Option<Diagnostic> {
    let needed = list.rows.iter().flat_map(|row| needs(row)).collect::<BTreeSet<u32>>().len();
    let slip = list.past.iter().any(|(_, range)| range.first == 0 || range.last > LONGEST);
    let over = needed.checked_sub(size as usize).filter(|over| *over > 0 && !slip)?;
    let (at, name) =
        (list.past.iter().map(|(_, range)| range).min_by_key(|range| range.first)?, scene.rig.device_name(desk));
    let message = format!("the list of `{name}` needs {}, and `{name}` has {size}", counted(needed, "channel"));
    let mut problem = Diagnostic::error("list-longer-than-the-desk", at.span, message).about(name);
    if let Some(device) = scene.rig.device(desk) {
        problem = problem.label(device.span, format!("`{name}` has channels 1-{size}"));
    }
    let drop = format!("leave out {}, lowest priority first: {}", counted(over, "channel"), drops(&list.rows, over));
    Some(problem.help(drop).help("move the rows that stay to the channels that this frees, or bring a larger desk"))
}

/// Rows to leave out, lowest priority first; of one priority those at the end of the list.
fn drops(rows: &[&Reading], over: usize) -> String {
    let mut rows: Vec<&Reading> = rows.to_vec();
    let highest = |row: &Reading| row.row.node.row.channels.iter().flat_map(|n| &n.ranges).map(|r| r.last).max();
    rows.sort_by_key(|row| (priority(row), std::cmp::Reverse(highest(row))));
    let mut left = over;
    let mut parts: Vec<(Priority, Vec<String>)> = Vec::new();
    for row in rows {
        if left == 0 {
            break;
        }
        left = left.saturating_sub(needs(row).count());
        let name = format!("`{}`", row.row.node.row.name.value);
        match parts.last_mut().filter(|(known, _)| *known == priority(row)) {
            Some((_, names)) => names.push(name),
            None => parts.push((priority(row), vec![name])),
        }
    }
    let part = |(priority, names): &(Priority, Vec<String>)| format!("{} ({})", names.join(", "), priority.word());
    parts.iter().map(part).collect::<Vec<_>>().join(", then ")
}

fn priority(reading: &Reading) -> Priority {
    attrs::priority(&reading.row.node.row.attrs).map_or(Priority::Should, |(priority, _)| priority.value)
}

/// The list fits: each row is told for itself. Which channels are free, `free` adds.
fn each(scene: &Scene, desk: u32, size: u32, list: &List, found: &mut Vec<Diagnostic>) {
    let name = scene.rig.device_name(desk);
    for (_, range) in &list.past {
        let message = format!("`{name}` has channels 1-{size}; there is no {}", beyond(*range, size));
        let help = format!("use a channel from 1 to {size}");
        found.push(Diagnostic::error("no-such-point", range.span, message).help_with(Vacancy::Beside, help));
    }
}
