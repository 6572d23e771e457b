//! What must be heard hangs on one cable, and no second one is laid.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::{Cable, LaneKind, LinkEnd, Point, Rig, UsedAs, metres};
use crate::rules::say::names;
use crate::rules::{Facts, Seen};
use crate::syntax::ast::Priority;
use crate::wants::Use;
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    slug: "single-run",
    code: "C045",
    severity: Severity::Note,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let bare = bare(seen.rig);
    let mut carried: BTreeMap<usize, BTreeSet<String>> = BTreeMap::new();
    for (path, what) in needed(seen) {
        for cable in path.iter().filter_map(|point| cable_at(seen.rig, *point)).filter(|cable| bare.contains(cable)) {
            carried.entry(cable).or_default().insert(what.clone());
        }
    }
    let told = |(cable, what): (usize, BTreeSet<String>)| told(seen.rig, seen.rig.cables.get(cable)?, what);
    carried.into_iter().filter_map(told).collect()
}

/// The ways of sources that must be heard, and of what the audience hears.
fn needed<'a>(seen: &'a Seen) -> Vec<(&'a [Point], String)> {
    let must = |source: usize| {
        let source = seen.scene.source(source)?;
        let row = seen.scene.rows.get(source.row)?;
        (row.priority == Priority::Must).then(|| source.name.clone())
    };
    let inputs = seen.arrivals.iter().filter(|arrival| seen.is_channel(arrival.end));
    let inputs = inputs.filter_map(|arrival| Some((arrival.path.as_slice(), must(seen.source_of(arrival.origin)?)?)));
    let outputs = seen.scene.outputs.iter().filter(|output| output.used_as.is_some_and(Use::is_for_audience));
    let outputs =
        outputs.filter_map(|output| Some((seen.arrival(output.to)?.path.as_slice(), seen.rig.point_text(output.from))));
    inputs.chain(outputs).collect()
}

/// The main cable by which a signal leaves or enters at a point.
fn cable_at(rig: &Rig, point: Point) -> Option<usize> {
    let (LaneKind::PortIn(port) | LaneKind::PortOut(port)) = rig.lane_at(point)?.kind else { return None };
    rig.peer(LinkEnd { device: point.device, port }).map(|(_, cable)| cable)
}

/// Main cables with neither a redundant one beside them nor a spare that is long enough.
fn bare(rig: &Rig) -> BTreeSet<usize> {
    let doubled = rig.cables.iter().filter(|cable| cable.used_as == UsedAs::Redundant);
    let doubled: BTreeSet<LinkEnd> = doubled.map(|cable| cable.to).collect();
    let longest = rig.spare_cables.iter().filter_map(|(cable, _)| metres(cable)).reduce(f64::max);
    // Of a cable whose length nobody said, any spare may do.
    let spare =
        |cable: &Cable| longest.is_some_and(|spare| cable.said.as_ref().and_then(metres).unwrap_or(0.0) <= spare);
    let all = rig.cables.iter().enumerate().filter(|(_, cable)| cable.used_as == UsedAs::Main);
    all.filter(|(_, cable)| !doubled.contains(&cable.to) && !spare(cable)).map(|(index, _)| index).collect()
}

fn told(rig: &Rig, cable: &Cable, what: BTreeSet<String>) -> Option<Diagnostic> {
    let what: Vec<String> = what.into_iter().collect();
    let (from, to) = (rig.port_text(cable.from), rig.port_text(cable.to));
    let hang = if what.len() == 1 { "hangs" } else { "hang" };
    let message = format!("{} {hang} on the one cable from `{from}` to `{to}`", names(&what));
    let length = cable.said.as_ref().and_then(metres).map_or("60".to_string(), |metres| metres.ceil().to_string());
    Some(
        Diagnostic::note(RULE.slug, cable.span, message)
            .help(format!(
                "lay a second one on another way, both ends at hand: `spare cable {length} m screened locking`; or a \
                 `redundant on` where both devices can"
            ))
            .about(rig.device_name(cable.to.device).to_string()),
    )
}
