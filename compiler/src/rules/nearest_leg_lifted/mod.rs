//! The leg of a split that must hold the ground is lifted: of those wired straight the one with the shortest
//! cable way to its desk, or one that supplies 48 V. A leg behind a transformer is made to be lifted, while one
//! that is wired straight holds. No message here ever advises to lift a mains earth.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::draft::supplier;
use crate::rig::{Rig, Run, metres, preamps_of, ways_to_preamps};
use crate::rules::{Facts, Seen};
use crate::source::Span;
use crate::syntax::ast::DeviceWord;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    slug: "nearest-leg-lifted",
    code: "C052",
    severity: Severity::Error,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

/// Device and bank.
type LegId = (u32, u32);

/// A leg from which a cable goes.
struct Leg {
    lane: u32,
    /// Behind a transformer.
    isolated: bool,
    /// The cable way to where its copper ends; `None` where a length is not said.
    way_m: Option<f64>,
    lifted: Option<Span>,
    /// Where its first cable is said.
    cable: Span,
}

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let splits = (0u32..).zip(&seen.rig.devices).filter(|(_, device)| !device.lifted.is_empty());
    // A leg that could not be laid has been told.
    let splits: Vec<u32> = splits.map(|(at, _)| at).filter(|split| !seen.rig.lines_refused(*split)).collect();
    if splits.is_empty() {
        return Vec::new();
    }
    let supplies = supplies(seen);
    splits.into_iter().flat_map(|split| of_split(seen.rig, split, &supplies)).collect()
}

/// The legs that some source gets its 48 V over, each with the first such source and where it asks.
fn supplies(seen: &Seen) -> BTreeMap<LegId, (String, Span)> {
    let mut legs = BTreeMap::new();
    for (plug, source) in seen.plugs {
        let Some(source) = seen.scene.source(*source) else { continue };
        let Some(asked) = source.phantom else { continue };
        let Some(socket) = supplier(seen.scene, source, &preamps_of(seen.rig, *plug)) else { continue };
        let ways = ways_to_preamps(seen.rig, *plug);
        for point in ways.iter().filter(|way| way.last() == Some(&socket)).flatten() {
            legs.entry((point.device, point.lane)).or_insert_with(|| (source.name.clone(), asked));
        }
    }
    legs
}

fn of_split(rig: &Rig, split: u32, supplies: &BTreeMap<LegId, (String, Span)>) -> Vec<Diagnostic> {
    let legs = legs(rig, split);
    let supplying = |leg: &&Leg| leg.lifted.is_some() && supplies.contains_key(&(split, leg.lane));
    let mut told: Vec<Diagnostic> =
        legs.iter().filter(supplying).filter_map(|leg| cuts(rig, split, leg, supplies)).collect();
    let nearest = nearest(&legs).filter(|leg| leg.lifted.is_some() && !supplying(leg));
    told.extend(nearest.and_then(|leg| holds_no_ground(rig, split, leg)));
    // With no length said, one of them must hold it all the same.
    let none_left = legs.iter().all(|leg| leg.lifted.is_some());
    if told.is_empty() && none_left {
        told.extend(legs.first().and_then(|leg| all_lifted(rig, split, leg)));
    }
    told
}

fn legs(rig: &Rig, split: u32) -> Vec<Leg> {
    let mut legs: Vec<Leg> = Vec::new();
    let lifted = rig.device(split).map(|device| device.lifted.as_slice()).unwrap_or_default();
    for run in rig.runs.iter().filter(|run| run.from.device == split) {
        let way_m = way(rig, run, MOST_PIECES);
        if let Some(leg) = legs.iter_mut().find(|leg| leg.lane == run.from.lane) {
            leg.way_m = leg.way_m.zip(way_m).map(|(a, b)| a.min(b));
            continue;
        }
        let lane = run.from.lane;
        let lifted = lifted.iter().find(|at| at.value == lane).map(|at| at.span);
        let isolated = rig.lane(split, lane).is_some_and(|lane| lane.isolated);
        legs.push(Leg { lane, isolated, way_m, lifted, cable: run.span });
    }
    legs
}

/// How many passive pieces stand behind one another at most.
const MOST_PIECES: usize = 4;

/// A run's length with that of the passive pieces behind it.
fn way(rig: &Rig, run: &Run, pieces: usize) -> Option<f64> {
    let own = metres(run.said.as_ref()?)?;
    let passive = matches!(rig.device(run.to.device)?.word, DeviceWord::Snake | DeviceWord::Split);
    if !passive || pieces == 0 {
        return Some(own);
    }
    let onward = rig.runs.iter().filter(|next| next.from.device == run.to.device);
    let onward = onward.map(|next| way(rig, next, pieces - 1)).collect::<Option<Vec<f64>>>()?;
    Some(own + onward.into_iter().reduce(f64::min).unwrap_or(0.0))
}

/// The one leg that is nearer than every leg that is not lifted; `None` where a length that could be
/// shorter is not said.
fn nearest(legs: &[Leg]) -> Option<&Leg> {
    let open = legs.iter().filter(|leg| leg.lifted.is_none()).map(|leg| leg.way_m);
    let open = open.collect::<Option<Vec<f64>>>()?.into_iter().fold(f64::INFINITY, f64::min);
    let held_straight = legs.iter().any(|leg| leg.lifted.is_none() && !leg.isolated);
    let lifted = legs.iter().filter(|leg| leg.lifted.is_some() && !(leg.isolated && held_straight));
    let known = lifted.filter_map(|leg| Some((leg.way_m?, leg)));
    let (way, leg) = known.min_by(|(a, _), (b, _)| a.total_cmp(b))?;
    (way < open).then_some(leg)
}

fn cuts(rig: &Rig, split: u32, leg: &Leg, supplies: &BTreeMap<LegId, (String, Span)>) -> Option<Diagnostic> {
    let (source, asked) = supplies.get(&(split, leg.lane))?;
    let name = &rig.lane(split, leg.lane)?.name;
    let text = format!("{}.{name}", rig.device_name(split));
    let message = format!("`{text}` is lifted and supplies the 48 V of `{source}`, whose way back is that ground");
    Some(
        Diagnostic::error(RULE.slug, leg.lifted?, message)
            .label(*asked, format!("`{source}` asks for 48 V here"))
            .help(format!("take `{name}` out of `lifted`, and lift legs that supply no 48 V; never lift a mains earth"))
            .about(rig.device_name(split).to_string()),
    )
}

fn holds_no_ground(rig: &Rig, split: u32, leg: &Leg) -> Option<Diagnostic> {
    let name = &rig.lane(split, leg.lane)?.name;
    let text = format!("{}.{name}", rig.device_name(split));
    let message = format!(
        "`{text}` is lifted and has the shortest cable way, {} m: that desk must hold the ground of what is plugged in",
        (leg.way_m? * 10.0).round() / 10.0,
    );
    Some(
        Diagnostic::error(RULE.slug, leg.lifted?, message)
            .label(leg.cable, "its cable")
            .help(format!(
                "take `{name}` out of `lifted` and, if it hums, lift the longer legs; never lift a mains earth"
            ))
            .about(rig.device_name(split).to_string()),
    )
}

fn all_lifted(rig: &Rig, split: u32, leg: &Leg) -> Option<Diagnostic> {
    let name = rig.device_name(split);
    let message =
        format!("every leg of `{name}` that is cabled is lifted: nothing holds the ground of what is plugged in");
    Some(
        Diagnostic::error(RULE.slug, leg.lifted?, message)
            .help("leave the leg with the shortest cable way to its desk out of `lifted`; never lift a mains earth")
            .about(name.to_string()),
    )
}
