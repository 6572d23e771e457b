//! What feeds a point by which switch: routes, ports, offsets and modes.

use super::rig::{Device, Rig};
use super::{Edge, Grounds, Literal, Node, Point, Switch, Value};
use fantail::plan::{Place, Role, Route, Wiring};

impl Grounds {
    pub(super) fn feeds(&mut self, rig: &Rig, scene: usize, index: usize, lane: usize, number: u32) -> Vec<Edge> {
        let device = &rig.devices[index];
        let banks = device.wiring.banks.len();
        if lane >= banks {
            let port = (lane - banks) / 2;
            if (lane - banks).rem_euclid(2) == 0 {
                let far = rig.peers.get(&(index, port));
                let from = far.and_then(|(far, port)| {
                    let far = &rig.devices[*far];
                    far.point(far.inward(*port) + 1, number)
                });
                return from.map(|from| Edge { literals: vec![], from: Node::Point(from) }).into_iter().collect();
            }
            let name = &device.wiring.ports[port].port;
            return match governing(device.wiring, name, number, rig.rate_hz) {
                Some((at, route)) => self.routed(rig, scene, device, lane, number, at, route),
                None => self.out_of_port(device, port, number),
            };
        }
        let bank = &device.wiring.banks[lane];
        match bank.role {
            Role::Origin => Vec::new(),
            Role::In => {
                let run = device.point(lane, number).and_then(|point| rig.runs.get(&point));
                run.map(|from| Edge { literals: vec![], from: Node::Point(*from) }).into_iter().collect()
            }
            Role::Out | Role::Inner => {
                let mut edges = self.taken(rig, index, lane, number);
                edges.extend(self.copied(device, lane, number));
                if let Some((at, route)) = governing(device.wiring, &bank.bank, number, rig.rate_hz) {
                    edges.extend(self.routed(rig, scene, device, lane, number, at, route));
                }
                edges
            }
        }
    }

    #[allow(clippy::too_many_arguments)]
    pub(super) fn routed(
        &mut self,
        rig: &Rig,
        scene: usize,
        device: &Device,
        lane: usize,
        number: u32,
        at: usize,
        route: &Route,
    ) -> Vec<Edge> {
        let banks = device.wiring.banks.len();
        let size = route.block.unwrap_or(1);
        if lane >= banks && route.first.is_none() {
            let port = &device.wiring.ports[(lane - banks) / 2].port;
            let reserved = |r: &&fantail::plan::Reserved| {
                r.port == *port && (r.first..=r.last).contains(&number) && r.rate_hz.is_none_or(|hz| hz == rig.rate_hz)
            };
            if device.wiring.reserved.iter().any(|r| reserved(&r)) {
                return Vec::new();
            }
        }
        if route.fixed {
            let k = number - route.first.unwrap_or(1) + 1;
            let from = device.source_lane(&route.from[0]).and_then(|from| device.point(from, k));
            return from.map(|from| Edge { literals: vec![], from: Node::Point(from) }).into_iter().collect();
        }
        let first = (number - 1) / size * size + 1;
        let last = (first + size - 1).min(device.sizes[lane]);
        let values = route_values(device, route, size, first, last - first + 1);
        let switch = self.switch(Switch {
            scene: Some(scene),
            device: device.name.clone(),
            set: "route",
            bank: route.bank.clone(),
            first,
            last,
            values: values.iter().map(|(value, _)| value.clone()).collect(),
            pinned: None,
        });
        if let Some(most) = route.at_most {
            let limit = self.limits.entry((scene, device.name.clone(), at)).or_insert((most, Vec::new()));
            if !limit.1.iter().any(|(known, _)| *known == switch) {
                limit.1.push((switch, last - first + 1));
            }
        }
        let within = (number - first) as usize;
        let edge = |(value, (_, points)): (usize, &(Value, Vec<Point>))| {
            let from = *points.get(within)?;
            Some(Edge { literals: vec![(switch, value)], from: Node::Point(from) })
        };
        values.iter().enumerate().filter_map(edge).collect()
    }

    pub(super) fn out_of_port(&mut self, device: &Device, port: usize, number: u32) -> Vec<Edge> {
        let name = &device.wiring.ports[port].port;
        let mut shift = 0;
        let mut edges = Vec::new();
        let mut setting = None;
        for carries in device.wiring.carries.iter().filter(|carries| carries.port == *name) {
            let bank = device.bank(&carries.bank).unwrap();
            let size = device.sizes[bank];
            match &carries.at {
                Place::Slot(first) => {
                    if (*first..first + size).contains(&number) {
                        return plain(device, bank, number + 1 - first);
                    }
                }
                Place::Word(word) if word == "stacked" => {
                    if (shift + 1..=shift + size).contains(&number) {
                        return plain(device, bank, number - shift);
                    }
                    shift += size;
                }
                Place::Word(_) => {
                    let switch = self.numbered(device, "slot", bank, &carries.choices);
                    for (value, first) in carries.choices.iter().enumerate() {
                        if (*first..first + size).contains(&number) {
                            let from = Node::Point(device.point(bank, number + 1 - first).unwrap());
                            edges.push(Edge { literals: vec![(switch, value)], from });
                        }
                    }
                    setting = Some((switch, carries.choices.clone(), size));
                }
            }
        }
        let passes = device.wiring.passes.iter().find(|passes| passes.to == *name);
        let from = passes
            .filter(|_| number > shift)
            .and_then(|passes| device.point(device.inward(device.port(&passes.from)?), number - shift));
        let Some(from) = from else { return edges };
        match setting {
            None => edges.push(Edge { literals: vec![], from: Node::Point(from) }),
            Some((switch, choices, size)) => {
                let free = choices.iter().enumerate().filter(|(_, first)| !(**first..**first + size).contains(&number));
                edges.extend(free.map(|(value, _)| Edge { literals: vec![(switch, value)], from: Node::Point(from) }));
            }
        }
        edges
    }

    pub(super) fn numbered(&mut self, device: &Device, set: &'static str, lane: usize, choices: &[u32]) -> usize {
        self.switch(Switch {
            scene: None,
            device: device.name.clone(),
            set,
            bank: device.wiring.banks[lane].bank.clone(),
            first: 0,
            last: 0,
            values: choices.iter().map(|n| Value { text: n.to_string(), rank: u64::from(*n), number: *n }).collect(),
            pinned: None,
        })
    }

    pub(super) fn mode(&mut self, device: &Device, lane: usize, mode: Option<&str>) -> Vec<Literal> {
        let Some(mode) = mode else { return Vec::new() };
        let bank = &device.wiring.banks[lane].bank;
        let copies = device.wiring.copies.iter().filter(|c| c.bank == *bank).filter_map(|c| c.mode.clone());
        let takes = device.wiring.takes.iter().filter(|t| t.bank == *bank).filter_map(|t| t.mode.clone());
        let mut modes: Vec<String> = Vec::new();
        for mode in copies.chain(takes) {
            if !modes.contains(&mode) {
                modes.push(mode);
            }
        }
        let value = modes.iter().position(|known| known == mode).unwrap();
        let values = modes.into_iter().enumerate();
        let switch = self.switch(Switch {
            scene: None,
            device: device.name.clone(),
            set: "mode",
            bank: bank.clone(),
            first: 0,
            last: 0,
            values: values.map(|(n, text)| Value { text, rank: n as u64, number: 0 }).collect(),
            pinned: None,
        });
        vec![(switch, value)]
    }

    pub(super) fn taken(&mut self, rig: &Rig, index: usize, lane: usize, number: u32) -> Vec<Edge> {
        let device = &rig.devices[index];
        let bank = &device.wiring.banks[lane].bank;
        let mut edges = Vec::new();
        for takes in device.wiring.takes.iter().filter(|takes| takes.bank == *bank) {
            let port = device.port(&takes.port).unwrap();
            if takes.driven_by.is_some() {
                let first = rig.first_desk(index);
                if first.is_none() || rig.top(index, port).map(|(desk, _)| desk) != first {
                    continue;
                }
            }
            let mode = self.mode(device, lane, takes.mode.as_deref());
            let at = |first: u32| device.point(device.inward(port), first + number - 1);
            match &takes.at {
                Place::Slot(first) => {
                    edges.extend(at(*first).map(|from| Edge { literals: mode, from: Node::Point(from) }));
                }
                Place::Word(_) => {
                    let switch = self.numbered(device, "offset", lane, &takes.choices);
                    for (value, first) in takes.choices.iter().enumerate() {
                        if let Some(from) = at(*first) {
                            let mut literals = mode.clone();
                            literals.push((switch, value));
                            edges.push(Edge { literals, from: Node::Point(from) });
                        }
                    }
                }
            }
        }
        edges
    }

    pub(super) fn copied(&mut self, device: &Device, lane: usize, number: u32) -> Vec<Edge> {
        let bank = &device.wiring.banks[lane].bank;
        let mut edges = Vec::new();
        for copies in device.wiring.copies.iter().filter(|copies| copies.bank == *bank) {
            let mode = self.mode(device, lane, copies.mode.as_deref());
            let of = device.bank(&copies.of).unwrap();
            let from = device.point(of, copies.first + number - 1);
            edges.extend(from.map(|from| Edge { literals: mode, from: Node::Point(from) }));
        }
        edges
    }
}

fn plain(device: &Device, lane: usize, number: u32) -> Vec<Edge> {
    let from = device.point(lane, number);
    from.map(|from| Edge { literals: vec![], from: Node::Point(from) }).into_iter().collect()
}

/// The route of a point: the one said for a part that holds it, else the one for the whole.
fn governing<'a>(wiring: &'a Wiring, name: &str, number: u32, rate_hz: u32) -> Option<(usize, &'a Route)> {
    let here = |route: &Route| route.bank == name && route.rate_hz.is_none_or(|hz| hz == rate_hz);
    let mut routes: Vec<(usize, &Route)> = wiring.routes.iter().enumerate().filter(|(_, route)| here(route)).collect();
    routes.sort_by_key(|(_, route)| route.first.is_none());
    routes.into_iter().find(|(_, route)| match (route.first, route.last) {
        (Some(first), Some(last)) => (first..=last).contains(&number),
        _ => true,
    })
}

/// What a block can be fed from, each with its points, and how late it is tried.
fn route_values(device: &Device, route: &Route, size: u32, first: u32, fed: u32) -> Vec<(Value, Vec<Point>)> {
    let mut values = Vec::new();
    for (feed, name) in route.from.iter().enumerate() {
        let late = |inner: bool, straight: bool, block: u32| {
            (u64::from(inner) << 40) + (u64::from(!straight) << 32) + ((feed as u64) << 16) + u64::from(block)
        };
        if let Some(block) = device.wiring.blocks.iter().find(|block| block.block == *name) {
            let points: Vec<Point> = block.points.iter().flat_map(|text| named(device, text)).collect();
            if points.len() <= size as usize {
                let text = format!("{}.{name}", device.name);
                values.push((Value { text, rank: late(true, false, 0), number: 0 }, points));
                continue;
            }
            for (at, chunk) in points.chunks(size as usize).enumerate() {
                let text = format!("{}.{name} {}", device.name, at as u32 * size + 1);
                values.push((Value { text, rank: late(true, false, at as u32), number: 0 }, chunk.to_vec()));
            }
            continue;
        }
        let lane = device.source_lane(name).unwrap();
        let inner = device.wiring.banks.get(lane).is_some_and(|bank| matches!(bank.role, Role::Inner | Role::Out));
        let count = device.sizes[lane];
        for block in 0..count.div_ceil(size) {
            // A short block at the end of the fed bank takes as many points as it has.
            let (start, end) = (block * size + 1, (block * size + size.min(fed)).min(count));
            let numbers = if start == end { start.to_string() } else { format!("{start}-{end}") };
            let text = format!("{}.{name} {numbers}", device.name);
            let points = (start..=end).filter_map(|n| device.point(lane, n)).collect();
            values.push((Value { text, rank: late(inner, start == first, block), number: 0 }, points));
        }
    }
    values
}

/// `aux-out 1-4`
fn named(device: &Device, text: &str) -> Vec<Point> {
    let (bank, numbers) = text.split_once(' ').unwrap();
    let (first, last) = numbers.split_once('-').unwrap_or((numbers, numbers));
    let lane = device.source_lane(bank).unwrap();
    (first.parse::<u32>().unwrap()..=last.parse().unwrap()).filter_map(|n| device.point(lane, n)).collect()
}
