//! A line has another number at each of several places on its way to the preamp.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::{Point, ways_to_preamps};
use crate::rules::say::{names, way};
use crate::rules::{Facts, Seen};
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    slug: "renumbered-on-the-way",
    code: "C075",
    severity: Severity::Note,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

/// Once is what a sub-snake does wherever it does not begin at socket 1.
const FEW: usize = 1;

/// A step that changes the number: from which row of sockets to which, and by how much.
type Step = ((u32, u32), (u32, u32), i64);

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    // Lines that are laid together are told together, at the lowest.
    let mut told: BTreeMap<Vec<Step>, (usize, Vec<Point>, Vec<usize>)> = BTreeMap::new();
    for (plug, source) in seen.plugs {
        for way in ways_to_preamps(seen.rig, *plug) {
            let steps = changes(&way);
            if steps.len() > FEW {
                let (_, _, others) = told.entry(steps).or_insert_with(|| (*source, way, Vec::new()));
                others.push(*source);
            }
        }
    }
    told.into_values().filter_map(|(first, way, all)| tell(seen, first, &way, &all)).collect()
}

fn changes(way: &[Point]) -> Vec<Step> {
    let pairs = way.iter().zip(way.iter().skip(1));
    let changed = pairs.filter(|(from, to)| from.number != to.number);
    let step = |(from, to): (&Point, &Point)| {
        ((from.device, from.lane), (to.device, to.lane), i64::from(to.number) - i64::from(from.number))
    };
    changed.map(step).collect()
}

fn tell(seen: &Seen, first: usize, points: &[Point], all: &[usize]) -> Option<Diagnostic> {
    let source = seen.scene.source(first)?;
    let row = seen.scene.rows.get(source.row)?;
    let mut numbers: Vec<u32> = points.iter().map(|point| point.number).collect();
    numbers.dedup();
    let numbers: Vec<String> = numbers.iter().map(u32::to_string).collect();
    let message =
        format!("the line of `{}` is called {} on its way to the preamp", source.name, numbers.join(", then "));
    let mut problem = Diagnostic::note(RULE.slug, row.place.unwrap_or(row.span), message)
        .help(format!("its way: {}", way(seen.rig, points)));
    for (from, to) in points.iter().zip(points.iter().skip(1)).filter(|(from, to)| from.number != to.number) {
        let run = seen.rig.runs.iter().find(|run| {
            let step = from.number.checked_sub(run.from.number);
            (run.from.device, run.from.lane) == (from.device, from.lane)
                && step.is_some_and(|step| step < run.count && run.to.number + step == to.number)
                && (run.to.device, run.to.lane) == (to.device, to.lane)
        });
        if let Some(run) = run {
            problem = problem.label(run.span, format!("{} becomes {} here", from.number, to.number));
        }
    }
    let others: Vec<&str> = all
        .iter()
        .filter(|other| **other != first)
        .filter_map(|other| Some(seen.scene.source(*other)?.name.as_str()))
        .collect();
    if !others.is_empty() {
        problem = problem.help(format!("so it is with {}", names(&others)));
    }
    Some(problem.help("lay the lines one to one and let the desk's own patch reorder them").about(source.name.clone()))
}
