//! Ground wiring: for every point, what may feed it and which switches must stand how for that.

use super::switches::{Literal, Switch, SwitchId, Switches, Value, What, choices};
use crate::plan::Role;
use crate::rig::{Feed, How, LaneKind, LinkEnd, Model, Point, Ride, Rig};
use crate::wants::{Scene, Spot};
use std::collections::BTreeMap;

/// One way for a point to be fed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Edge {
    /// At most two switches: a mode and an offset, or a plug and its socket.
    pub literals: [Option<Literal>; 2],
    pub from: Node,
    /// A port passes on what arrives at another, which it also does while nothing rides it.
    pub passes: bool,
}

/// What feeds a point: another point, or a source whose socket is still open.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Node {
    Point(Point),
    Open(usize),
}

impl Edge {
    fn plain(from: Point) -> Edge {
        Edge { literals: [None, None], from: Node::Point(from), passes: false }
    }

    fn when(literal: Literal, from: Point) -> Edge {
        Edge { literals: [Some(literal), None], from: Node::Point(from), passes: false }
    }
}

/// The wiring of one scene, worked out where it is looked at.
pub struct Graph<'a> {
    pub scene: &'a Scene,
    pub number: usize,
    /// Sources with an open socket, by the sockets that they may take.
    open: BTreeMap<Point, Vec<usize>>,
    /// The switch of each route that was met, by the place of the first point of its block.
    routes: Vec<Option<SwitchId>>,
    /// Of each device, where its points begin among all points; of each lane within that.
    bases: Vec<(u32, Vec<u32>)>,
}

impl<'a> Graph<'a> {
    pub fn new(scene: &'a Scene, number: usize) -> Self {
        let mut open: BTreeMap<Point, Vec<usize>> = BTreeMap::new();
        for (index, source) in scene.sources.iter().enumerate() {
            if let Spot::Any(points) = &source.spot {
                for point in points {
                    open.entry(*point).or_default().push(index);
                }
            }
        }
        let (bases, count) = bases(&scene.rig);
        Graph { scene, number, open, routes: vec![None; count as usize], bases }
    }

    /// A number of its own for every point of the rig, from 0. What is no point has none.
    pub fn place(&self, point: Point) -> Option<usize> {
        let (base, lanes) = self.bases.get(point.device as usize)?;
        let lane = lanes.get(point.lane as usize)?;
        let next = lanes.get(point.lane as usize + 1)?;
        (point.number > 0 && lane + point.number <= *next).then(|| (base + lane + point.number - 1) as usize)
    }

    /// How many points there are.
    pub fn points(&self) -> usize {
        self.routes.len()
    }

    fn rig(&self) -> &'a Rig {
        &self.scene.rig
    }

    /// The point of a place.
    pub fn point(&self, place: usize) -> Option<Point> {
        let place = u32::try_from(place).ok()?;
        let device = self.bases.partition_point(|(base, _)| *base <= place).checked_sub(1)?;
        let (base, lanes) = self.bases.get(device)?;
        let lane = lanes.partition_point(|first| *first <= place - base).checked_sub(1)?;
        let number = place - base - lanes.get(lane)? + 1;
        let point = Point { device: u32::try_from(device).ok()?, lane: u32::try_from(lane).ok()?, number };
        (self.place(point) == Some(place as usize)).then_some(point)
    }

    /// What may feed a point. There is much of it, so nothing is kept.
    pub fn feeders(&mut self, point: Point, switches: &mut Switches) -> Vec<Edge> {
        self.work_out(point, None, switches)
    }

    /// The same with routes as they are set, and without those that are not.
    pub fn feeders_when(
        &mut self,
        point: Point,
        values: &BTreeMap<SwitchId, Value>,
        switches: &mut Switches,
    ) -> Vec<Edge> {
        self.work_out(point, Some(values), switches)
    }

    fn work_out(
        &mut self,
        point: Point,
        values: Option<&BTreeMap<SwitchId, Value>>,
        switches: &mut Switches,
    ) -> Vec<Edge> {
        let rig = self.rig();
        let (Some(model), Some(lane)) = (rig.model(point.device), rig.lane_at(point)) else { return Vec::new() };
        match lane.kind {
            LaneKind::Bank(Role::Origin) => Vec::new(),
            LaneKind::Bank(Role::In) => self.at_socket(point, switches),
            LaneKind::PortIn(port) => self.at_port(point, port),
            LaneKind::PortOut(port) => {
                let routed = self.routed(point, model, None, switches);
                if routed.is_empty() { self.out_of_port(point, model, port, switches) } else { routed }
            }
            LaneKind::Bank(_) => {
                let mut edges = self.taken(point, model, switches);
                edges.extend(self.copied(point, model, switches));
                edges.extend(self.routed(point, model, values, switches));
                edges
            }
        }
    }

    /// A socket: the far end of an analogue line, or a source that may still plug in here.
    fn at_socket(&self, point: Point, switches: &mut Switches) -> Vec<Edge> {
        // A dead or reserved line carries nothing for anybody.
        if self.rig().out_of_use(point) {
            return Vec::new();
        }
        if let Some((from, _)) = self.rig().brought_to(point) {
            return vec![Edge::plain(from)];
        }
        let device = self.rig().device_name(point.device).to_string();
        let mut edges = Vec::new();
        for source in self.open.get(&point).into_iter().flatten() {
            let Some(fact) = self.scene.source(*source) else { continue };
            let plug = switches.number(Switch {
                device: String::new(),
                what: What::Plug { source: fact.name.clone() },
                scene: Some(self.number),
            });
            let occupant = switches.number(Switch {
                device: device.clone(),
                what: What::Occupant { lane: point.lane, number: point.number },
                scene: Some(self.number),
            });
            let here = Literal { switch: plug, value: switches.named(&self.rig().point_text(point)) };
            let taken = Literal { switch: occupant, value: switches.named(&fact.name) };
            edges.push(Edge { literals: [Some(here), Some(taken)], from: Node::Open(*source), passes: false });
        }
        edges
    }

    /// What arrives at a port: what leaves by the port at the far end of its cable.
    fn at_port(&self, point: Point, port: usize) -> Vec<Edge> {
        let rig = self.rig();
        let Some((far, _)) = rig.peer(LinkEnd { device: point.device, port }) else { return Vec::new() };
        let outward = rig.model(far.device).and_then(|model| model.ports.get(far.port)).map(|port| port.outward);
        let Some(outward) = outward.and_then(|lane| u32::try_from(lane).ok()) else { return Vec::new() };
        let from = Point { device: far.device, lane: outward, number: point.number };
        let exists = rig.lane_at(from).is_some_and(|lane| from.number <= lane.size);
        if exists { vec![Edge::plain(from)] } else { Vec::new() }
    }

    /// What leaves by a port without routes: own banks that ride it, and what it passes on.
    fn out_of_port(&self, point: Point, model: &Model, port: usize, switches: &mut Switches) -> Vec<Edge> {
        let at = |lane: usize, number: u32| Point { device: point.device, lane: lane as u32, number };
        let mut shift = 0;
        let mut edges = Vec::new();
        let mut settings: Vec<(SwitchId, &[u32], u32)> = Vec::new();
        for carry in model.carries.iter().filter(|carry| carry.port == port) {
            let size = model.lane(carry.bank).map_or(0, |lane| lane.size);
            match &carry.at {
                Ride::Stacked => {
                    if point.number > shift && point.number <= shift + size {
                        return vec![Edge::plain(at(carry.bank, point.number - shift))];
                    }
                    shift += size;
                }
                Ride::Fixed(first) => {
                    if (*first..first + size).contains(&point.number) {
                        return vec![Edge::plain(at(carry.bank, point.number - first + 1))];
                    }
                }
                Ride::Setting(places) => {
                    let switch = self.bank_switch(point.device, carry.bank, true, switches);
                    for first in places.iter().filter(|first| (**first..**first + size).contains(&point.number)) {
                        let literal = Literal { switch, value: Value(*first) };
                        edges.push(Edge::when(literal, at(carry.bank, point.number - first + 1)));
                    }
                    settings.push((switch, places, size));
                }
            }
        }
        edges.extend(self.passed_on(point, model, port, shift, &settings));
        edges
    }

    fn passed_on(
        &self,
        point: Point,
        model: &Model,
        port: usize,
        shift: u32,
        settings: &[(SwitchId, &[u32], u32)],
    ) -> Vec<Edge> {
        let passes = model.passes.iter().find(|(_, to)| *to == port);
        let Some(from) = passes.and_then(|(from, _)| model.ports.get(*from)) else { return Vec::new() };
        if point.number <= shift {
            return Vec::new();
        }
        let source = Point { device: point.device, lane: from.inward as u32, number: point.number - shift };
        if self.rig().lane_at(source).is_none_or(|lane| source.number > lane.size) {
            return Vec::new();
        }
        match settings {
            [] => vec![Edge::plain(source)],
            // What rides at a setting leaves this slot free at those settings that do not cover it.
            [(switch, places, size)] => places
                .iter()
                .filter(|first| !(**first..**first + size).contains(&point.number))
                .map(|first| Edge {
                    passes: true,
                    ..Edge::when(Literal { switch: *switch, value: Value(*first) }, source)
                })
                .collect(),
            _ => Vec::new(),
        }
    }

    fn taken(&self, point: Point, model: &Model, switches: &mut Switches) -> Vec<Edge> {
        let mut edges = Vec::new();
        for take in model.takes.iter().filter(|take| take.bank == point.lane as usize) {
            let end = LinkEnd { device: point.device, port: take.port };
            if take.first_desk_only && !self.is_first_desks(end) {
                continue;
            }
            let Some(port) = model.ports.get(take.port) else { continue };
            let slots = model.lane(port.inward).map_or(0, |lane| lane.size);
            let mode = self.mode_literal(point, model, take.mode.as_deref(), switches);
            let slot = |first: u32| first + point.number - 1;
            let from = |first: u32| Point { device: point.device, lane: port.inward as u32, number: slot(first) };
            match &take.at {
                Ride::Fixed(first) if slot(*first) <= slots => {
                    edges.push(Edge { literals: [mode, None], from: Node::Point(from(*first)), passes: false });
                }
                Ride::Setting(_) => {
                    let switch = self.bank_switch(point.device, take.bank, false, switches);
                    for first in choices(&take.at).iter().filter(|first| slot(**first) <= slots) {
                        let offset = Some(Literal { switch, value: Value(*first) });
                        edges.push(Edge { literals: [mode, offset], from: Node::Point(from(*first)), passes: false });
                    }
                }
                _ => {}
            }
        }
        edges
    }

    /// Does this port lead to the desk that may drive the outputs?
    pub fn is_first_desks(&self, end: LinkEnd) -> bool {
        let first = self.rig().first_desk(end.device);
        first.is_some() && self.rig().desk_beyond(end) == first
    }

    fn copied(&self, point: Point, model: &Model, switches: &mut Switches) -> Vec<Edge> {
        let of_bank = model.copies.iter().filter(|copy| copy.bank == point.lane as usize);
        let edge = |copy: &crate::rig::Copy, switches: &mut Switches| {
            let mode = self.mode_literal(point, model, copy.mode.as_deref(), switches);
            let from = Point { device: point.device, lane: copy.of as u32, number: copy.first + point.number - 1 };
            let exists = model.lane(copy.of).is_some_and(|lane| from.number <= lane.size);
            exists.then_some(Edge { literals: [mode, None], from: Node::Point(from), passes: false })
        };
        of_bank.filter_map(|copy| edge(copy, switches)).collect()
    }

    fn mode_literal(
        &self,
        point: Point,
        model: &Model,
        mode: Option<&str>,
        switches: &mut Switches,
    ) -> Option<Literal> {
        let index = model.modes(point.lane as usize).iter().position(|known| Some(*known) == mode)?;
        let device = self.rig().device_name(point.device).to_string();
        let switch = switches.number(Switch { device, what: What::Mode { lane: point.lane }, scene: None });
        Some(Literal { switch, value: Value(u32::try_from(index).unwrap_or(0)) })
    }

    fn bank_switch(&self, device: u32, bank: usize, rides: bool, switches: &mut Switches) -> SwitchId {
        let lane = bank as u32;
        let what = if rides { What::Slot { lane } } else { What::Offset { lane } };
        switches.number(Switch { device: self.rig().device_name(device).to_string(), what, scene: None })
    }

    fn routed(
        &mut self,
        point: Point,
        model: &Model,
        values: Option<&BTreeMap<SwitchId, Value>>,
        switches: &mut Switches,
    ) -> Vec<Edge> {
        let Some((_, route)) = model.route_of(point.lane as usize, point.number) else { return Vec::new() };
        if route.part.is_none() && reserved_for_another(model, point, self.rig().rate_hz) {
            return Vec::new();
        }
        let start = route.part.map_or(1, |(first, _)| first);
        let How::Blocks(size) = route.how else {
            return self.straight(point, model, route.from.first(), start);
        };
        let first = (point.number - 1) / size * size + 1;
        let within = point.number - first;
        let switch = self.route_switch(Point { number: first, ..point }, switches);
        let mut edges = Vec::new();
        let mut add = |index: usize, block: u32| {
            let source = route.from.get(index).and_then(|feed| in_block(model, feed, block, size, within));
            edges.extend(source.map(|(lane, number)| {
                let literal = Literal { switch, value: Value::of_route(index, block) };
                Edge::when(literal, Point { device: point.device, lane, number })
            }));
        };
        if let Some(values) = values {
            let set = values.get(&switch).map(|value| value.route());
            set.into_iter().for_each(|(index, block)| add(index, block));
            return edges;
        }
        for (index, feed) in route.from.iter().enumerate() {
            (0..size_of(model, feed).div_ceil(size.max(1))).for_each(|block| add(index, block));
        }
        edges
    }

    /// The switch of the block that starts at a point.
    fn route_switch(&mut self, first: Point, switches: &mut Switches) -> SwitchId {
        let place = self.place(first);
        if let Some(known) = place.and_then(|place| self.routes.get(place).copied().flatten()) {
            return known;
        }
        let device = self.rig().device_name(first.device).to_string();
        let what = What::Route { lane: first.lane, first: first.number };
        let switch = switches.number(Switch { device, what, scene: Some(self.number) });
        if let Some(known) = place.and_then(|place| self.routes.get_mut(place)) {
            *known = Some(switch);
        }
        switch
    }

    fn straight(&self, point: Point, model: &Model, feed: Option<&Feed>, start: u32) -> Vec<Edge> {
        let number = point.number - start + 1;
        let from = match feed {
            Some(Feed::Lane(from)) if model.lane(*from).is_some_and(|lane| number <= lane.size) => {
                Some((*from, number))
            }
            Some(Feed::Block(block)) => {
                model.blocks.get(*block).and_then(|block| block.points.get(number as usize - 1)).copied()
            }
            _ => None,
        };
        let edge =
            |(lane, number): (usize, u32)| Edge::plain(Point { device: point.device, lane: lane as u32, number });
        from.map(edge).into_iter().collect()
    }
}

/// How many points a route may take of a feed.
fn size_of(model: &Model, feed: &Feed) -> u32 {
    match feed {
        Feed::Lane(from) => model.lane(*from).map_or(0, |lane| lane.size),
        Feed::Block(block) => model.blocks.get(*block).map_or(0, |block| block.points.len() as u32),
    }
}

/// The lane and number of a place, from 0, within a block of a feed.
fn in_block(model: &Model, feed: &Feed, block: u32, size: u32, within: u32) -> Option<(u32, u32)> {
    let number = block * size + within + 1;
    match feed {
        Feed::Lane(from) => (number <= size_of(model, feed)).then_some((*from as u32, number)),
        Feed::Block(block) => {
            let (lane, number) = model.blocks.get(*block)?.points.get(number as usize - 1)?;
            Some((*lane as u32, *number))
        }
    }
}

fn bases(rig: &Rig) -> (Vec<(u32, Vec<u32>)>, u32) {
    let mut next = 0;
    let mut bases = Vec::with_capacity(rig.devices.len());
    for device in (0u32..).take(rig.devices.len()) {
        let mut lanes = vec![0];
        let mut within = 0;
        for lane in rig.model(device).into_iter().flat_map(|model| &model.lanes) {
            within += lane.size;
            lanes.push(within);
        }
        bases.push((next, lanes));
        next += within;
    }
    (bases, next)
}

/// A slot that only one bank may ride takes nothing by a route that is said for the whole port.
fn reserved_for_another(model: &Model, point: Point, rate_hz: u32) -> bool {
    let Some(LaneKind::PortOut(port)) = model.lane(point.lane as usize).map(|lane| lane.kind) else { return false };
    model.reserved.iter().any(|reserved| {
        reserved.port == port
            && (reserved.first..=reserved.last).contains(&point.number)
            && reserved.rate_hz.is_none_or(|rate| rate == rate_hz)
    })
}
