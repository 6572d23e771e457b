//! A line that must not get phantom plugs in where the act before had it on. What gives microphone level may be
//! destroyed by it: that is `phantom-left-on-a-ribbon`.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::draft::{preamps_of, supplier};
use crate::plan::{Role, acts_before};
use crate::rig::{KindFact, LaneKind, Point, Rig};
use crate::rules::{Facts, Seen};
use crate::source::Span;
use crate::syntax::ast::PhantomPolicy;
use crate::wants::Source;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    slug: "phantom-left-from-act-before",
    code: "C030",
    severity: Severity::Warning,
    prerequisites: &["phantom-forbidden", "phantom-shared-switch"],
    page: include_str!("rule.md"),
};

/// Device, bank and first socket of what one switch serves. By name: an act may bring gear of its own.
type Switch = (String, String, u32);

/// The switches that are on, each with the source that asks for it and where.
type On = BTreeMap<Switch, (String, Span)>;

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    left_on(
        facts,
        |kind| kind.signal != "mic",
        |at, message, free| {
            let help = match free {
                Some(free) => format!("plug it into `{free}`; else 48 V off, wait, then plug"),
                None => "48 V off at the changeover, wait, then plug".to_string(),
            };
            Diagnostic::warning(RULE.slug, at, message).help(help)
        },
    )
}

/// Tells a message at its place; with the first socket that had no 48 V, where one is free.
pub type Say = fn(Span, String, Option<String>) -> Diagnostic;

/// What is told of the sources of some kinds that never take phantom.
pub fn left_on(facts: &Facts, of: fn(&KindFact) -> bool, say: Say) -> Vec<Diagnostic> {
    let on: Vec<On> = facts.all_seen().iter().map(on).collect();
    let timed: Vec<bool> = facts.show.acts.iter().map(|act| act.from.is_some()).collect();
    facts.each_scene(|seen| {
        let before = acts_before(&timed, seen.number);
        let before = before.into_iter().filter_map(|act| Some((facts.scenes.get(act)?.act.as_deref()?, on.get(act)?)));
        let before: Vec<(&str, &On)> = before.collect();
        let concerned = |source: &usize| {
            let mic = seen.scene.source(*source).and_then(|source| source.mic.as_ref());
            mic.is_some_and(|mic| mic.kind.phantom == PhantomPolicy::Never && of(&mic.kind))
        };
        // Also what comes out of gear that others bring, by a line into such a socket.
        let plugs = seen.plugs.iter().chain(seen.given).filter(|(_, source)| concerned(source));
        plugs.filter_map(|(plug, source)| told(seen, *plug, *source, &before, say)).collect()
    })
}

fn on(seen: &Seen) -> On {
    let mut on = On::new();
    for (plug, source) in seen.plugs {
        let Some(source) = seen.scene.source(*source) else { continue };
        let supplied = source.phantom.and_then(|_| supplier(seen.scene, source, &preamps_of(seen.rig, *plug)));
        if let Some((switch, place)) = supplied.and_then(|socket| switch(seen.rig, socket)).zip(place(seen, source)) {
            on.entry(switch).or_insert_with(|| (source.name.clone(), place));
        }
    }
    on
}

fn place(seen: &Seen, source: &Source) -> Option<Span> {
    seen.scene.rows.get(source.row).map(|row| row.place.unwrap_or(row.span))
}

fn switch(rig: &Rig, socket: Point) -> Option<Switch> {
    let lane = rig.lane_at(socket).filter(|lane| lane.phantom > 0)?;
    let first = (socket.number - 1) / lane.phantom * lane.phantom + 1;
    Some((rig.device_name(socket.device).to_string(), lane.name.clone(), first))
}

/// Every switch whose 48 V would get to a plug.
fn switches(rig: &Rig, plug: Point) -> Vec<(Point, Switch)> {
    let preamps = preamps_of(rig, plug).into_iter().filter(|preamp| !preamp.isolated);
    preamps.filter_map(|preamp| Some((preamp.socket, switch(rig, preamp.socket)?))).collect()
}

fn told(seen: &Seen, plug: Point, source: usize, before: &[(&str, &On)], say: Say) -> Option<Diagnostic> {
    let source = seen.scene.source(source)?;
    let mic = source.mic.as_ref()?;
    let had =
        |(socket, switch): (Point, Switch)| before.iter().find_map(|(act, on)| Some((socket, *act, on.get(&switch)?)));
    let (socket, act, (asking, asked)) = switches(seen.rig, plug).into_iter().find_map(had)?;
    let message = format!(
        "`{}` is a {} and plugs into `{}`, where act `{act}` has 48 V on",
        source.name,
        mic.label,
        seen.rig.point_text(socket),
    );
    let free = free(seen, plug, before).map(|free| seen.rig.point_text(free));
    Some(
        say(place(seen, source)?, message, free)
            .label(*asked, format!("`{asking}` asks for it here"))
            .about(source.name.clone()),
    )
}

/// The first socket of the same bank that is free here and had no 48 V.
fn free(seen: &Seen, plug: Point, before: &[(&str, &On)]) -> Option<Point> {
    let size = seen.rig.lane_at(plug).filter(|lane| lane.kind == LaneKind::Bank(Role::In))?.size;
    let had = |point: Point| {
        switches(seen.rig, point).iter().any(|(_, switch)| before.iter().any(|(_, on)| on.contains_key(switch)))
    };
    let usable = |point: &Point| {
        let taken = seen.plugs.contains_key(point) || seen.rig.brought_to(*point).is_some();
        !taken && !seen.rig.out_of_use(*point) && !had(*point)
    };
    (1..=size).map(|number| Point { number, ..plug }).find(usable)
}
