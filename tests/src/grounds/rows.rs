//! What the rows plug in and want.

use super::rig::Rig;
use super::{Edge, Grounds, Node, Point, Switch, Value, Want};
use crate::small::{From as Spot, Row};
use fantail::plan::Role;
use std::collections::{BTreeMap, BTreeSet};

impl Grounds {
    /// The scene's sources by name, each where it begins.
    pub(super) fn sources(&mut self, rig: &Rig, scene: usize, rows: &[&Row]) -> BTreeMap<String, (Node, bool)> {
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

    pub(super) fn row_wants(&mut self, rig: &Rig, scene: usize, rows: &[&Row], nodes: &BTreeMap<String, (Node, bool)>) {
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
