//! The proven paths of sources and points, hop by hop with the setting behind each hop; and what a place is
//! where no path is proven.

use super::{Hover, Part, line, table_of};
use crate::Compiled;
use crate::editor::ground::unproven;
use crate::editor::spot::PointsAt;
use crate::plan::{self, InActs, Way};
use crate::rig::{Point, Rig};
use crate::wants::{Scene, Spot, Target};

/// A list that names more than so many points shows the first of them.
const MANY: usize = 8;

/// Points that a row names: what each carries, from the source to the ends.
pub(super) fn points(compiled: &Compiled, at: &PointsAt) -> Option<Hover> {
    let texts: Vec<String> = at.points.iter().map(|point| at.rig.point_text(*point)).collect();
    let title = at.rig.points_text(&at.points).replace('`', "");
    let mut parts = Vec::new();
    if unproven(compiled).is_some() {
        let scene = compiled.scenes.iter().find(|scene| scene.rig.act == at.rig.act);
        parts.extend(scene.into_iter().flat_map(|scene| asked_of(scene, &at.points)).map(line));
    }
    parts.extend(at.points.iter().take(MANY).filter_map(|point| out_of_use(at.rig, *point)).map(line));
    parts.extend(paths(compiled, &texts, &title));
    Some(Hover { span: at.span, title, parts })
}

fn out_of_use(rig: &Rig, point: Point) -> Option<String> {
    let (why, _) = rig.device(point.device)?.out_of_use.get(&point.number).filter(|_| rig.out_of_use(point))?;
    let why = if why == "dead" { "is dead".to_string() } else { format!("is reserved for {why}") };
    Some(format!("{} {why}: nothing may use it", rig.point_text(point)))
}

/// Everything that the plan proves of these sources and points; else why it proves nothing. `under` is the
/// title that it stands under, which is not said again.
pub(super) fn paths(compiled: &Compiled, whats: &[String], under: &str) -> Vec<Part> {
    if let Some(why) = unproven(compiled) {
        return vec![line(why)];
    }
    let mut parts = Vec::new();
    for what in whats.iter().take(MANY) {
        let trace = plan::trace(&compiled.plan, what);
        let own = compiled.plan.acts.iter().any(|act| belongs(what, &act.act));
        parts.extend(trace.iter().flat_map(|trace| &trace.traced).flat_map(|traced| in_acts(traced, own, under)));
    }
    if let Some(more) = whats.len().checked_sub(MANY).filter(|more| *more > 0) {
        parts.push(line(format!("and {more} more")));
    }
    parts
}

fn belongs(source: &str, act: &str) -> bool {
    source.strip_prefix(act).is_some_and(|rest| rest.starts_with('.')) && !source.contains(' ')
}

/// What belongs to one act is plugged in no other, and nobody needs to be told.
fn in_acts(in_acts: &InActs, own: bool, under: &str) -> Vec<Part> {
    let acts = if own { String::new() } else { plan::acts(in_acts) };
    let elsewhere = |way: &&Way| own && way.hops.is_empty() && way.dead_end.is_some();
    in_acts.ways.iter().filter(|way| !elsewhere(way)).flat_map(|way| one_way(way, &acts, under)).collect()
}

fn one_way(way: &Way, acts: &str, under: &str) -> Vec<Part> {
    let title = match acts {
        "" => Some(plan::title(way)).filter(|title| title != under).unwrap_or("path".to_string()),
        acts => format!("{acts}: {}", plan::title(way)),
    };
    let mut parts = Vec::new();
    match table_of(&title, &plan::rows(way)) {
        Some(hops) => parts.push(hops),
        None if way.dead_end.is_some() => {}
        None => parts.push(line(title.clone())),
    }
    let dead = way.dead_end.as_ref();
    parts.extend(dead.map(|why| line(format!("{title}: {why}"))));
    let lists = [("carries", &way.carries), ("goes into", &way.mixed_into)];
    let lists = lists.iter().filter(|(_, names)| !names.is_empty());
    parts.extend(lists.map(|(what, names)| line(format!("{what} {}", plan::clean(&names.join(", "))))));
    parts
}

/// What the rows ask of points, where no plan says what they carry.
fn asked_of(scene: &Scene, points: &[Point]) -> Vec<String> {
    let mut said = Vec::new();
    for point in points {
        let at = scene.rig.point_text(*point);
        let plugged = scene.sources.iter().filter(|source| source.spot == Spot::Socket(*point));
        said.extend(plugged.map(|source| format!("{} plugs into {at}", source.name)));
        let wanted = scene.wants.iter().filter(|want| want.end == *point);
        said.extend(wanted.map(|want| format!("{at} wants {}", target(scene, want.what))));
        let of = scene.mixes.get(point).and_then(|mix| mix.of.as_ref());
        let of = of.map(|of| of.iter().filter_map(|source| scene.source(*source)).map(|source| source.name.as_str()));
        said.extend(of.map(|of| format!("{at} carries {}", of.collect::<Vec<_>>().join(", "))));
        let sent = scene.outputs.iter().filter(|output| output.from == *point);
        said.extend(sent.map(|output| format!("{at} goes to {}", scene.rig.point_text(output.to))));
    }
    said
}

fn target(scene: &Scene, what: Target) -> String {
    match what {
        Target::Source(source) => scene.source(source).map(|source| source.name.clone()).unwrap_or_default(),
        Target::Point(point) => scene.rig.point_text(point),
    }
}
