//! Whether sources may plug in where their rows say. What holds of several sources of a row is told once.

use crate::diagnostics::{Diagnostic, Vacancy};
use crate::plan::Role;
use crate::rig::{ANY_SIGNAL, Lane, LaneKind, Point, copper_ends, preamp_for, preamps_of};
use crate::source::Span;
use crate::syntax::ast::FeedVerdict;
use crate::wants::{Scene, Source, Spot};
use std::collections::{BTreeMap, BTreeSet};

/// When every row is read: a second row may state a gain of its own.
pub(super) fn tell(scene: &Scene, found: &mut Vec<Diagnostic>) {
    for source in &scene.sources {
        let (Spot::Socket(point), Some(span)) = (&source.spot, place(scene, source)) else { continue };
        found.extend(out_of_use(scene, source, *point, span));
        found.extend(end_of_a_line(scene, source, *point, span));
    }
    gains(scene, found);
    levels(scene, found);
    sockets_once(scene, found);
}

fn place(scene: &Scene, source: &Source) -> Option<Span> {
    scene.rows.get(source.row).map(|row| row.place.unwrap_or(row.span))
}

fn out_of_use(scene: &Scene, source: &Source, point: Point, span: Span) -> Option<Diagnostic> {
    let (why, said) = scene.rig.device(point.device)?.out_of_use.get(&point.number)?;
    let why = if why == "dead" { "dead".to_string() } else { format!("reserved for {why}") };
    let message = format!("`{}` plugs into `{}`, which is {why}", source.name, scene.rig.point_text(point));
    Some(
        Diagnostic::error("line-out-of-use", span, message)
            .label(*said, "said here")
            .help_with(Vacancy::Move, "plug it into another line")
            .about(source.name.clone()),
    )
}

fn end_of_a_line(scene: &Scene, source: &Source, point: Point, span: Span) -> Option<Diagnostic> {
    let (from, run) = scene.rig.brought_to(point)?;
    let (at, from) = (scene.rig.point_text(point), scene.rig.point_text(from));
    let message = format!("`{}` plugs into `{at}`, where the line from `{from}` ends", source.name);
    let mut problem = Diagnostic::error("socket-used-twice", span, message).about(source.name.clone());
    if let Some(run) = scene.rig.runs.get(run) {
        problem = problem.label(run.span, "the lines are laid here");
    }
    Some(problem.help(format!("plug it in at the other end, `from {from}`, or into a free socket")))
}

/// What holds of some sources of one row, in order.
struct Row<'a, T> {
    what: T,
    span: Span,
    sources: Vec<&'a Source>,
    points: Vec<Point>,
}

/// The rows' sources, each where it plugs in, as far as `what` is the same of them.
fn by_row<'a, T: PartialEq>(all: impl Iterator<Item = (T, Span, &'a Source, Point)>) -> Vec<Row<'a, T>> {
    let mut rows: Vec<Row<'a, T>> = Vec::new();
    for (what, span, source, point) in all {
        match rows.iter_mut().rev().find(|row| row.span == span && row.what == what) {
            Some(row) => {
                row.sources.push(source);
                row.points.push(point);
            }
            None => rows.push(Row { what, span, sources: vec![source], points: vec![point] }),
        }
    }
    rows
}

impl<T> Row<'_, T> {
    /// The row by its name, or the only source that it holds of.
    fn name(&self, scene: &Scene) -> String {
        match self.sources.as_slice() {
            [only] => only.name.clone(),
            several => several.first().and_then(|source| scene.rows.get(source.row)).map_or("", |row| &row.name).into(),
        }
    }

    /// `turns`, `turn`: of its points. Its name is one.
    fn verb(&self, of_one: &'static str, of_several: &'static str) -> &'static str {
        if self.points.len() == 1 { of_one } else { of_several }
    }
}

/// Every stated gain lies within what the preamp on the way to its desk can do.
fn gains(scene: &Scene, found: &mut Vec<Diagnostic>) {
    let past = scene.sources.iter().flat_map(|source| past_its_preamp(scene, source));
    for row in by_row(past) {
        let (low, high, gain) = row.what;
        let verb = row.verb("turns", "turn");
        let message =
            format!("{} {verb} from {low} dB to {high} dB, not to {gain} dB", scene.rig.points_text(&row.points));
        found.push(
            Diagnostic::error("gain-out-of-range", row.span, message)
                .help(format!("state a gain from {low} dB to {high} dB"))
                .about(row.name(scene)),
        );
    }
}

/// A preamp's range, and the gain that lies outside it.
type Past = (f64, f64, f64);

fn past_its_preamp<'a>(scene: &Scene, source: &'a Source) -> Vec<(Past, Span, &'a Source, Point)> {
    let (Spot::Socket(plug) | Spot::Origin(plug)) = source.spot else { return Vec::new() };
    let stated = source.stated.iter().filter_map(|stated| Some((stated.desk, stated.gain_db.as_ref()?)));
    let past = stated.filter_map(|(desk, gain)| {
        let own = preamp_for(&scene.rig, desk, &preamps_of(&scene.rig, plug))?;
        let (low, high) = scene.rig.lane_at(own)?.gain?;
        let fits = (low..=high).contains(&gain.value);
        (!fits).then_some(((low, high, gain.value), gain.span, source, own))
    });
    past.collect()
}

/// What a source gives, what the socket takes, how they join and why.
type Meeting<'a> = (&'a str, &'a str, FeedVerdict, Option<&'a str>);

fn levels(scene: &Scene, found: &mut Vec<Diagnostic>) {
    for row in by_row(scene.sources.iter().filter_map(|source| badly_fed(scene, source))) {
        let (gives, takes, verdict, why) = row.what;
        let (name, take) = (row.name(scene), row.verb("takes", "take"));
        let mut message =
            format!("`{name}` gives {gives} level and {} {take} {takes}", scene.rig.points_text(&row.points));
        if let Some(why) = why {
            message.push_str(&format!(": {why}"));
        }
        let problem = match verdict {
            FeedVerdict::Error => {
                Diagnostic::error("kinds-do-not-join", row.span, message).help("use a socket of its kind")
            }
            _ => Diagnostic::warning("level-mismatch", row.span, message).help("add `pad`, or take it through a DI"),
        };
        found.push(problem.about(name));
    }
}

fn badly_fed<'a>(scene: &'a Scene, source: &'a Source) -> Option<(Meeting<'a>, Span, &'a Source, Point)> {
    let (Spot::Socket(plug) | Spot::Origin(plug)) = source.spot else { return None };
    let signal = &source.mic.as_ref()?.kind.signal;
    let span = place(scene, source)?;
    // A snake takes anything: what counts is where its lines end, as with the lines of gear that others bring.
    [plug].into_iter().chain(copper_ends(&scene.rig, plug)).find_map(|point| {
        let is_input = |lane: &&Lane| lane.kind == LaneKind::Bank(Role::In) && lane.signal != ANY_SIGNAL;
        let lane = scene.rig.lane_at(point).filter(is_input)?;
        let (verdict, why) = scene.rig.library.feed(signal, &lane.signal);
        let padded = source.pad.is_some() && (lane.pad || !lane.is_preamp());
        let fits = verdict == FeedVerdict::Fine || (verdict == FeedVerdict::Warn && padded);
        (!fits).then_some(((signal.as_str(), lane.signal.as_str(), verdict, why), span, source, point))
    })
}

fn sockets_once(scene: &Scene, found: &mut Vec<Diagnostic>) {
    let mut taken: BTreeMap<Point, &Source> = BTreeMap::new();
    // Two rows that share sockets are told at the first of them.
    let mut told = BTreeSet::new();
    for source in &scene.sources {
        let (Spot::Socket(point) | Spot::Origin(point)) = &source.spot else { continue };
        let Some(first) = taken.insert(*point, source).filter(|first| told.insert((first.row, source.row))) else {
            continue;
        };
        let (Some(here), Some(there)) = (place(scene, source), place(scene, first)) else { continue };
        let message = format!(
            "two sources in one socket: `{}` and `{}` in `{}`",
            first.name,
            source.name,
            scene.rig.point_text(*point)
        );
        found.push(
            Diagnostic::error("socket-used-twice", here, message)
                .label(there, format!("`{}` plugs in here", first.name))
                .help_with(Vacancy::Move, "move one of them to a free socket")
                .about(source.name.clone()),
        );
    }
}
