//! What outputs carry, as far as rows say it, also by way of another desk's mix. What nobody said is never
//! guessed.

use super::channels::names_of;
use super::{Seen, say};
use crate::diagnostics::{Diagnostic, Edit};
use crate::plan::Role;
use crate::rig::{LaneKind, Point};
use crate::route::{Arrival, Origin};
use crate::source::Span;
use crate::wants::{Mix, Output, Spot, Use};
use std::collections::BTreeSet;

/// What leaves by an output.
pub enum Carried {
    /// A mix of which no row says what is in it.
    Unsaid,
    /// Sources, by index.
    These(BTreeSet<usize>),
}

/// What is in the mix, or comes through the point, that an output row sends.
pub fn carried(seen: &Seen, output: &Output) -> Carried {
    match direct(seen, output) {
        Some(sources) => Carried::These(with_inside(seen, sources)),
        None => Carried::Unsaid,
    }
}

/// The same without what comes inside other desks' mixes; `None` where no row says it.
fn direct(seen: &Seen, output: &Output) -> Option<Vec<usize>> {
    let origin = seen.rig.lane_at(output.from).is_some_and(|lane| lane.kind == LaneKind::Bank(Role::Origin));
    if !origin {
        let arrival = seen.arrival(output.to);
        return Some(arrival.and_then(|arrival| seen.source_of(arrival.origin)).into_iter().collect());
    }
    let given = seen.given.get(&output.from).filter(|given| inside(seen, **given).is_empty());
    match given {
        Some(source) => Some(vec![*source]),
        None => seen.scene.mixes.get(&output.from)?.of.clone(),
    }
}

/// Sources, with what they bring: one that another desk's mix gives brings all that this carries.
pub fn with_inside(seen: &Seen, sources: impl IntoIterator<Item = usize>) -> BTreeSet<usize> {
    let mut all = BTreeSet::new();
    let mut open: Vec<usize> = sources.into_iter().collect();
    while let Some(source) = open.pop() {
        if all.insert(source) {
            open.extend(inside(seen, source));
        }
    }
    all
}

fn inside<'a>(seen: &'a Seen, source: usize) -> &'a [usize] {
    let Some(Spot::Origin(point)) = seen.scene.source(source).map(|source| &source.spot) else { return &[] };
    seen.scene.mixes.get(point).and_then(|mix| mix.of.as_deref()).unwrap_or_default()
}

/// The points that a source passes on its way through an output: to a channel of the desk, then from
/// the mix to the socket. The fader between them is the engineer's.
pub fn path(seen: &Seen, source: usize, output: &Output) -> Vec<Point> {
    let Some(out) = seen.arrival(output.to) else { return vec![output.from, output.to] };
    let mut points = match out.origin {
        Origin::Point(mix) if seen.source_of(out.origin) != Some(source) => {
            way_to(seen, mix.device, source, MOST_DESKS).unwrap_or_default()
        }
        _ => Vec::new(),
    };
    points.extend(&out.path);
    points
}

/// Through how many desks' mixes a way is followed.
const MOST_DESKS: usize = 4;

/// The way of a source to a channel of a desk, if need be inside another desk's mix.
fn way_to(seen: &Seen, desk: u32, source: usize, desks: usize) -> Option<Vec<Point>> {
    let here = || seen.arrivals_at(desk).iter().filter(|arrival| seen.is_channel(arrival.end));
    if let Some(own) = here().find(|arrival| seen.source_of(arrival.origin) == Some(source)) {
        return Some(own.path.clone());
    }
    let desks = desks.checked_sub(1)?;
    let by_mix = |arrival: &Arrival| {
        let Origin::Point(mix) = arrival.origin else { return None };
        let brings = with_inside(seen, seen.source_of(arrival.origin)).contains(&source);
        let mut points = way_to(seen, mix.device, source, desks).filter(|_| brings)?;
        points.extend(&arrival.path);
        Some(points)
    };
    here().find_map(by_mix)
}

/// Loudspeakers and ears: what a person in the room hears at once.
pub fn is_heard(used_as: Use) -> bool {
    use Use::{Delay, Fill, InEars, Pa, SideFill, Sub, Wedge};
    matches!(used_as, Pa | Sub | Fill | Delay | Wedge | SideFill | InEars)
}

/// May an `ears-only` source go there? Output rows that do not say what they are for are not known to be.
pub fn is_for_ears(used_as: Option<Use>) -> bool {
    used_as.is_some_and(Use::is_for_ears)
}

pub fn is_for_ears_only(seen: &Seen, source: usize) -> bool {
    seen.scene.source(source).is_some_and(|source| source.ears_only)
}

/// A source leaves by an output where it must not, which a rule of its own tells.
pub fn leaks(seen: &Seen, source: usize, output: &Output) -> bool {
    let kept = seen.scene.kept.iter().filter(|kept| kept.source == source);
    let mut kept_out = kept.filter_map(|kept| output.used_as.map(|used| kept.uses.contains(&used)));
    let for_ears = is_for_ears_only(seen, source) && !is_for_ears(output.used_as);
    matches!(carried(seen, output), Carried::These(sources) if sources.contains(&source))
        && (for_ears || kept_out.any(|out| out))
}

/// Says how sources leave an output; those that another desk's mix brings, there or with that mix.
pub fn leave_out(seen: &Seen, told: Diagnostic, output: &Output, sources: &[usize]) -> Diagnostic {
    let direct = direct(seen, output).unwrap_or_default();
    let mix = seen.scene.mixes.get(&output.from);
    let brings = |source: &usize| {
        let by = direct.iter().find(|by| *by == source);
        by.or_else(|| direct.iter().find(|by| with_inside(seen, [**by]).contains(source))).copied()
    };
    let by: Vec<usize> = sources.iter().filter_map(brings).collect();
    let (all, brought) = (names_of(seen, sources.iter().copied()), names_of(seen, by));
    if all == brought {
        return take_out(told, mix, &all);
    }
    let comes = if all.len() == 1 { "comes" } else { "come" };
    let (all, brought) = (say::names(&all), say::names(&brought));
    told.help(format!("{all} {comes} with {brought}: take it out of that mix, or leave {brought} out here"))
}

/// Says how sources leave a mix: by name after `of all inputs`, which an editor can write, else out of its list.
pub fn take_out(told: Diagnostic, mix: Option<&Mix>, names: &[String]) -> Diagnostic {
    let list = names.join(", ");
    let Some((mix, said)) = mix.and_then(|mix| Some((mix, mix.said?))) else {
        return told.help(format!("send a mix in its place: `of all inputs but {list}`"));
    };
    let Some(but) = mix.but else { return told.help(format!("take {} out of the list after `of`", say::names(names))) };
    let help = match but {
        ", " => format!("add it after `but`: `, {list}`"),
        _ => format!("write `of all inputs but {list}`"),
    };
    let edit = Edit { span: Span { start: said.end, ..said }, text: format!("{but}{list}") };
    told.help(help).fix(format!("take {list} out of the mix"), vec![edit], true)
}
