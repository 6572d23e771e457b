//! What outputs carry, as far as rows say it. What nobody said is never guessed.

use super::{Seen, say};
use crate::diagnostics::{Diagnostic, Edit};
use crate::plan::Role;
use crate::rig::{LaneKind, Point};
use crate::source::Span;
use crate::wants::{Mix, Output, Use};
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
    let origin = seen.rig.lane_at(output.from).is_some_and(|lane| lane.kind == LaneKind::Bank(Role::Origin));
    if origin {
        let given = seen.given.get(&output.from).copied();
        return match (given, seen.scene.mixes.get(&output.from).and_then(|mix| mix.of.as_ref())) {
            (Some(source), _) => Carried::These(BTreeSet::from([source])),
            (None, Some(of)) => Carried::These(of.iter().copied().collect()),
            (None, None) => Carried::Unsaid,
        };
    }
    let arrival = seen.arrival(output.to);
    let source = arrival.and_then(|arrival| seen.source_of(arrival.origin));
    Carried::These(source.into_iter().collect())
}

/// The points that a source passes on its way through an output: to a channel of the desk, then from
/// the mix to the socket. The fader between them is the engineer's.
pub fn path(seen: &Seen, source: usize, output: &Output) -> Vec<Point> {
    let from_it = |origin| seen.source_of(origin) == Some(source);
    let out = seen.arrival(output.to);
    let mut points = Vec::new();
    if !out.is_some_and(|out| from_it(out.origin)) {
        let own = seen.arrivals_at(output.from.device).iter();
        let channel = own.filter(|arrival| seen.is_channel(arrival.end)).find(|arrival| from_it(arrival.origin));
        points.extend(channel.into_iter().flat_map(|channel| channel.path.iter().copied()));
    }
    match out {
        Some(out) => points.extend(&out.path),
        None => points.extend([output.from, output.to]),
    }
    points
}

/// May an `ears-only` source go there? Output rows that do not say what they are for are not known to be.
pub fn is_for_ears(used_as: Option<Use>) -> bool {
    used_as.is_some_and(|used_as| used_as.is_ears() || used_as == Use::Record)
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
