//! Devices, their points and cables, as a plan publishes them.

use super::Point;
use fantail::plan::{Plan, Wiring};
use std::collections::BTreeMap;

pub(super) struct Device<'a> {
    pub(super) name: String,
    pub(super) desk: bool,
    pub(super) wiring: &'a Wiring,
    /// Of each lane: its first point. Banks, then each port's way in and way out.
    pub(super) base: Vec<Point>,
    pub(super) sizes: Vec<u32>,
}

pub(super) struct Rig<'a> {
    pub(super) devices: Vec<Device<'a>>,
    pub(super) by_name: BTreeMap<String, usize>,
    pub(super) peers: BTreeMap<(usize, usize), (usize, usize)>,
    pub(super) runs: BTreeMap<Point, Point>,
    pub(super) points: usize,
    pub(super) rate_hz: u32,
}

impl Device<'_> {
    pub(super) fn bank(&self, name: &str) -> Option<usize> {
        self.wiring.banks.iter().position(|bank| bank.bank == name)
    }

    pub(super) fn port(&self, name: &str) -> Option<usize> {
        self.wiring.ports.iter().position(|port| port.port == name)
    }

    pub(super) fn inward(&self, port: usize) -> usize {
        self.wiring.banks.len() + 2 * port
    }

    /// Where a feed's name leads: a bank, or what arrives at a port.
    pub(super) fn source_lane(&self, name: &str) -> Option<usize> {
        self.bank(name).or_else(|| self.port(name).map(|port| self.inward(port)))
    }

    pub(super) fn point(&self, lane: usize, number: u32) -> Option<Point> {
        (number >= 1 && number <= self.sizes[lane]).then(|| self.base[lane] + number as usize - 1)
    }
}

impl<'a> Rig<'a> {
    pub(super) fn of(plan: &'a Plan) -> Self {
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

    pub(super) fn port_end(&self, text: &str) -> (usize, usize) {
        let (device, port) = text.split_once('.').unwrap();
        let device = self.by_name[device];
        (device, self.devices[device].port(port).unwrap())
    }

    /// `b1.in 2-4` or `b1.in 2`
    pub(super) fn range(&self, text: &str) -> Vec<Point> {
        let (place, numbers) = text.split_once(' ').unwrap();
        let (device, bank) = place.split_once('.').unwrap();
        let (first, last) = numbers.split_once('-').unwrap_or((numbers, numbers));
        let device = &self.devices[self.by_name[device]];
        let lane = device.source_lane(bank).unwrap();
        (first.parse::<u32>().unwrap()..=last.parse().unwrap()).filter_map(|n| device.point(lane, n)).collect()
    }

    pub(super) fn one(&self, text: &str) -> Point {
        self.range(text)[0]
    }

    pub(super) fn top(&self, device: usize, port: usize) -> Option<(usize, usize)> {
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

    pub(super) fn first_desk(&self, device: usize) -> Option<usize> {
        let ports = self.devices[device].wiring.ports.iter().enumerate().filter(|(_, port)| port.faces == "desk");
        ports.filter_map(|(port, _)| self.top(device, port)).map(|(desk, _)| desk).next()
    }

    /// Desks by name, then what hangs on their ports, nearest first, then the rest by name.
    pub(super) fn walk(&self) -> Vec<usize> {
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

    pub(super) fn hang(&self, at: (usize, usize), order: &mut Vec<usize>) {
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
