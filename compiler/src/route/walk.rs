//! With all settings known, what arrives where: every end point walked back to its source.

use super::graph::{Graph, Node};
use super::switches::{SwitchId, Switches, Value};
use crate::plan::Role;
use crate::rig::{LaneKind, LinkEnd, Point, Rig};
use crate::wants::{Scene, Spot};
use std::collections::BTreeMap;

/// Where a signal comes from.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Origin {
    /// Into `Scene::sources`.
    Source(usize),
    /// A point that is a source of its own.
    Point(Point),
}

/// A signal at an end point.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Arrival {
    pub end: Point,
    pub origin: Origin,
    /// From the source's socket, or the origin, to the end, as the plan lists it: a link's slot once, at
    /// the cable's `from` end.
    pub path: Vec<Point>,
}

/// The sockets that sources are plugged into, open ones settled.
pub fn plugged(
    scene: &Scene,
    number: usize,
    switches: &Switches,
    values: &BTreeMap<SwitchId, Value>,
) -> BTreeMap<Point, usize> {
    let mut plugs = BTreeMap::new();
    for (index, source) in scene.sources.iter().enumerate() {
        match &source.spot {
            Spot::Socket(point) => {
                plugs.insert(*point, index);
            }
            Spot::Any(points) => {
                let what = super::switches::What::Plug { source: source.name.clone() };
                let switch = super::switches::Switch { device: String::new(), what, scene: Some(number) };
                let chosen = switches.known(&switch).and_then(|id| values.get(&id));
                let chosen = chosen.and_then(|value| switches.name(*value));
                let here = |point: &&Point| chosen == Some(scene.rig.point_text(**point).as_str());
                if let Some(point) = points.iter().find(here) {
                    plugs.insert(*point, index);
                }
            }
            Spot::Origin(_) | Spot::Nowhere => {}
        }
    }
    plugs
}

/// Everything that arrives at an end point of the scene, in the order of devices and banks.
pub fn arrivals(graph: &mut Graph, switches: &mut Switches, values: &BTreeMap<SwitchId, Value>) -> Vec<Arrival> {
    let scene = graph.scene;
    let plugs = plugged(scene, graph.number, switches, values);
    let mut found = Vec::new();
    for (device, _) in (0u32..).zip(&scene.rig.devices) {
        let Some(model) = scene.rig.model(device) else { continue };
        for (lane, fact) in (0u32..).zip(&model.lanes).filter(|(_, lane)| lane.end) {
            for number in 1..=fact.size {
                let end = Point { device, lane, number };
                found.extend(arrival(graph, end, &plugs, switches, values));
            }
        }
    }
    found
}

fn arrival(
    graph: &mut Graph,
    end: Point,
    plugs: &BTreeMap<Point, usize>,
    switches: &mut Switches,
    values: &BTreeMap<SwitchId, Value>,
) -> Option<Arrival> {
    let scene = graph.scene;
    let mut walked = vec![end];
    let mut at = end;
    let origin = loop {
        if let Some(source) = plugs.get(&at) {
            break Origin::Source(*source);
        }
        if scene.rig.lane_at(at).is_some_and(|lane| lane.kind == LaneKind::Bank(Role::Origin)) {
            break Origin::Point(at);
        }
        let edges = graph.feeders_when(at, values, switches);
        let closed = edges.iter().find(|edge| {
            edge.literals.iter().flatten().all(|literal| values.get(&literal.switch) == Some(&literal.value))
        });
        match closed.or_else(|| passed_by_unset(&edges, values))?.from {
            Node::Open(source) => break Origin::Source(source),
            Node::Point(from) if walked.contains(&from) => return None,
            Node::Point(from) => {
                walked.push(from);
                at = from;
            }
        }
    };
    walked.reverse();
    Some(Arrival { end, origin, path: listed(&scene.rig, &walked) })
}

/// While nothing rides a port, it passes on what arrives at the other one.
fn passed_by_unset<'a>(
    edges: &'a [super::graph::Edge],
    values: &BTreeMap<SwitchId, Value>,
) -> Option<&'a super::graph::Edge> {
    edges
        .iter()
        .find(|edge| edge.passes && edge.literals.iter().flatten().all(|literal| !values.contains_key(&literal.switch)))
}

/// A link's slot is named once, at the cable's `from` end.
fn listed(rig: &Rig, walked: &[Point]) -> Vec<Point> {
    let named_here = |point: &Point| {
        let port = match rig.lane_at(*point).map(|lane| lane.kind) {
            Some(LaneKind::PortIn(port) | LaneKind::PortOut(port)) => port,
            _ => return true,
        };
        let end = LinkEnd { device: point.device, port };
        match rig.peer(end) {
            Some((_, cable)) => rig.cables.get(cable).is_some_and(|cable| cable.from == end),
            None => true,
        }
    };
    walked.iter().filter(|point| named_here(point)).copied().collect()
}
