//! Which preamps a source comes by. From its socket a signal goes straight through splits and snakes,
//! by wires that nobody switches, to the sockets that amplify it; a transformer on the way passes no
//! phantom power.

use super::build::{LinkEnd, Rig};
use super::model::{Feed, How, Lane, LaneKind, RouteFact};
use super::points::Point;
use crate::plan::Role;
use crate::syntax::ast::{DeviceWord, Faces};

/// A socket with a preamp that a plug's signal arrives at without any switch.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Preamp {
    pub socket: Point,
    /// Behind a transformer: phantom power cannot get back to the source.
    pub isolated: bool,
    /// Behind a line that is dead or kept for something else: nobody uses it.
    pub out_of_use: bool,
}

/// Every socket that a source plugged in at `plug` comes by without any switch, the first one included.
pub fn sockets_beyond(rig: &Rig, plug: Point) -> Vec<Point> {
    let mut found = vec![plug];
    let mut next = 0;
    while let Some(at) = found.get(next).copied() {
        next += 1;
        let fed = straight_from(rig, at);
        let lines = fed.iter().flat_map(|point| rig.led_from(*point)).copied();
        let lines: Vec<Point> = lines.filter(|point| !found.contains(point)).collect();
        found.extend(lines);
    }
    found
}

/// All preamps that a source plugged in at `plug` arrives at, direct ones first, then by point.
pub fn preamps_of(rig: &Rig, plug: Point) -> Vec<Preamp> {
    ends_of(rig, plug, |_, lane| lane.is_preamp() && lane.kind == LaneKind::Bank(Role::In))
}

/// The first input of gear that others bring which is wired straight to a plug: they may supply its 48 V.
pub fn brought_supply(rig: &Rig, plug: Point) -> Option<Point> {
    let brought = |at: Point| rig.device(at.device).is_some_and(|device| device.word == DeviceWord::Outside);
    let ends = ends_of(rig, plug, |at, lane| lane.end && lane.kind == LaneKind::Bank(Role::In) && brought(at));
    ends.into_iter().find(|end| !end.isolated).map(|end| end.socket)
}

fn ends_of(rig: &Rig, plug: Point, is_end: impl Fn(Point, &Lane) -> bool) -> Vec<Preamp> {
    let mut found = Vec::new();
    let mut open = vec![(plug, false, false)];
    let mut seen = Vec::new();
    while let Some((at, isolated, unused)) = open.pop() {
        if seen.contains(&at) {
            continue;
        }
        seen.push(at);
        let Some(lane) = rig.lane_at(at) else { continue };
        let out_of_use = unused || rig.out_of_use(at);
        if is_end(at, lane) {
            found.push(Preamp { socket: at, isolated, out_of_use });
            continue;
        }
        for next in straight_from(rig, at) {
            let behind = rig.lane_at(next).is_some_and(|lane| lane.isolated);
            open.push((next, isolated || behind, out_of_use));
        }
        open.extend(rig.led_from(at).iter().map(|next| (*next, isolated, out_of_use)));
    }
    found.sort_by_key(|preamp| (preamp.isolated, preamp.socket));
    found
}

/// Every way by analogue lines from a plug to a preamp: each point on it, the preamp's socket last.
pub fn ways_to_preamps(rig: &Rig, plug: Point) -> Vec<Vec<Point>> {
    let (mut found, mut open) = (Vec::new(), vec![vec![plug]]);
    while let Some(way) = open.pop() {
        let Some((at, lane)) = way.last().and_then(|at| Some((*at, rig.lane_at(*at)?))) else { continue };
        if lane.is_preamp() && lane.kind == LaneKind::Bank(Role::In) {
            found.push(way);
            continue;
        }
        let onward = straight_from(rig, at).into_iter().chain(rig.led_from(at).iter().copied());
        open.extend(onward.filter(|next| !way.contains(next)).map(|next| [way.as_slice(), &[next]].concat()));
    }
    found.sort();
    found
}

/// Where the copper from a plug ends, with nothing active between: at preamps, and at what others bring.
pub fn copper_ends(rig: &Rig, plug: Point) -> Vec<Point> {
    let (mut ends, mut open) = (Vec::new(), vec![plug]);
    let mut next = 0;
    while let Some(at) = open.get(next).copied() {
        next += 1;
        let Some(lane) = rig.lane_at(at) else { continue };
        if lane.kind == LaneKind::Bank(Role::In) && (lane.is_preamp() || lane.end) {
            ends.push(at);
            continue;
        }
        let onward = straight_from(rig, at).into_iter().chain(rig.led_from(at).iter().copied());
        let onward: Vec<Point> = onward.filter(|point| !open.contains(point)).collect();
        open.extend(onward);
    }
    ends.sort();
    ends
}

/// Points of the same device that are wired straight from this one.
fn straight_from(rig: &Rig, at: Point) -> Vec<Point> {
    let Some(model) = rig.model(at.device) else { return Vec::new() };
    let fed = |route: &RouteFact| {
        let from_here = route.how == How::Straight && route.from.first() == Some(&Feed::Lane(at.lane as usize));
        let start = route.part.map_or(1, |(first, _)| first);
        let number = at.number + start - 1;
        let size = model.lane(route.lane).map_or(0, |lane| lane.size);
        (from_here && number <= size).then_some(Point { device: at.device, lane: route.lane as u32, number })
    };
    model.routes.iter().filter_map(fed).collect()
}

/// The preamp on the way to a desk; one that is shared where the desk has none of its own.
pub fn preamp_for(rig: &Rig, desk: Option<u32>, preamps: &[Preamp]) -> Option<Point> {
    own_preamp(rig, desk, preamps).or(preamps.first()).map(|preamp| preamp.socket)
}

/// The preamp on the way to a desk and to no other.
pub fn own_preamp<'a>(rig: &Rig, desk: Option<u32>, preamps: &'a [Preamp]) -> Option<&'a Preamp> {
    let leads_home = |socket: &Point| {
        let model = rig.model(socket.device);
        let ports = model.map_or(0, |model| model.ports.len());
        desk == Some(socket.device)
            || (0..ports).any(|port| {
                let end = LinkEnd { device: socket.device, port };
                let faces = model.and_then(|m| m.ports.get(port)).map(|port| port.faces);
                faces == Some(Faces::Desk) && rig.desk_beyond(end) == desk
            })
    };
    preamps.iter().find(|preamp| leads_home(&preamp.socket))
}
