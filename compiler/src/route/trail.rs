//! Where a signal's way ends: the first hop that is missing.

use super::graph::{Graph, Node};
use super::switches::Switches;
use crate::plan::Role;
use crate::rig::{Feed, How, LaneKind, LinkEnd, Point, Ride, Rig};
use crate::syntax::ast::{DeviceWord, Faces};
use crate::wants::{Scene, Spot, Target, Want};
use rustc_hash::FxHashMap;
use std::cell::OnceCell;
use std::collections::{BTreeSet, VecDeque};

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Break {
    /// Its slot is past what a link carries at this rate.
    PastLink {
        device: u32,
        port: LinkEnd,
    },
    /// The port that would carry it has no cable.
    NoCable {
        port: LinkEnd,
    },
    /// A line on the way is dead or kept for something else.
    OutOfUse {
        point: Point,
    },
    /// The box plays its first desk only.
    NotFirstDesk {
        device: u32,
    },
    /// It arrives at the desk at another place in its block than the row wants.
    OutOfStep {
        point: Point,
        block: u32,
    },
    /// Nothing joins a desk that it reaches to the one that it must reach.
    NoLink {
        from: u32,
        to: u32,
    },
    /// Its way leads over a cable or a line that was said and cannot be, which has been told.
    Refused,
    /// It gets as far as this point by some setting, and no farther.
    FarthestAt {
        point: Point,
    },
    /// No socket that it may choose leads there.
    NoSocket,
    Nowhere,
}

/// Where each point of one scene leads by some setting, worked out once it is asked for.
#[derive(Default)]
pub struct Onward(OnceCell<FxHashMap<Point, Vec<Point>>>);

/// Why a want has no way at all.
pub fn where_lost(scene: &Scene, want: &Want, onward: &Onward) -> Break {
    let rig = &scene.rig;
    let start = match want.what {
        Target::Point(point) => Some(point),
        Target::Source(source) => match scene.source(source).map(|source| &source.spot) {
            Some(Spot::Socket(point) | Spot::Origin(point)) => Some(*point),
            _ => None,
        },
    };
    if let Some(start) = start {
        let beyond = crate::rig::sockets_beyond(rig, start);
        if let Some(point) = beyond.into_iter().chain([want.end]).find(|point| rig.out_of_use(*point)) {
            return Break::OutOfUse { point };
        }
        if let Some(broken) = rides_off(rig, start) {
            return broken;
        }
        if let Some(broken) = end_side(scene, want) {
            return broken;
        }
        let onward = onward.0.get_or_init(|| all_onward(scene));
        let (reached, last) = reach(rig, start, onward);
        if let Some(broken) = out_of_step(rig, want.end, &reached) {
            return broken;
        }
        if reached.iter().any(|point| on_refused(rig, *point)) {
            return Break::Refused;
        }
        if let Some(broken) = unlinked(rig, want.end, &reached) {
            return broken;
        }
        return Break::FarthestAt { point: last };
    }
    match want.what {
        Target::Source(source) if matches!(scene.source(source).map(|s| &s.spot), Some(Spot::Any(_))) => {
            Break::NoSocket
        }
        _ => Break::Nowhere,
    }
}

/// Follows a socket's slot up the chain to where it falls off.
fn rides_off(rig: &Rig, socket: Point) -> Option<Break> {
    let model = rig.model(socket.device)?;
    let carry = model.carries.iter().find(|carry| carry.bank == socket.lane as usize)?;
    let first = match &carry.at {
        Ride::Stacked => {
            let before =
                model.carries.iter().take_while(|other| other.bank != carry.bank).filter(|o| o.port == carry.port);
            before.map(|other| model.lane(other.bank).map_or(0, |lane| lane.size)).sum::<u32>() + 1
        }
        Ride::Fixed(first) => *first,
        Ride::Setting(choices) => *choices.first()?,
    };
    let mut slot = first + socket.number - 1;
    let mut at = LinkEnd { device: socket.device, port: carry.port };
    for _ in 0..=rig.devices.len() {
        if slot > rig.slots(at)? {
            return Some(Break::PastLink { device: socket.device, port: at });
        }
        let Some((far, _)) = rig.peer(at) else { return Some(Break::NoCable { port: at }) };
        let beyond = rig.model(far.device)?;
        // A desk takes what arrives by routes of its own.
        let (_, onward) = beyond.passes.iter().find(|(from, _)| *from == far.port)?;
        let stacked: u32 = beyond
            .carries
            .iter()
            .filter(|carry| carry.port == *onward && carry.at == Ride::Stacked)
            .map(|carry| beyond.lane(carry.bank).map_or(0, |lane| lane.size))
            .sum();
        slot += stacked;
        at = LinkEnd { device: far.device, port: *onward };
        if slot > rig.slots(at)? {
            let top = rig.peer(at).map_or(at, |(up, _)| up);
            return Some(Break::PastLink { device: socket.device, port: top });
        }
    }
    None
}

/// What is wrong where the signal should arrive: a box without a cable, or one that another desk drives.
fn end_side(scene: &Scene, want: &Want) -> Option<Break> {
    let rig = &scene.rig;
    let model = rig.model(want.end.device)?;
    let takes: Vec<_> = model.takes.iter().filter(|take| take.bank == want.end.lane as usize).collect();
    let loose: Vec<LinkEnd> =
        takes.iter().filter_map(|take| loose_end(rig, LinkEnd { device: want.end.device, port: take.port })).collect();
    if loose.len() == takes.len() {
        return loose.first().map(|port| Break::NoCable { port: *port });
    }
    let others_only = takes.iter().any(|take| take.first_desk_only)
        && model.ports.iter().filter(|port| port.faces == Faces::Desk).count() > 1;
    others_only.then_some(Break::NotFirstDesk { device: want.end.device })
}

/// A slot in a port, a socket that rides one, or a line, where what was said to lead on cannot be.
fn on_refused(rig: &Rig, point: Point) -> bool {
    let rides = rig.model(point.device).into_iter().flat_map(|model| &model.carries);
    let mut rides = rides.filter(|carry| carry.bank == point.lane as usize);
    rig.lines_refused(point.device)
        || rig.slot_refused(point)
        || rides.any(|carry| rig.cable_refused(LinkEnd { device: point.device, port: carry.port }))
}

/// The signal gets to desks, and to none that a link could join to the one above its end.
fn unlinked(rig: &Rig, end: Point, reached: &BTreeSet<Point>) -> Option<Break> {
    let is_desk = |device: u32| rig.device(device).is_some_and(|device| device.word == DeviceWord::Desk);
    let to = if is_desk(end.device) { end.device } else { rig.first_desk(end.device)? };
    let from = reached.iter().map(|point| point.device).find(|device| is_desk(*device))?;
    reached.iter().all(|point| point.device != to).then_some(Break::NoLink { from, to })
}

/// The first port without a cable, from here up the chain to a desk.
fn loose_end(rig: &Rig, from: LinkEnd) -> Option<LinkEnd> {
    let mut at = from;
    for _ in 0..=rig.devices.len() {
        let Some((far, _)) = rig.peer(at) else { return Some(at) };
        if rig.device(far.device)?.word == DeviceWord::Desk {
            return None;
        }
        let port = rig.model(far.device)?.ports.iter().position(|port| port.faces == Faces::Desk)?;
        at = LinkEnd { device: far.device, port };
    }
    None
}

/// The end takes blocks, and the signal reaches what they are taken from, but at another place in them.
fn out_of_step(rig: &Rig, end: Point, reached: &BTreeSet<Point>) -> Option<Break> {
    let (_, route) = rig.model(end.device)?.route_of(end.lane as usize, end.number)?;
    let How::Blocks(block) = route.how else { return None };
    let feeds = |point: &&Point| {
        point.device == end.device && route.from.contains(&Feed::Lane(point.lane as usize)) && block > 1
    };
    let point = *reached.iter().find(feeds)?;
    ((point.number - 1) % block != (end.number - 1) % block).then_some(Break::OutOfStep { point, block })
}

fn all_onward(scene: &Scene) -> FxHashMap<Point, Vec<Point>> {
    let rig = &scene.rig;
    let mut graph = Graph::new(scene, 0);
    let mut switches = Switches::default();
    let mut onward: FxHashMap<Point, Vec<Point>> = FxHashMap::default();
    for (device, _) in (0u32..).zip(&rig.devices) {
        let Some(model) = rig.model(device) else { continue };
        for (lane, fact) in (0u32..).zip(&model.lanes) {
            for point in (1..=fact.size).map(|number| Point { device, lane, number }) {
                for edge in graph.feeders(point, &mut switches) {
                    if let Node::Point(from) = edge.from {
                        onward.entry(from).or_default().push(point);
                    }
                }
            }
        }
    }
    onward
}

/// All points that a signal reaches by some setting, and the farthest among those where signals are
/// handed on.
fn reach(rig: &Rig, start: Point, onward: &FxHashMap<Point, Vec<Point>>) -> (BTreeSet<Point>, Point) {
    let mut seen = BTreeSet::from([start]);
    let mut open = VecDeque::from([start]);
    let mut last = start;
    while let Some(at) = open.pop_front() {
        let handed_on = rig.lane_at(at).is_some_and(|lane| match lane.kind {
            LaneKind::PortIn(_) | LaneKind::PortOut(_) => true,
            LaneKind::Bank(role) => role == Role::In,
        });
        if handed_on {
            last = at;
        }
        for next in onward.get(&at).into_iter().flatten() {
            // What a channel plays is no longer the signal that came in.
            let channel = rig.lane_at(*next).is_some_and(|lane| lane.end && lane.kind == LaneKind::Bank(Role::Inner));
            if seen.insert(*next) && !channel {
                open.push_back(*next);
            }
        }
    }
    (seen, last)
}
