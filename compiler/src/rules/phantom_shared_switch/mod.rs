//! One switch of phantom serves several sockets, and one of them must not get any.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::draft::{preamps_of, supplier};
use crate::plan::Role;
use crate::rig::{Lane, LaneKind, Point};
use crate::rules::{Facts, Seen};
use crate::source::Span;
use crate::syntax::ast::PhantomPolicy;
use crate::wants::Source;
use crate::wants::free::Free;
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    slug: "phantom-shared-switch",
    code: "C003",
    severity: Severity::Error,
    prerequisites: &["phantom-forbidden"],
    page: include_str!("rule.md"),
};

/// Device, bank and first socket of a group on one switch.
type Switch = (u32, u32, u32);

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let mut on: BTreeMap<Switch, &Source> = BTreeMap::new();
    for (plug, source) in seen.plugs {
        let Some(source) = seen.scene.source(*source).filter(|source| source.phantom.is_some()) else { continue };
        let supplier = supplier(seen.scene, source, &preamps_of(seen.rig, *plug));
        if let Some(switch) = supplier.and_then(|socket| shared_switch(seen, socket)) {
            on.entry(switch).or_insert(source);
        }
    }
    if on.is_empty() {
        return Vec::new();
    }
    let mut told_of = BTreeSet::new();
    // A socket that one message has given away is not offered again.
    let mut given_away = BTreeSet::new();
    let mut hit = |(plug, source): (&Point, &usize)| {
        let source = seen.scene.source(*source)?;
        let mic = source.mic.as_ref().filter(|mic| mic.kind.phantom == PhantomPolicy::Never)?;
        let (switch, asking) = reached(seen, *plug, &on).filter(|(_, asking)| asking.name != source.name)?;
        if !told_of.insert((source.row, switch)) {
            return None;
        }
        told(seen, source, &mic.label, asking, switch, &mut given_away)
    };
    // Also what comes out of gear that others bring, by a line into such a socket.
    let mut found: Vec<Diagnostic> = seen.plugs.iter().chain(seen.given).filter_map(&mut hit).collect();
    found.extend(reserved(seen, &on));
    found
}

/// The first switch that is on and whose 48 V gets to a point, with the source that asks for it.
fn reached<'a>(seen: &Seen, point: Point, on: &BTreeMap<Switch, &'a Source>) -> Option<(Switch, &'a Source)> {
    let preamps = preamps_of(seen.rig, point);
    preamps.iter().filter(|preamp| !preamp.isolated).find_map(|preamp| {
        let switch = shared_switch(seen, preamp.socket)?;
        Some((switch, *on.get(&switch)?))
    })
}

/// Lines that carry something else than audio: an intercom is no place for 48 V either.
fn reserved(seen: &Seen, on: &BTreeMap<Switch, &Source>) -> Vec<Diagnostic> {
    let mut found = BTreeMap::new();
    for (device, fact) in (0u32..).zip(&seen.rig.devices) {
        let lanes = seen.rig.model(device).map_or(&[][..], |model| &model.lanes);
        let ins = (0u32..).zip(lanes).filter(|(_, lane)| lane.kind == LaneKind::Bank(Role::In));
        for (lane, _) in ins {
            for (number, (why, said)) in fact.out_of_use.iter().filter(|(_, (why, _))| why != "dead") {
                let point = Point { device, lane, number: *number };
                let Some((switch, asking)) = reached(seen, point, on) else { continue };
                found
                    .entry((*said, switch))
                    .or_insert_with(|| told_reserved(seen, point, (why, *said), asking, switch));
            }
        }
    }
    found.into_values().flatten().collect()
}

fn told_reserved(
    seen: &Seen,
    point: Point,
    (why, said): (&str, Span),
    asking: &Source,
    switch: Switch,
) -> Option<Diagnostic> {
    let message = format!(
        "`{}` is reserved for {why} and would get the phantom of `{}`: one switch serves `{}`",
        seen.rig.point_text(point),
        asking.name,
        served(seen, switch)?,
    );
    let row = seen.scene.rows.get(asking.row)?;
    Some(
        Diagnostic::error(RULE.slug, said, message)
            .label(row.place.unwrap_or(row.span), format!("`{}` asks for phantom here", asking.name))
            .help(format!(
                "plug `{}` into a socket of another group, or lead that line past these sockets",
                asking.name
            ))
            .about(seen.rig.device_name(point.device).to_string()),
    )
}

/// `stage.in 1-4`
fn served(seen: &Seen, (device, lane, first): Switch) -> Option<String> {
    let bank = seen.rig.lane(device, lane)?;
    let last = (first + bank.phantom - 1).min(bank.size);
    Some(format!("{}.{} {first}-{last}", seen.rig.device_name(device), bank.name))
}

fn shared_switch(seen: &Seen, socket: Point) -> Option<Switch> {
    let group = seen.rig.lane_at(socket)?.phantom;
    (group > 1).then(|| (socket.device, socket.lane, (socket.number - 1) / group * group + 1))
}

fn told(
    seen: &Seen,
    source: &Source,
    label: &str,
    asking: &Source,
    switch: Switch,
    given_away: &mut BTreeSet<Point>,
) -> Option<Diagnostic> {
    let (device, lane, _) = switch;
    let place = |source: &Source| seen.scene.rows.get(source.row).map(|row| row.place.unwrap_or(row.span));
    let bank = seen.rig.lane(device, lane)?;
    let message = format!(
        "`{}` is a {label} and would get the phantom of `{}`: one switch serves `{}`",
        source.name,
        asking.name,
        served(seen, switch)?,
    );
    Some(
        Diagnostic::error(RULE.slug, place(source)?, message)
            .label(place(asking)?, format!("`{}` asks for phantom here", asking.name))
            .help(elsewhere(seen, source, switch, bank, given_away))
            .about(source.name.clone()),
    )
}

/// The first free socket of a group whose switch nobody asks for.
fn elsewhere(
    seen: &Seen,
    source: &Source,
    (device, lane, _): Switch,
    bank: &Lane,
    given_away: &mut BTreeSet<Point>,
) -> String {
    let group = bank.phantom.max(1);
    let asks = |plug: &Point| {
        let source = seen.plugs.get(plug).and_then(|source| seen.scene.source(*source));
        source.is_some_and(|source| source.phantom.is_some())
    };
    let quiet = |number: u32| {
        let first = (number - 1) / group * group + 1;
        let still_free = !given_away.contains(&Point { device, lane, number });
        still_free && (first..first + group).all(|number| !asks(&Point { device, lane, number }))
    };
    match Free::of(seen.scene).sockets(device, lane, 1, quiet) {
        Some(free) => {
            given_away.insert(Point { device, lane, number: free });
            let socket = seen.scene.sockets_text(device, lane, free, 1);
            format!("plug `{}` into `{socket}`: its group needs no 48 V", source.name)
        }
        None => format!("plug `{}` into a socket of another group", source.name),
    }
}
