//! All ways back from an end point to what it wants, each with the switches that it needs, in the order
//! of preference: at every point of the walk the lowest value first.
//!
//! Two things that wiring would allow are no ways: a signal passes a desk once, never out of it and in
//! again; and a channel (an inner bank where signals end) feeds only the end point next to it, such as a
//! personal feed, since what travels farther is taken at the preamp, or is a mix.

use super::graph::{Edge, Graph, Node};
use super::switches::{Literal, Switches, rank};
use crate::plan::Role;
use crate::rig::{LaneKind, Point};
use crate::syntax::ast::DeviceWord;
use crate::wants::{Spot, Target};
use rustc_hash::{FxHashMap as HashMap, FxHashSet as HashSet};
use std::collections::BTreeSet;
use std::rc::Rc;

/// One way from an end point back to its source.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Way {
    /// In the order of the walk from the end, each switch once.
    pub literals: Vec<Literal>,
    /// From the end to the socket or origin.
    pub points: Vec<Point>,
}

/// Ways of one want may not be more; past it the user is asked to pin.
pub const MOST_WAYS: usize = 20_000;

/// What was worked out for so many goals is kept; wants of one goal mostly stand near each other.
const MOST_KEPT: usize = 2_000;

/// The ways of several wants of one scene share what was worked out.
pub struct Finder<'a, 'g> {
    graph: &'g mut Graph<'a>,
    fed: Fed,
    reaches: HashMap<Node, Rc<HashSet<Point>>>,
    /// For each goal: what feeds a point and lies toward the goal, in the order of preference.
    toward: HashMap<Node, Toward>,
}

/// Who may be fed by each point or open source: places of points, laid end to end.
struct Fed {
    /// Where those of each place begin, then of each source; one more at the end.
    starts: Vec<usize>,
    fed: Vec<u32>,
    met: Vec<bool>,
}

impl Fed {
    /// Everything that may feed these ends, however far up.
    fn below(graph: &mut Graph, mut open: Vec<Point>, switches: &mut Switches) -> Fed {
        let mut met = vec![false; graph.points()];
        let mut pairs: Vec<(u32, u32)> = Vec::new();
        while let Some(point) = open.pop() {
            let Some(place) = graph.place(point) else { continue };
            if met.get_mut(place).is_none_or(|met| std::mem::replace(met, true)) {
                continue;
            }
            for edge in graph.feeders(point, switches) {
                if let Node::Point(from) = edge.from {
                    open.push(from);
                }
                pairs.extend(number(graph, edge.from).map(|from| (from as u32, place as u32)));
            }
        }
        let mut starts = vec![0; graph.points() + graph.scene.sources.len() + 2];
        for (from, _) in &pairs {
            starts.get_mut(*from as usize + 2).into_iter().for_each(|count| *count += 1);
        }
        let mut sum = 0;
        for start in &mut starts {
            sum += *start;
            *start = sum;
        }
        // Each start moves on to the next one's while its list is filled.
        let mut fed = vec![0; pairs.len()];
        for (from, to) in pairs {
            let Some(next) = starts.get_mut(from as usize + 1) else { continue };
            fed.get_mut(*next).into_iter().for_each(|slot| *slot = to);
            *next += 1;
        }
        Fed { starts, fed, met }
    }

    fn by(&self, graph: &Graph, node: Node) -> impl Iterator<Item = Point> {
        let of_it = number(graph, node)
            .and_then(|number| self.fed.get(*self.starts.get(number)?..*self.starts.get(number + 1)?));
        of_it.unwrap_or_default().iter().filter_map(|place| graph.point(*place as usize))
    }

    fn met(&self, graph: &Graph, point: Point) -> bool {
        graph.place(point).is_some_and(|place| self.met.get(place) == Some(&true))
    }
}

/// A point by its place, an open source behind all points.
fn number(graph: &Graph, node: Node) -> Option<usize> {
    match node {
        Node::Point(point) => graph.place(point),
        Node::Open(source) => Some(graph.points() + source),
    }
}

type Toward = HashMap<Point, Rc<Vec<Edge>>>;

impl<'a, 'g> Finder<'a, 'g> {
    /// `ends` are all end points that will be asked for.
    pub fn new(graph: &'g mut Graph<'a>, ends: impl Iterator<Item = Point>, switches: &mut Switches) -> Self {
        let fed = Fed::below(graph, ends.collect(), switches);
        Finder { graph, fed, reaches: HashMap::default(), toward: HashMap::default() }
    }

    /// Where a target's signal comes from.
    pub fn goal(&self, target: Target) -> Option<Node> {
        match target {
            Target::Point(point) => Some(Node::Point(point)),
            Target::Source(source) => match &self.graph.scene.source(source)?.spot {
                Spot::Socket(point) | Spot::Origin(point) => Some(Node::Point(*point)),
                Spot::Any(_) => Some(Node::Open(source)),
                Spot::Nowhere => None,
            },
        }
    }

    /// All points that a goal's signal could reach by any setting. A channel feeds only the end next to it,
    /// so what lies beyond one is not followed.
    fn reach(&mut self, goal: Node) -> Rc<HashSet<Point>> {
        if let Some(known) = self.reaches.get(&goal) {
            return known.clone();
        }
        let mut reached = HashSet::default();
        let mut open = vec![goal];
        if let Node::Point(point) = goal {
            reached.insert(point);
        }
        while let Some(node) = open.pop() {
            for fed in self.fed.by(self.graph, node) {
                if reached.insert(fed) && !is_channel(self.graph, fed) {
                    open.push(Node::Point(fed));
                }
            }
        }
        let reached = Rc::new(reached);
        self.reaches.insert(goal, reached.clone());
        reached
    }

    /// All ways from `end` back to `goal`, best first. `None` past `MOST_WAYS`.
    pub fn ways(
        &mut self,
        end: Point,
        goal: Node,
        via: Option<(u32, u32)>,
        switches: &mut Switches,
    ) -> Option<Vec<Way>> {
        if self.reaches.len() > MOST_KEPT {
            self.reaches.clear();
            self.toward.clear();
        }
        let reach = self.reach(goal);
        let via = via.map(|lane| (lane, self.beyond(lane)));
        let toward = self.toward.remove(&goal).unwrap_or_default();
        let mut walk =
            Walk { goal, reach, via, toward, literals: Vec::new(), points: vec![end], found: Vec::new(), full: false };
        if walk.by_way(end) {
            walk.back(self.graph, end, switches);
        }
        self.toward.insert(goal, std::mem::take(&mut walk.toward));
        if walk.full {
            return None;
        }
        if let Some(((device, lane), _)) = walk.via {
            walk.found.retain(|way| way.points.iter().any(|point| (point.device, point.lane) == (device, lane)));
        }
        Some(walk.found)
    }

    /// All points that a signal on this bank could reach, the bank's own among them.
    fn beyond(&mut self, (device, lane): (u32, u32)) -> HashSet<Point> {
        let size = self.graph.scene.rig.lane(device, lane).map_or(0, |lane| lane.size);
        let of_it = (1..=size).map(|number| Point { device, lane, number });
        let of_it: Vec<Point> = of_it.filter(|point| self.fed.met(self.graph, *point)).collect();
        of_it.into_iter().flat_map(|point| self.reach(Node::Point(point)).iter().copied().collect::<Vec<_>>()).collect()
    }
}

/// An inner bank where signals end: channels, tracks, personal feeds.
fn is_channel(graph: &Graph, point: Point) -> bool {
    let lane = graph.scene.rig.lane_at(point);
    lane.is_some_and(|lane| lane.end && lane.kind == LaneKind::Bank(Role::Inner))
}

struct Walk {
    goal: Node,
    reach: Rc<HashSet<Point>>,
    /// The bank that the way must pass, and every point that lies beyond it.
    via: Option<((u32, u32), HashSet<Point>)>,
    toward: Toward,
    literals: Vec<Literal>,
    points: Vec<Point>,
    found: Vec<Way>,
    full: bool,
}

impl Walk {
    fn back(&mut self, graph: &mut Graph, at: Point, switches: &mut Switches) {
        if Node::Point(at) == self.goal {
            if self.found.len() >= MOST_WAYS {
                self.full = true;
                return;
            }
            self.found.push(Way { literals: self.literals.clone(), points: self.points.clone() });
            return;
        }
        let edges = self.toward(graph, at, switches);
        let allowed = |edge: &&Edge| self.useful(edge, switches) && self.sensible(graph, at, edge.from);
        let useful: Vec<&Edge> = edges.iter().filter(allowed).collect();
        for edge in useful {
            if self.full {
                return;
            }
            let before = self.literals.len();
            for literal in edge.literals.iter().flatten() {
                if !self.literals.contains(literal) {
                    self.literals.push(*literal);
                }
            }
            match edge.from {
                Node::Open(_) => self.found.push(Way { literals: self.literals.clone(), points: self.points.clone() }),
                Node::Point(from) => {
                    self.points.push(from);
                    self.back(graph, from, switches);
                    self.points.pop();
                }
            }
            self.literals.truncate(before);
        }
    }

    /// What feeds a point and lies toward the goal, whatever was passed on the way.
    fn toward(&mut self, graph: &mut Graph, at: Point, switches: &mut Switches) -> Rc<Vec<Edge>> {
        if let Some(known) = self.toward.get(&at) {
            return known.clone();
        }
        let leads = |edge: &Edge| match edge.from {
            Node::Point(from) => self.reach.contains(&from),
            open => open == self.goal,
        };
        let mut edges: Vec<Edge> = graph.feeders(at, switches).into_iter().filter(leads).collect();
        edges.sort_by_cached_key(|edge| self.order(graph, edge, switches));
        let edges = Rc::new(edges);
        self.toward.insert(at, edges.clone());
        edges
    }

    /// Passes no point twice, agrees with the switches set on the way, and with what the user fixed.
    fn useful(&self, edge: &Edge, switches: &Switches) -> bool {
        let anew = match edge.from {
            Node::Point(from) => !self.points.contains(&from) && self.by_way(from),
            Node::Open(_) => true,
        };
        anew && edge.literals.iter().flatten().all(|literal| {
            let pinned = switches.pins.get(&literal.switch).is_none_or(|value| *value == literal.value);
            pinned && !self.literals.iter().any(|set| set.switch == literal.switch && set.value != literal.value)
        })
    }

    /// Has passed the bank that it must pass, or still can.
    fn by_way(&self, at: Point) -> bool {
        let Some(((device, lane), beyond)) = &self.via else { return true };
        beyond.contains(&at) || self.points.iter().any(|point| (point.device, point.lane) == (*device, *lane))
    }

    /// Passes no desk twice, and no channel on the way to something farther.
    fn sensible(&self, graph: &Graph, at: Point, from: Node) -> bool {
        let Node::Point(point) = from else { return true };
        let rig = &graph.scene.rig;
        if is_channel(graph, point) && Node::Point(point) != self.goal && self.points.len() > 1 {
            return false;
        }
        let desk = rig.device(point.device).is_some_and(|device| device.word == DeviceWord::Desk);
        let left_before = point.device != at.device && self.points.iter().any(|passed| passed.device == point.device);
        !(desk && left_before)
    }

    fn order(&self, graph: &Graph, edge: &Edge, switches: &Switches) -> [u64; 2] {
        edge.literals.map(|literal| match literal {
            None => 0,
            Some(literal) => match switches.get(literal.switch) {
                Some(switch) => rank(&graph.scene.rig, switch, literal.value),
                None => 0,
            },
        })
    }
}

/// Every switch that some way needs.
pub fn switches_of(ways: &[Way]) -> BTreeSet<super::switches::SwitchId> {
    ways.iter().flat_map(|way| way.literals.iter().map(|literal| literal.switch)).collect()
}
