//! No channel of a desk that takes blocks is left to the desk's own sockets.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::{Feed, How, Point};
use crate::route::Arrival;
use crate::rules::say::names;
use crate::rules::{Facts, Seen};

pub const RULE: Rule = Rule {
    slug: "desk-sockets-unheard",
    code: "C015",
    severity: Severity::Note,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| seen.rig.desks().filter_map(|desk| told(seen, desk)).collect())
}

fn told(seen: &Seen, desk: u32) -> Option<Diagnostic> {
    let (model, fact) = (seen.rig.model(desk)?, seen.rig.device(desk)?);
    let channel = model.bank("channel")?;
    let block = model.routes.iter().filter(|route| route.lane == channel).find_map(|route| match route.how {
        How::Blocks(size) if size > 1 => Some((route, size)),
        _ => None,
    });
    let (route, size) = block?;
    let own = route.from.iter().find_map(|feed| match feed {
        Feed::Lane(lane) if model.lane(*lane)?.is_preamp() => Some(*lane),
        _ => None,
    })?;
    let to_channel = |arrival: &&Arrival| arrival.end.lane as usize == channel;
    let mut channels = seen.arrivals_at(desk).iter().filter(to_channel).peekable();
    channels.peek()?;
    let from_own = |point: &Point| point.device == desk && point.lane as usize == own;
    if channels.any(|arrival| arrival.path.iter().any(from_own)) {
        return None;
    }
    let bank = model.lane(own)?.name.as_str();
    let message = format!(
        "the sockets `{}.{bank}` feed no channel: its channels take blocks of {size}, and all those in use come from elsewhere",
        fact.name,
    );
    let note = Diagnostic::note(RULE.slug, fact.span, message).about(fact.name.clone());
    let plugged = seen
        .plugs
        .range(Point { device: desk, lane: 0, number: 0 }..)
        .take_while(|(plug, _)| plug.device == desk)
        .filter(|(plug, _)| from_own(plug));
    let plugged: Vec<&str> = plugged.filter_map(|(_, s)| Some(seen.scene.source(*s)?.name.as_str())).collect();
    Some(if plugged.is_empty() { note } else { note.help(format!("plugged there: {}", names(&plugged))) })
}
