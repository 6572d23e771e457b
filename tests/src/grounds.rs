//! The ground for the brute force: points, what feeds what by which switch, wants in their order. Made from
//! the wiring, devices and cables that a plan publishes and from the rows as data; it must never use the
//! compiler's own rig or routes.

use crate::small::{From as Spot, Row, Small};
use fantail::plan::{Place, Plan, Role, Route, Wiring};
use std::collections::{BTreeMap, BTreeSet};

pub type Point = usize;
/// A switch at one of its values, both by index.
pub type Literal = (usize, usize);

#[derive(Clone, Debug)]
pub struct Switch {
    pub scene: Option<usize>,
    pub device: String,
    pub set: &'static str,
    pub bank: String,
    pub first: u32,
    pub last: u32,
    pub values: Vec<Value>,
    pub pinned: Option<usize>,
}

#[derive(Clone, Debug)]
pub struct Value {
    pub text: String,
    pub rank: u64,
    pub number: u32,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Node {
    Point(Point),
    /// A source of a scene whose socket is open.
    Open(usize, usize),
}

#[derive(Clone, Debug)]
pub struct Edge {
    pub literals: Vec<Literal>,
    pub from: Node,
}

#[derive(Clone, Debug)]
pub struct Want {
    pub scene: usize,
    pub end: Point,
    pub goal: Node,
    /// A track of what a device plays by itself: left out where it cannot be.
    pub may_be_dropped: bool,
    pub order: (usize, usize, u32),
}

/// Where a point stands.
#[derive(Clone, Copy, Debug)]
pub struct PointPlace {
    pub device: usize,
    pub desk: bool,
    /// A channel, track or personal feed: an inner bank where signals end.
    pub inner_end: bool,
}

#[derive(Default, Debug)]
pub struct Grounds {
    pub switches: Vec<Switch>,
    numbers: BTreeMap<(Option<usize>, String, &'static str, String, u32), usize>,
    /// By scene, then point.
    pub edges: Vec<Vec<Vec<Edge>>>,
    /// By point: where it stands.
    pub places: Vec<PointPlace>,
    pub wants: Vec<Want>,
    /// Scene, end and what must not arrive there.
    pub nevers: Vec<(usize, Point, Node)>,
    /// At most so many points: switches with the points that each feeds.
    pub limits: BTreeMap<(usize, String, usize), (u32, Vec<(usize, u32)>)>,
    /// Offset switches with their bank's size, by the desk's port at the top of the chain, with what is
    /// reserved there.
    pub chains: BTreeMap<(usize, usize), Vec<(usize, u32)>>,
    pub fixed_takes: BTreeMap<(usize, usize), Vec<(u32, u32)>>,
    pub reserved: BTreeMap<(usize, usize), Vec<(u32, u32)>>,
    /// Names of open sources: scene, name, sockets by value.
    pub plugs: BTreeMap<usize, (usize, String)>,
}

struct Device<'a> {
    name: String,
    desk: bool,
    wiring: &'a Wiring,
    /// Of each lane: its first point. Banks, then each port's way in and way out.
    base: Vec<Point>,
    sizes: Vec<u32>,
}

struct Rig<'a> {
    devices: Vec<Device<'a>>,
    by_name: BTreeMap<String, usize>,
    peers: BTreeMap<(usize, usize), (usize, usize)>,
    runs: BTreeMap<Point, Point>,
    points: usize,
    rate_hz: u32,
}

impl Device<'_> {
    fn bank(&self, name: &str) -> Option<usize> {
        self.wiring.banks.iter().position(|bank| bank.bank == name)
    }

    fn port(&self, name: &str) -> Option<usize> {
        self.wiring.ports.iter().position(|port| port.port == name)
    }

    fn inward(&self, port: usize) -> usize {
        self.wiring.banks.len() + 2 * port
    }

    /// Where a feed's name leads: a bank, or what arrives at a port.
    fn source_lane(&self, name: &str) -> Option<usize> {
        self.bank(name).or_else(|| self.port(name).map(|port| self.inward(port)))
    }

    fn point(&self, lane: usize, number: u32) -> Option<Point> {
        (number >= 1 && number <= self.sizes[lane]).then(|| self.base[lane] + number as usize - 1)
    }
}

impl<'a> Rig<'a> {
    fn of(plan: &'a Plan) -> Self {
        let mut rig = Rig {
            devices: Vec::new(),
            by_name: BTreeMap::new(),
            peers: BTreeMap::new(),
            runs: BTreeMap::new(),
            points: 0,
            rate_hz: plan.rate_hz,
        };
        for device in &plan.devices {
            let wiring = &plan.models[&device.model].wiring;
            let mut sizes: Vec<u32> = wiring.banks.iter().map(|bank| bank.size).collect();
            for port in &wiring.ports {
                let slots = port.slots.iter().filter(|slots| slots.rate_hz >= plan.rate_hz).min_by_key(|s| s.rate_hz);
                sizes.extend(slots.map_or([0, 0], |slots| [slots.inward, slots.outward]));
            }
            let mut base = Vec::new();
            for size in &sizes {
                base.push(rig.points);
                rig.points += *size as usize;
            }
            rig.by_name.insert(device.name.clone(), rig.devices.len());
            rig.devices.push(Device { name: device.name.clone(), desk: device.role == "desk", wiring, base, sizes });
        }
        for cable in &plan.cables {
            match cable.used_as.as_str() {
                "main" => {
                    let (from, to) = (rig.port_end(&cable.from), rig.port_end(&cable.to));
                    rig.peers.insert(from, to);
                    rig.peers.insert(to, from);
                }
                "snake" | "loom" => {
                    let pairs: Vec<_> = rig.range(&cable.from).into_iter().zip(rig.range(&cable.to)).collect();
                    rig.runs.extend(pairs.into_iter().map(|(from, to)| (to, from)));
                }
                _ => {}
            }
        }
        rig
    }

    fn port_end(&self, text: &str) -> (usize, usize) {
        let (device, port) = text.split_once('.').unwrap();
        let device = self.by_name[device];
        (device, self.devices[device].port(port).unwrap())
    }

    /// `b1.in 2-4` or `b1.in 2`
    fn range(&self, text: &str) -> Vec<Point> {
        let (place, numbers) = text.split_once(' ').unwrap();
        let (device, bank) = place.split_once('.').unwrap();
        let (first, last) = numbers.split_once('-').unwrap_or((numbers, numbers));
        let device = &self.devices[self.by_name[device]];
        let lane = device.source_lane(bank).unwrap();
        (first.parse::<u32>().unwrap()..=last.parse().unwrap()).filter_map(|n| device.point(lane, n)).collect()
    }

    fn one(&self, text: &str) -> Point {
        self.range(text)[0]
    }

    fn top(&self, device: usize, port: usize) -> Option<(usize, usize)> {
        let mut at = (device, port);
        for _ in 0..=self.devices.len() {
            let far = *self.peers.get(&at)?;
            if self.devices[far.0].desk {
                return Some(far);
            }
            let up = self.devices[far.0].wiring.ports.iter().position(|port| port.faces == "desk")?;
            at = (far.0, up);
        }
        None
    }

    fn first_desk(&self, device: usize) -> Option<usize> {
        let ports = self.devices[device].wiring.ports.iter().enumerate().filter(|(_, port)| port.faces == "desk");
        ports.filter_map(|(port, _)| self.top(device, port)).map(|(desk, _)| desk).next()
    }

    /// Desks by name, then what hangs on their ports, nearest first, then the rest by name.
    fn walk(&self) -> Vec<usize> {
        let mut by_name: Vec<usize> = (0..self.devices.len()).collect();
        by_name.sort_by_key(|device| &self.devices[*device].name);
        let mut order: Vec<usize> = by_name.iter().copied().filter(|device| self.devices[*device].desk).collect();
        for desk in order.clone() {
            for port in 0..self.devices[desk].wiring.ports.len() {
                self.hang((desk, port), &mut order);
            }
        }
        order.extend(by_name.into_iter().filter(|device| !order.contains(device)).collect::<Vec<_>>());
        order
    }

    fn hang(&self, at: (usize, usize), order: &mut Vec<usize>) {
        let Some(far) = self.peers.get(&at) else { return };
        if order.contains(&far.0) {
            return;
        }
        order.push(far.0);
        for (port, fact) in self.devices[far.0].wiring.ports.iter().enumerate() {
            if fact.faces == "next" && port != far.1 {
                self.hang((far.0, port), order);
            }
        }
    }
}

pub fn ground(small: &Small, plan: &Plan) -> Grounds {
    let rig = Rig::of(plan);
    let mut grounds = Grounds::default();
    let scenes = small.acts.len().max(1);
    for scene in 0..scenes {
        let rows: Vec<&Row> =
            small.rows.iter().filter(|(act, _)| act.is_none() || *act == Some(scene)).map(|(_, row)| row).collect();
        grounds.scene(&rig, scene, &rows);
    }
    grounds.offsets(&rig);
    grounds.pin(small, scenes);
    grounds.wants.sort_by_key(|want| (want.scene, want.order));
    grounds
}

impl Grounds {
    fn switch(&mut self, switch: Switch) -> usize {
        let key = (switch.scene, switch.device.clone(), switch.set, switch.bank.clone(), switch.first);
        let next = self.switches.len();
        let index = *self.numbers.entry(key).or_insert(next);
        if index == next {
            self.switches.push(switch);
        }
        index
    }

    fn scene(&mut self, rig: &Rig, scene: usize, rows: &[&Row]) {
        let mut edges = vec![Vec::new(); rig.points];
        self.places = vec![PointPlace { device: 0, desk: false, inner_end: false }; rig.points];
        for (index, device) in rig.devices.iter().enumerate() {
            for (lane, size) in device.sizes.iter().enumerate() {
                let bank = device.wiring.banks.get(lane);
                let inner_end = bank.is_some_and(|bank| bank.end && bank.role == fantail::plan::Role::Inner);
                for place in &mut self.places[device.base[lane]..device.base[lane] + *size as usize] {
                    *place = PointPlace { device: index, desk: device.desk, inner_end };
                }
            }
        }
        for (index, device) in rig.devices.iter().enumerate() {
            for lane in 0..device.sizes.len() {
                for number in 1..=device.sizes[lane] {
                    edges[device.base[lane] + number as usize - 1] = self.feeds(rig, scene, index, lane, number);
                }
            }
        }
        self.edges.push(edges);
        let nodes = self.sources(rig, scene, rows);
        self.row_wants(rig, scene, rows, &nodes);
    }

    fn feeds(&mut self, rig: &Rig, scene: usize, index: usize, lane: usize, number: u32) -> Vec<Edge> {
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
    fn routed(
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

    fn out_of_port(&mut self, device: &Device, port: usize, number: u32) -> Vec<Edge> {
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

    fn numbered(&mut self, device: &Device, set: &'static str, lane: usize, choices: &[u32]) -> usize {
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

    fn mode(&mut self, device: &Device, lane: usize, mode: Option<&str>) -> Vec<Literal> {
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

    fn taken(&mut self, rig: &Rig, index: usize, lane: usize, number: u32) -> Vec<Edge> {
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

    fn copied(&mut self, device: &Device, lane: usize, number: u32) -> Vec<Edge> {
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

    /// The scene's sources by name, each where it begins.
    fn sources(&mut self, rig: &Rig, scene: usize, rows: &[&Row]) -> BTreeMap<String, (Node, bool)> {
        let mut nodes = BTreeMap::new();
        let mut used = BTreeSet::new();
        for row in rows {
            if let Row::Input { name, from: Spot::Point(text), .. } = row {
                let point = rig.one(text);
                used.insert(point);
                nodes.insert(name.clone(), (Node::Point(point), text.contains("playback")));
            }
        }
        let mut open: Vec<(usize, usize)> = Vec::new();
        for (index, row) in rows.iter().enumerate() {
            let Row::Input { name, from: Spot::Any(on), .. } = row else { continue };
            let sockets = sockets(rig, on.as_deref(), &used);
            let switch = self.switch(Switch {
                scene: Some(scene),
                device: name.clone(),
                set: "plug",
                bank: String::new(),
                first: 0,
                last: 0,
                values: sockets
                    .iter()
                    .enumerate()
                    .map(|(n, (text, _))| Value { text: text.clone(), rank: n as u64, number: 0 })
                    .collect(),
                pinned: None,
            });
            self.plugs.insert(switch, (scene, name.clone()));
            let node = Node::Open(scene, index);
            nodes.insert(name.clone(), (node, false));
            open.push((switch, index));
            for (value, (_, point)) in sockets.iter().enumerate() {
                self.edges[scene][*point].push(Edge { literals: vec![(switch, value)], from: node });
            }
        }
        nodes
    }

    fn row_wants(&mut self, rig: &Rig, scene: usize, rows: &[&Row], nodes: &BTreeMap<String, (Node, bool)>) {
        let walk = rig.walk();
        let place = |device: usize| walk.iter().position(|other| *other == device).unwrap();
        let record = rows.iter().any(|row| matches!(row, Row::Record));
        let mut want = |device: &str, bank: &str, number: u32, goal: Node, may_be_dropped: bool| {
            let index = rig.by_name[device];
            let lane = rig.devices[index].bank(bank).unwrap();
            let end = rig.devices[index].point(lane, number).unwrap();
            let order = (place(index), lane, number);
            self.wants.push(Want { scene, end, goal, may_be_dropped, order });
        };
        for row in rows {
            match row {
                Row::Input { desk, channel, name, .. } | Row::Again { desk, channel, name } => {
                    let Some((node, origin)) = nodes.get(name) else { continue };
                    want(desk, "channel", *channel, *node, false);
                    let device = &rig.devices[rig.by_name[desk]];
                    if record && device.bank("track").is_some() {
                        want(desk, "track", *channel, *node, *origin);
                    }
                }
                Row::Output { desk, bank, number, to } => {
                    let from = rig.one(&format!("{desk}.{bank} {number}"));
                    for end in to {
                        let (place, number) = end.split_once(' ').unwrap();
                        let (device, bank) = place.split_once('.').unwrap();
                        want(device, bank, number.parse().unwrap(), Node::Point(from), false);
                    }
                }
                Row::Personal { desk, number, bank, from } => {
                    let from = rig.one(&format!("{desk}.{bank} {from}"));
                    want(desk, "personal", *number, Node::Point(from), false);
                }
                Row::Record | Row::Keep { .. } | Row::Set { .. } => {}
            }
        }
        for row in rows {
            let Row::Keep { name } = row else { continue };
            let Some((node, _)) = nodes.get(name) else { continue };
            for device in &rig.devices {
                let Some(track) = device.bank("track") else { continue };
                let ends = (1..=device.sizes[track]).filter_map(|n| device.point(track, n));
                self.nevers.extend(ends.map(|end| (scene, end, *node)));
            }
        }
    }

    /// Banks that take slots below each of the desks' ports.
    fn offsets(&mut self, rig: &Rig) {
        for (index, device) in rig.devices.iter().enumerate() {
            for takes in &device.wiring.takes {
                let Some(top) = device.port(&takes.port).and_then(|port| rig.top(index, port)) else { continue };
                let lane = device.bank(&takes.bank).unwrap();
                let size = device.sizes[lane];
                match &takes.at {
                    Place::Slot(first) => self.fixed_takes.entry(top).or_default().push((*first, first + size - 1)),
                    Place::Word(_) => {
                        let switch = self.numbered(device, "offset", lane, &takes.choices);
                        self.chains.entry(top).or_default().push((switch, size));
                    }
                }
            }
            for (port, fact) in device.wiring.ports.iter().enumerate().filter(|_| device.desk) {
                let here = device.wiring.reserved.iter().filter(|r| r.port == fact.port);
                let here = here.filter(|r| r.rate_hz.is_none_or(|hz| hz == rig.rate_hz));
                self.reserved.entry((index, port)).or_default().extend(here.map(|r| (r.first, r.last)));
            }
        }
    }

    fn pin(&mut self, small: &Small, scenes: usize) {
        let mut pins: Vec<(Option<usize>, String, &str, String, u32, String)> = Vec::new();
        for fixed in &small.fixed {
            pins.push((None, fixed.device.clone(), fixed.set, fixed.bank.clone(), 0, fixed.value.clone()));
        }
        for (act, row) in &small.rows {
            let Row::Set { device, bank, first, from, .. } = row else { continue };
            let scenes: Vec<usize> = act.map_or_else(|| (0..scenes).collect(), |act| vec![act]);
            let each = scenes.into_iter();
            pins.extend(each.map(|s| (Some(s), device.clone(), "route", bank.clone(), *first, from.clone())));
        }
        for (scene, device, set, bank, first, value) in pins {
            let place = self.switches.iter_mut().find(|switch| {
                (switch.scene, &switch.device, switch.set, &switch.bank, switch.first)
                    == (scene, &device, set, &bank, first)
            });
            let switch = place.unwrap_or_else(|| panic!("no switch {device}.{bank} {set} {first}"));
            let at = switch.values.iter().position(|known| known.text == value);
            switch.pinned = Some(at.unwrap_or_else(|| panic!("no value {value} of {device}.{bank} {first}")));
        }
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

/// Sockets that an open source may take, in the order of the walk.
fn sockets(rig: &Rig, on: Option<&str>, used: &BTreeSet<Point>) -> Vec<(String, Point)> {
    let mut found = Vec::new();
    for index in rig.walk() {
        let device = &rig.devices[index];
        for (lane, bank) in device.wiring.banks.iter().enumerate().filter(|(_, bank)| bank.role == Role::In) {
            let asked = match on {
                Some(name) => device.name == name && bank.bank == "in",
                None => bank.phantom > 0,
            };
            for number in (1..=bank.size).filter(|_| asked) {
                let point = device.point(lane, number).unwrap();
                if !used.contains(&point) && !rig.runs.contains_key(&point) {
                    found.push((format!("{}.{} {number}", device.name, bank.bank), point));
                }
            }
        }
    }
    found
}
