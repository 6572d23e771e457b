//! The rig as it stands in one act: devices, cables, plugs and settings, looked up by number. What
//! the plan says wrongly is reported and left out; nothing here knows what ought to arrive where.

use super::Difference;
use super::inside::{Inside, Item};
use super::point::Text;
use crate::plan::{Act, Cable, Device, Plan, Plug, Role};
use rustc_hash::{FxHashMap as HashMap, FxHashSet as HashSet};
use std::fmt::Write as _;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Side {
    Bank,
    /// What arrives at a port's slot.
    In,
    /// What leaves by it.
    Out,
}

/// A point, ordered as plans are: by device's name, then as in the model, then by number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Node {
    pub device: usize,
    pub side: Side,
    pub item: usize,
    pub n: u32,
}

/// The far end of a port's cable.
#[derive(Clone, Copy)]
pub(super) struct Link {
    pub device: usize,
    pub port: usize,
    /// The far end is the one that the cable's slots are named after.
    pub far_names: bool,
}

/// One `route` setting: points `first` to `last` carry points `start …` of `from`, of which there are `len`.
#[derive(Clone, Copy)]
pub(super) struct Routed {
    pub first: u32,
    pub last: u32,
    pub from: Item,
    pub start: u32,
    pub len: u32,
}

#[derive(Clone, Default)]
pub(super) struct BankSet<'p> {
    pub offset: Option<u32>,
    pub slot: Option<u32>,
    pub mode: Option<&'p str>,
    pub routes: Vec<Routed>,
}

#[derive(Clone, Default)]
pub(super) struct PortSet {
    pub link: Option<Link>,
    pub routes: Vec<Routed>,
    /// A port that takes part in telling who drives a bank: it leads to the first desk.
    pub drives: bool,
}

pub(super) struct Dev<'p> {
    pub device: &'p Device,
    pub inside: usize,
    /// Brought in by the act.
    pub of_act: bool,
    pub banks: Vec<BankSet<'p>>,
    pub ports: Vec<PortSet>,
}

pub(super) struct State<'p> {
    pub act: Option<&'p str>,
    pub insides: Vec<Inside<'p>>,
    pub devices: Vec<Dev<'p>>,
    pub by_name: HashMap<&'p str, usize>,
    /// Socket to the line that feeds it.
    pub runs: HashMap<Node, Node>,
    pub plugs: Vec<&'p Plug>,
    pub plugged: HashMap<Node, usize>,
    /// What gear gives of its own, by the origin that it comes out of.
    pub given: HashMap<Node, &'p Plug>,
    /// Phantom switches that are on: device, bank, group of sockets.
    pub phantom: HashSet<(usize, usize, u32)>,
    /// Gains and pads that are set, by socket.
    pub gains: HashMap<Node, f64>,
    pub pads: HashSet<Node>,
    faults: Vec<Difference>,
}

impl<'p> State<'p> {
    pub fn new(plan: &'p Plan, act: Option<&'p str>) -> (Self, Vec<Difference>) {
        let found = act.and_then(|name| plan.acts.iter().find(|act| act.act == name));
        let mut state = Self {
            act,
            insides: vec![],
            devices: vec![],
            by_name: HashMap::default(),
            runs: HashMap::default(),
            plugs: vec![],
            plugged: HashMap::default(),
            given: HashMap::default(),
            phantom: HashSet::default(),
            gains: HashMap::default(),
            pads: HashSet::default(),
            faults: vec![],
        };
        if let (Some(name), None) = (act, found) {
            state.report(name.into(), "an act of the plan", "none of that name");
        }
        state.read_devices(plan, found);
        let of_act = |list: fn(&Act) -> &[Cable]| found.map(list).unwrap_or_default();
        for cable in plan.cables.iter().chain(of_act(|act| &act.cables)) {
            state.read_cable(cable);
        }
        state.find_drivers();
        for plug in plan.plugs.iter().chain(found.map(|act| act.plugs.as_slice()).unwrap_or_default()) {
            state.read_plug(plug);
        }
        for plug in plan.given.iter().chain(found.map(|act| act.given.as_slice()).unwrap_or_default()) {
            state.read_given(plug);
        }
        state.read_settings(plan, found);
        let faults = std::mem::take(&mut state.faults);
        (state, faults)
    }

    pub fn difference(&self, place: String, expected: impl Into<String>, found: impl Into<String>) -> Difference {
        Difference { place, expected: expected.into(), found: found.into(), act: self.act.map(str::to_owned) }
    }

    pub fn report(&mut self, place: String, expected: impl Into<String>, found: impl Into<String>) {
        let difference = self.difference(place, expected, found);
        self.faults.push(difference);
    }

    pub fn inside(&self, device: usize) -> Option<&Inside<'p>> {
        self.devices.get(device).and_then(|device| self.insides.get(device.inside))
    }

    /// The point that a text names, where it is one point of a bank.
    pub fn bank_point(&self, text: &str) -> Option<Node> {
        let nodes = self.points(Text::read(text)?)?;
        match nodes {
            (device, Item::Bank(item), first, last) if first == last => {
                Some(Node { device, side: Side::Bank, item, n: first })
            }
            _ => None,
        }
    }

    /// A numbered range that lies within its bank or port.
    pub fn points(&self, text: Text<'_>) -> Option<(usize, Item, u32, u32)> {
        let device = *self.by_name.get(text.device)?;
        let inside = self.inside(device)?;
        let item = inside.item(text.item)?;
        let (first, last) = text.span?;
        let size = inside.source_size(item).max(inside.target_size(item));
        (last <= size).then_some((device, item, first, last))
    }

    /// A dead or reserved line: a socket where things arrive that nothing may use.
    pub fn out_of_use(&self, node: Node) -> bool {
        let Some(device) = self.devices.get(node.device).filter(|device| !device.device.out_of_use.is_empty()) else {
            return false;
        };
        self.role(node) == Some(Role::In) && device.device.out_of_use.contains(&node.n)
    }

    pub fn role(&self, node: Node) -> Option<Role> {
        match node.side {
            Side::Bank => self.inside(node.device)?.banks.get(node.item).map(|bank| bank.bank.role),
            _ => None,
        }
    }

    /// Every point of every bank that is an end, in order.
    pub fn ends(&self) -> impl Iterator<Item = Node> + '_ {
        self.devices.iter().enumerate().flat_map(move |(device, dev)| {
            let banks = self.insides.get(dev.inside).map(|inside| inside.banks.as_slice()).unwrap_or_default();
            let ends = banks.iter().enumerate().filter(|(_, bank)| bank.bank.end);
            ends.flat_map(move |(item, bank)| {
                (1..=bank.bank.size).map(move |n| Node { device, side: Side::Bank, item, n })
            })
        })
    }

    /// The point as the plan writes it: a link's slot by the cable's `from` end, whichever side asks.
    pub fn write_name(&self, node: Node, to: &mut String) {
        let (device, item) = match (node.side, self.link(node.device, node.item)) {
            (Side::In | Side::Out, Some(link)) if link.far_names => (link.device, link.port),
            _ => (node.device, node.item),
        };
        let Some(dev) = self.devices.get(device) else { return };
        let Some(inside) = self.insides.get(dev.inside) else { return };
        let name = match node.side {
            Side::Bank => inside.banks.get(item).map(|bank| bank.bank.bank.as_str()),
            _ => inside.ports.get(item).map(|port| port.port.port.as_str()),
        };
        let _ = write!(to, "{}.{} {}", dev.device.name, name.unwrap_or_default(), node.n);
    }

    pub fn name(&self, node: Node) -> String {
        let mut name = String::new();
        self.write_name(node, &mut name);
        name
    }

    pub fn link(&self, device: usize, port: usize) -> Option<Link> {
        self.devices.get(device)?.ports.get(port)?.link
    }

    fn read_devices(&mut self, plan: &'p Plan, act: Option<&'p Act>) {
        let mut models = HashMap::default();
        for (name, model) in &plan.models {
            let mut wrong = Vec::new();
            models.insert(name.as_str(), self.insides.len());
            self.insides.push(Inside::new(model, plan.rate_hz, &mut |what| wrong.push(what)));
            for what in wrong {
                self.report(name.clone(), "wiring that makes sense", what);
            }
        }
        let of_act = act.map(|act| act.devices.as_slice()).unwrap_or_default();
        let all = plan.devices.iter().map(|device| (device, false)).chain(of_act.iter().map(|device| (device, true)));
        let mut all: Vec<_> = all.collect();
        all.sort_by(|a, b| a.0.name.cmp(&b.0.name));
        for (device, of_act) in all {
            let inside = models.get(device.model.as_str()).copied();
            let Some((number, inside)) = inside.and_then(|at| Some((at, self.insides.get(at)?))) else {
                self.report(device.name.clone(), "a model of the plan", format!("`{}`", device.model));
                continue;
            };
            let (banks, ports) = (inside.banks.len(), inside.ports.len());
            if self.by_name.insert(&device.name, self.devices.len()).is_some() {
                self.report(device.name.clone(), "one device of that name", "two");
            }
            self.devices.push(Dev {
                device,
                inside: number,
                of_act,
                banks: vec![BankSet::default(); banks],
                ports: vec![PortSet::default(); ports],
            });
        }
    }

    /// A link or a run of lines. A spare is not plugged in, and a redundant one carries what the main
    /// one carries: neither brings anything of its own.
    fn read_cable(&mut self, cable: &'p Cable) {
        let place = || format!("{} to {}", cable.from, cable.to);
        if !["main", "redundant", "spare", "snake", "loom"].contains(&cable.used_as.as_str()) {
            self.report(place(), "a use of cables", format!("`{}`", cable.used_as));
        }
        let (Some(from), Some(to)) = (Text::read(&cable.from), Text::read(&cable.to)) else {
            return self.report(place(), "two ports, or two ranges of sockets", "something else");
        };
        let carries = !["redundant", "spare"].contains(&cable.used_as.as_str());
        let good = match (from.span, to.span) {
            (None, None) => self.read_link(from, to, &cable.carrier, carries),
            (Some(_), Some(_)) => self.read_run(from, to, carries),
            _ => Err("a port joined to sockets".to_owned()),
        };
        if let Err(found) = good {
            self.report(place(), "a cable that fits", found);
        }
    }

    fn read_link(&mut self, from: Text<'_>, to: Text<'_>, carrier: &str, carries: bool) -> Result<(), String> {
        let (a, b) = (self.port_of(from)?, self.port_of(to)?);
        for (device, port) in [a, b] {
            let speaks = self.inside(device).and_then(|inside| inside.ports.get(port)).map(|port| &port.port.carrier);
            if speaks.is_none_or(|speaks| speaks != carrier) {
                return Err(format!("a port that does not speak {carrier}"));
            }
        }
        if !carries {
            return Ok(());
        }
        if a == b || self.link(a.0, a.1).is_some() || self.link(b.0, b.1).is_some() {
            return Err("a port with two cables".to_owned());
        }
        for (near, far, far_names) in [(a, b, false), (b, a, true)] {
            if let Some(port) = self.devices.get_mut(near.0).and_then(|dev| dev.ports.get_mut(near.1)) {
                port.link = Some(Link { device: far.0, port: far.1, far_names });
            }
        }
        Ok(())
    }

    fn port_of(&self, text: Text<'_>) -> Result<(usize, usize), String> {
        let device = self.by_name.get(text.device).copied();
        let port = device.and_then(|device| self.inside(device)?.port(text.item));
        device.zip(port).ok_or_else(|| format!("no port `{}.{}`", text.device, text.item))
    }

    fn read_run(&mut self, from: Text<'_>, to: Text<'_>, carries: bool) -> Result<(), String> {
        let (a, b) = (self.points(from), self.points(to));
        let (Some((from_device, Item::Bank(from), f1, f2)), Some((to_device, Item::Bank(to), t1, t2))) = (a, b) else {
            return Err("sockets that are not there".to_owned());
        };
        if f2 - f1 != t2 - t1 {
            return Err("unequal numbers of lines".to_owned());
        }
        for (n, m) in (f1..=f2).zip(t1..=t2) {
            let line = Node { device: from_device, side: Side::Bank, item: from, n };
            let socket = Node { device: to_device, side: Side::Bank, item: to, n: m };
            if !matches!(self.role(line), Some(Role::Out | Role::Origin)) || self.role(socket) != Some(Role::In) {
                return Err("lines that do not go from an output to an input".to_owned());
            }
            if carries && self.runs.insert(socket, line).is_some() {
                return Err(format!("two lines on {}", self.name(socket)));
            }
        }
        Ok(())
    }

    fn read_plug(&mut self, plug: &'p Plug) {
        let Some(node) = self.bank_point(&plug.at) else {
            return self.report(plug.at.clone(), "a socket", format!("`{}` plugged into no socket", plug.source));
        };
        if self.role(node) != Some(Role::In) {
            self.report(plug.at.clone(), "an input", format!("`{}` plugged into something else", plug.source));
        }
        if self.out_of_use(node) {
            self.report(plug.at.clone(), "nothing on a line out of use", format!("`{}`", plug.source));
        }
        if self.runs.contains_key(&node) {
            self.report(plug.at.clone(), "a line or a plug", format!("a line and `{}`", plug.source));
        }
        let number = self.plugs.len();
        self.plugs.push(plug);
        if let Some(other) = self.plugged.insert(node, number).and_then(|other| self.plugs.get(other)) {
            let found = format!("`{}` and `{}`", other.source, plug.source);
            self.report(plug.at.clone(), "one plug", found);
        }
    }

    fn read_given(&mut self, plug: &'p Plug) {
        let Some(node) = self.bank_point(&plug.at).filter(|node| self.role(*node) == Some(Role::Origin)) else {
            return self.report(plug.at.clone(), "what gives of its own", format!("`{}` given there", plug.source));
        };
        if let Some(other) = self.given.insert(node, plug) {
            self.report(plug.at.clone(), "one source", format!("`{}` and `{}`", other.source, plug.source));
        }
    }

    /// For devices that let only the first desk drive them: which ports lead to it.
    fn find_drivers(&mut self) {
        for device in 0..self.devices.len() {
            if !self.inside(device).is_some_and(Inside::asks_who_drives) {
                continue;
            }
            let ports = self.devices.get(device).map_or(0, |dev| dev.ports.len());
            let desks: Vec<_> = (0..ports).map(|port| self.leads(device, port)).collect();
            let first = desks.iter().flatten().next().copied();
            let Some(dev) = self.devices.get_mut(device) else { continue };
            for (port, desk) in dev.ports.iter_mut().zip(desks) {
                port.drives = desk.is_some() && desk == first;
            }
        }
    }

    /// The desk that a port which faces the desk leads to: the device at its other end if that is
    /// one, else the desk that the first such port of that device leads to which leads to any.
    fn leads(&self, device: usize, port: usize) -> Option<usize> {
        let mut stack = vec![(device, port)];
        let mut seen = HashSet::default();
        while let Some((device, port)) = stack.pop() {
            let faces =
                self.inside(device).and_then(|inside| inside.ports.get(port)).map(|port| port.port.faces.as_str());
            let Some(link) = self.link(device, port).filter(|_| faces == Some("desk")) else { continue };
            if self.devices.get(link.device).is_some_and(|dev| dev.device.role == "desk") {
                return Some(link.device);
            }
            if seen.insert(link.device) {
                let ports = self.devices.get(link.device).map_or(0, |dev| dev.ports.len());
                stack.extend((0..ports).rev().map(|port| (link.device, port)));
            }
        }
        None
    }
}
