//! Where devices stand in their chains: which desk a port leads to, and the order in which boxes hang.

use super::build::{LinkEnd, Rig};
use crate::syntax::ast::{DeviceWord, Faces};
use std::collections::{BTreeMap, BTreeSet};

impl Rig {
    /// The desk that a port leads to, by way of ports that face the desk.
    pub fn desk_beyond(&self, end: LinkEnd) -> Option<u32> {
        self.desk_port_beyond(end).map(|port| port.device)
    }

    /// The desk's port at the top of the chain that a port leads up to.
    pub fn desk_port_beyond(&self, end: LinkEnd) -> Option<LinkEnd> {
        let mut at = end;
        for _ in 0..=self.devices.len() {
            let (far, _) = self.peer(at)?;
            if self.device(far.device)?.word == DeviceWord::Desk {
                return Some(far);
            }
            let up = self.model(far.device)?.ports.iter().position(|port| port.faces == Faces::Desk)?;
            at = LinkEnd { device: far.device, port: up };
        }
        None
    }

    /// How many slots a port has, each way, at the show's rate.
    pub fn slots(&self, end: LinkEnd) -> Option<u32> {
        let model = self.model(end.device)?;
        model.lane(model.ports.get(end.port)?.outward).map(|lane| lane.size)
    }

    /// The desk of the first desk-facing port, in the model's order, that leads to one.
    pub fn first_desk(&self, device: u32) -> Option<u32> {
        let ports = (0..).zip(&self.model(device)?.ports).filter(|(_, port)| port.faces == Faces::Desk);
        ports.map(|(port, _)| LinkEnd { device, port }).find_map(|end| self.desk_beyond(end))
    }

    /// What hangs on a port, nearest first, followed through the ports that each device passes on.
    pub fn hanging_on(&self, end: LinkEnd) -> Vec<u32> {
        let mut found = Vec::new();
        let mut open = vec![end];
        while let Some(at) = open.pop() {
            let Some((far, _)) = self.peer(at) else { continue };
            if found.contains(&far.device) || self.device(far.device).is_none_or(|d| d.word == DeviceWord::Desk) {
                continue;
            }
            found.push(far.device);
            let Some(model) = self.model(far.device) else { continue };
            let next = (0..).zip(&model.ports).filter(|(index, port)| *index != far.port && port.faces == Faces::Next);
            // The last pushed is followed first: push in reverse to keep the model's order of ports.
            let ends: Vec<LinkEnd> = next.map(|(port, _)| LinkEnd { device: far.device, port }).collect();
            open.extend(ends.into_iter().rev());
        }
        found
    }

    /// The devices that cables and lines join to these, and they themselves.
    pub fn joined(&self, devices: impl IntoIterator<Item = u32>) -> BTreeSet<u32> {
        let mut next: BTreeMap<u32, BTreeSet<u32>> = BTreeMap::new();
        let cables = self.cables.iter().map(|cable| (cable.from.device, cable.to.device));
        for (one, other) in cables.chain(self.runs.iter().map(|run| (run.from.device, run.to.device))) {
            next.entry(one).or_default().insert(other);
            next.entry(other).or_default().insert(one);
        }
        let mut open: Vec<u32> = devices.into_iter().collect();
        let mut joined: BTreeSet<u32> = open.iter().copied().collect();
        while let Some(at) = open.pop() {
            open.extend(next.get(&at).into_iter().flatten().copied().filter(|other| joined.insert(*other)));
        }
        joined
    }

    /// All devices in the order in which the search looks at them: desks by name, each with what hangs
    /// on its ports, nearest first; then the rest by name.
    pub fn walk_order(&self) -> Vec<u32> {
        let mut order: Vec<u32> = self.desks().collect();
        let mut placed: BTreeSet<u32> = order.iter().copied().collect();
        for desk in self.desks() {
            let ports = self.model(desk).map_or(0, |model| model.ports.len());
            for port in 0..ports {
                for device in self.hanging_on(LinkEnd { device: desk, port }) {
                    if placed.insert(device) {
                        order.push(device);
                    }
                }
            }
        }
        let rest = (0u32..).zip(&self.devices).map(|(index, _)| index);
        let rest: Vec<u32> = rest.filter(|device| !placed.contains(device)).collect();
        order.extend(rest);
        order
    }
}
