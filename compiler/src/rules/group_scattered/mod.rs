//! The members of a group stand on channels of one desk with channels of others between them.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::Point;
use crate::rules::say::{names, numbers};
use crate::rules::{Facts, Seen};
use crate::source::Span;
use crate::wants::{RowKind, Target, WantKind};
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    slug: "group-scattered",
    code: "C081",
    severity: Severity::Note,
    prerequisites: &["unknown-name", "channel-used-twice"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let channels = Channels::of(seen);
    let groups = seen.scene.groups.iter();
    groups
        .filter_map(|(name, (members, speaker))| {
            let sources = seen.scene.targets(members, None, *speaker, &mut Vec::new())?;
            let sources = sources.into_iter().filter_map(|what| match what {
                Target::Source(source) => Some(source),
                Target::Point(_) => None,
            });
            told(seen, &channels, name, members.span, &sources.collect())
        })
        .collect()
}

/// Where the rows that declare them put the sources.
struct Channels {
    of: BTreeMap<usize, Point>,
    taken: BTreeMap<Point, usize>,
}

impl Channels {
    fn of(seen: &Seen) -> Channels {
        let declares = |row: usize| seen.scene.rows.get(row).is_some_and(|row| row.kind == RowKind::Input);
        let mut channels = Channels { of: BTreeMap::new(), taken: BTreeMap::new() };
        for want in seen.scene.wants.iter().filter(|want| want.kind == WantKind::Channel) {
            let Target::Source(source) = want.what else { continue };
            channels.taken.insert(want.end, source);
            if declares(want.row) {
                channels.of.insert(source, want.end);
            }
        }
        channels
    }

    /// The first channels side by side that nobody has.
    fn free(&self, first: Point, size: u32, count: u32) -> Option<u32> {
        let mut run = 0;
        for number in 1..=size {
            run = if self.taken.contains_key(&Point { number, ..first }) { 0 } else { run + 1 };
            if run == count {
                return Some(number + 1 - count);
            }
        }
        None
    }
}

fn told(seen: &Seen, channels: &Channels, name: &str, span: Span, members: &BTreeSet<usize>) -> Option<Diagnostic> {
    // A spare stands where there is room.
    let members: Vec<usize> =
        members.iter().copied().filter(|m| seen.scene.source(*m).is_some_and(|m| !m.spare)).collect();
    let places: Option<BTreeSet<Point>> = members.iter().map(|member| channels.of.get(member).copied()).collect();
    let places = places?;
    let (first, last) = (*places.first()?, *places.last()?);
    if first.device != last.device {
        return None;
    }
    let between = channels.taken.range(first..=last).filter(|(_, source)| !members.contains(source));
    let mut others: Vec<&str> =
        between.filter_map(|(_, source)| Some(seen.scene.source(*source)?.name.as_str())).collect();
    others.dedup();
    if others.is_empty() {
        return None;
    }
    let desk = seen.rig.device_name(first.device);
    let on: Vec<u32> = places.iter().map(|place| place.number).collect();
    let message =
        format!("group `{name}` is on channels {} of `{desk}`, with {} in between", numbers(&on), names(&others));
    let count = u32::try_from(on.len()).ok()?;
    let size = seen.rig.lane_at(first).map_or(0, |lane| lane.size);
    let help = match channels.free(first, size, count) {
        Some(start) => format!("channels {start}-{} are free side by side", start + count - 1),
        None => "put them side by side, in the order in which they stand".to_string(),
    };
    Some(Diagnostic::note(RULE.slug, span, message).help(help).about(name))
}
