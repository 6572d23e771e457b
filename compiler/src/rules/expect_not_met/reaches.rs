//! `expect kick-in reaches foh.channel 1`, `expect click not reaches pa`.

use super::{list, not_met};
use crate::diagnostics::{Diagnostic, Sort};
use crate::rig::{Asked, Point};
use crate::route::Origin;
use crate::rules::Seen;
use crate::rules::contents::{Carried, carried, leaks};
use crate::source::Span;
use crate::syntax::ast::Term;
use crate::wants::{OUTPUT_USES, Target, Use, WantKind, uses_meant};

/// Where a signal is expected.
enum Place {
    Points(Vec<Point>),
    Uses(Vec<Use>, String),
    Device(u32),
}

pub fn check(
    seen: &Seen,
    (what, not, place): (&Term, bool, &Term),
    span: Span,
    settled: bool,
    found: &mut Vec<Diagnostic>,
) {
    let targets = seen.scene.targets(&list(what), None, crate::wants::Speaker::Act, found);
    let place = place_of(seen, place, found);
    let (Some(targets), Some(place), true) = (targets, place, settled) else { return };
    for (index, target) in targets.iter().enumerate() {
        // As many points as sources pair in order; else any of the points will do.
        let paired = match &place {
            Place::Points(points) if !not && points.len() == targets.len() => {
                Place::Points(points.get(index).copied().into_iter().collect())
            }
            Place::Points(points) => Place::Points(points.clone()),
            Place::Uses(uses, word) => Place::Uses(uses.clone(), word.clone()),
            Place::Device(device) => Place::Device(*device),
        };
        let arrived = arrives(seen, *target, &paired);
        let (name, place) = (name_of(seen, *target), text(seen, &paired));
        match (not, arrived) {
            (true, Some(true)) if leaks_there(seen, *target, &paired) => {}
            (true, Some(true)) => found.push(not_met(span, format!("`{name}` reaches {place}")).about(name)),
            (false, Some(false)) => {
                let problem = not_met(span, format!("`{name}` does not reach {place}"));
                let problem = problem.help(instead(seen, &paired)).about(name);
                found.push(match elsewhere(seen, *target) {
                    Some(now) => problem.help(now),
                    None => problem,
                });
            }
            (not, None) => {
                let reaches = if not { "stays out of" } else { "reaches" };
                let message =
                    format!("nothing proves that `{name}` {reaches} {place}: no row says what the mix carries");
                found.push(not_met(span, message).help("say it with `of` in the output's row").about(name));
            }
            _ => {}
        }
    }
}

fn place_of(seen: &Seen, place: &Term, found: &mut Vec<Diagnostic>) -> Option<Place> {
    let name = place.name.as_ref()?;
    if place.range.is_some() {
        return seen.rig.points(&list(place), Asked::Fed, None, found).map(Place::Points);
    }
    let [word] = name.parts.as_slice() else {
        return seen.rig.points(&list(place), Asked::Fed, None, found).map(Place::Points);
    };
    if let Some(uses) = uses_meant(&word.value) {
        return Some(Place::Uses(uses, word.value.clone()));
    }
    if let Some(device) = seen.rig.device_named(&word.value) {
        return Some(Place::Device(device));
    }
    if !seen.rig.broken.contains(&word.value) {
        let known = OUTPUT_USES.iter().map(|(name, _)| *name);
        let known = known.chain(seen.rig.devices.iter().map(|device| device.name.as_str()));
        let message = format!("no use of an output and no device is called `{}`", word.value);
        let near = crate::project::nearest(&word.value, known);
        found.push(Diagnostic::unknown(Sort::Gear, word.value.clone(), word.span, message).near_or(
            word.span,
            near,
            "write a point, `foh.channel 1`, or a use, `pa`",
        ));
    }
    None
}

fn is_it(seen: &Seen, origin: Origin, target: Target) -> bool {
    match target {
        Target::Source(source) => seen.source_of(origin) == Some(source),
        Target::Point(point) => origin == Origin::Point(point),
    }
}

/// Whether it gets there; `None` where a mix stands between whose contents nobody says.
fn arrives(seen: &Seen, target: Target, place: &Place) -> Option<bool> {
    match place {
        Place::Points(points) => {
            let same = |a: &Point, b: &Point| a == b || seen.rig.point_text(*a) == seen.rig.point_text(*b);
            let mut of_it = seen.arrivals.iter().filter(|arrival| is_it(seen, arrival.origin, target));
            Some(of_it.any(|arrival| arrival.path.iter().any(|at| points.iter().any(|point| same(at, point)))))
        }
        Place::Device(device) => {
            let mut of_it = seen.arrivals.iter().filter(|arrival| is_it(seen, arrival.origin, target));
            Some(of_it.any(|arrival| arrival.end.device == *device))
        }
        Place::Uses(uses, _) => uses_reached(seen, target, uses),
    }
}

fn uses_reached(seen: &Seen, target: Target, uses: &[Use]) -> Option<bool> {
    let in_track = |end: Point| seen.rig.lane_at(end).is_some_and(|lane| lane.name == "track");
    let recorded = |arrival: &crate::route::Arrival| in_track(arrival.end) && is_it(seen, arrival.origin, target);
    if uses.contains(&Use::Record) && seen.arrivals.iter().any(recorded) {
        return Some(true);
    }
    let fed = |want: &crate::wants::Want| want.kind == WantKind::Personal && want.what == target;
    if uses.contains(&Use::InEars) && seen.scene.wants.iter().any(fed) {
        return Some(true);
    }
    let mut unsaid = false;
    let outputs = seen.scene.outputs.iter().filter(|output| output.used_as.is_some_and(|used| uses.contains(&used)));
    for output in outputs {
        match (target, carried(seen, output)) {
            (Target::Point(point), _) if output.from == point => return Some(true),
            (Target::Source(source), Carried::These(sources)) if sources.contains(&source) => return Some(true),
            (Target::Source(_), Carried::Unsaid) => unsaid = true,
            _ => {}
        }
    }
    if unsaid { None } else { Some(false) }
}

/// It is told already as a leak of an output of such a use.
fn leaks_there(seen: &Seen, target: Target, place: &Place) -> bool {
    let (Target::Source(source), Place::Uses(uses, _)) = (target, place) else { return false };
    let mut outputs =
        seen.scene.outputs.iter().filter(|output| output.used_as.is_some_and(|used| uses.contains(&used)));
    outputs.any(|output| leaks(seen, source, output))
}

fn name_of(seen: &Seen, target: Target) -> String {
    match target {
        Target::Source(source) => seen.scene.source(source).map_or_else(String::new, |source| source.name.clone()),
        Target::Point(point) => seen.rig.point_text(point),
    }
}

fn text(seen: &Seen, place: &Place) -> String {
    match place {
        Place::Points(points) => {
            let texts: Vec<String> = points.iter().map(|point| seen.rig.point_text(*point)).collect();
            crate::rules::say::names(&texts)
        }
        Place::Uses(_, word) => format!("`{word}`"),
        Place::Device(device) => format!("`{}`", seen.rig.device_name(*device)),
    }
}

/// Where it ends now.
fn elsewhere(seen: &Seen, target: Target) -> Option<String> {
    let of_it = seen.arrivals.iter().filter(|arrival| is_it(seen, arrival.origin, target));
    let ends: Vec<Point> = of_it.map(|arrival| arrival.end).collect();
    let ends = (!ends.is_empty()).then(|| seen.rig.points_text(&ends))?;
    Some(format!("it arrives at {ends}: write that, or move its row"))
}

/// What arrives there in its stead.
fn instead(seen: &Seen, place: &Place) -> String {
    let Place::Points(points) = place else { return "check which rows send it there".to_string() };
    let arrival = points.first().and_then(|point| seen.arrival(*point));
    match arrival.map(|arrival| arrival.origin) {
        None => "nothing arrives there".to_string(),
        Some(Origin::Source(source)) => {
            let name = seen.scene.source(source).map_or("?", |source| source.name.as_str());
            format!("`{name}` arrives there")
        }
        Some(Origin::Point(point)) => format!("`{}` arrives there", seen.rig.point_text(point)),
    }
}
