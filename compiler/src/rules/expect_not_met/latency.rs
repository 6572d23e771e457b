//! `expect latency from kick-in to stage-left.out 7 under 8 ms`: the slowest way counts.

use super::{list, not_met};
use crate::diagnostics::Diagnostic;
use crate::quantity::Quantity;
use crate::rig::{Asked, Point};
use crate::route::Origin;
use crate::rules::Seen;
use crate::rules::latency::total;
use crate::rules::say::way;
use crate::source::Span;
use crate::syntax::ast::Term;
use crate::wants::Target;

pub fn check(
    seen: &Seen,
    (from, to): (&Term, &Term),
    under: Quantity,
    span: Span,
    settled: bool,
    found: &mut Vec<Diagnostic>,
) {
    let targets = seen.scene.targets(&list(from), None, crate::wants::Speaker::Act, found);
    let points = seen.rig.points(&list(to), Asked::Fed, None, found);
    let (Some(targets), Some(points), true, Some(most)) = (targets, points, settled, under.milliseconds()) else {
        return;
    };
    for (target, point) in targets.iter().zip(points.iter().cycle()) {
        found.extend(one(seen, *target, *point, most, span));
    }
}

fn one(seen: &Seen, target: Target, to: Point, most: f64, span: Span) -> Option<Diagnostic> {
    let name = match target {
        Target::Source(source) => seen.scene.source(source)?.name.clone(),
        Target::Point(point) => seen.rig.point_text(point),
    };
    let place = seen.rig.point_text(to);
    let ways = ways(seen, target, to);
    if ways.is_empty() {
        let message = format!("`{name}` does not reach `{place}`, so its latency cannot be told");
        return Some(not_met(span, message).help("check which row sends it there").about(name));
    }
    let mut worst: Option<(f64, Vec<Point>)> = None;
    for points in ways {
        match total(seen, &points) {
            Err(silent) => {
                let message =
                    format!("the latency from `{name}` to `{place}` cannot be told: {silent} does not say its own");
                return Some(not_met(span, message).help("add `latency 0.8 ms` to its model").about(name));
            }
            Ok(ms) if worst.as_ref().is_none_or(|(known, _)| ms > *known) => worst = Some((ms, points)),
            Ok(_) => {}
        }
    }
    let (ms, points) = worst.filter(|(ms, _)| *ms >= most)?;
    let message = format!("the latency from `{name}` to `{place}` is {ms:.2} ms, not under {most} ms");
    Some(not_met(span, message).help(format!("its way: {}", way(seen.rig, &points))).about(name))
}

/// Every way: straight there, or by a channel of the desk whose mix arrives there.
fn ways(seen: &Seen, target: Target, to: Point) -> Vec<Vec<Point>> {
    let Some(out) = seen.arrival(to) else { return Vec::new() };
    let is_it = |origin: Origin| match target {
        Target::Source(source) => seen.source_of(origin) == Some(source),
        Target::Point(point) => origin == Origin::Point(point),
    };
    if is_it(out.origin) {
        return vec![out.path.clone()];
    }
    let (Origin::Point(mix), Target::Source(source)) = (out.origin, target) else { return Vec::new() };
    let of = seen.scene.mixes.get(&mix).and_then(|mix| mix.of.as_ref());
    if of.is_some_and(|of| !of.contains(&source)) {
        return Vec::new();
    }
    let own = seen.arrivals.iter().filter(|arrival| arrival.end.device == mix.device && seen.is_channel(arrival.end));
    let channels = own.filter(|arrival| is_it(arrival.origin));
    channels.map(|channel| channel.path.iter().chain(&out.path).copied().collect()).collect()
}
