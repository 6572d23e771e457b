//! The ground for the brute force: points, what feeds what by which switch, wants in their order. Made from
//! the wiring, devices and cables that a plan publishes and from the rows as data; it must never use the
//! compiler's own rig or routes.

mod feeds;
mod rig;
mod rows;

use crate::small::{Row, Small};
use fantail::plan::{Place, Plan};
use rig::Rig;
use std::collections::BTreeMap;

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
