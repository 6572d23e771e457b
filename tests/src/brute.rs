//! Brute force over a small rig's settings, twice: by trying one value after another in the order that the
//! reference names, and by listing every combination and filtering. Neither propagates anything.

use crate::grounds::{Edge, Grounds, Literal, Node, Point, Want};
use std::collections::{BTreeMap, BTreeSet};

/// Settings as lines: scene, device, what is set, bank, numbers, value.
pub type Settings = BTreeSet<String>;

#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Answer {
    First(Settings),
    Impossible,
    /// More work than allowed.
    TooLarge,
}

/// Switches by index, unset or at a value.
type Set = Vec<Option<usize>>;

struct Search<'a> {
    grounds: &'a Grounds,
    wants: Vec<&'a Want>,
    /// By want: points that its signal can reach by any settings.
    reach: Vec<BTreeSet<Node>>,
    set: Set,
    steps: u64,
    most: u64,
}

/// The first solution, by trying.
pub fn by_trying(grounds: &Grounds, most: u64) -> Answer {
    let Some(wants) = possible_alone(grounds, most) else { return Answer::Impossible };
    let mut search = Search::new(grounds, wants, most);
    match search.from_want(0) {
        None => Answer::TooLarge,
        Some(false) => Answer::Impossible,
        Some(true) => Answer::First(search.lines()),
    }
}

/// Wants that hold by themselves; `None` where one that must be does not.
fn possible_alone(grounds: &Grounds, most: u64) -> Option<Vec<&Want>> {
    let mut wants = Vec::new();
    for want in &grounds.wants {
        let possible = Search::alone(grounds, want, most).from_want(0) != Some(false);
        match (possible, want.may_be_dropped) {
            (true, _) => wants.push(want),
            (false, true) => {}
            (false, false) => return None,
        }
    }
    Some(wants)
}

fn pinned(grounds: &Grounds) -> Set {
    grounds.switches.iter().map(|switch| switch.pinned).collect()
}

/// All nodes that a signal can reach, by any settings.
fn reach(grounds: &Grounds, want: &Want) -> BTreeSet<Node> {
    let edges = &grounds.edges[want.scene];
    let mut reached = BTreeSet::from([want.goal]);
    loop {
        let before = reached.len();
        for (point, edges) in edges.iter().enumerate() {
            if edges.iter().any(|edge| reached.contains(&edge.from)) {
                reached.insert(Node::Point(point));
            }
        }
        if reached.len() == before {
            return reached;
        }
    }
}

impl<'a> Search<'a> {
    fn new(grounds: &'a Grounds, wants: Vec<&'a Want>, most: u64) -> Self {
        let reach = wants.iter().map(|want| reach(grounds, want)).collect();
        Search { grounds, wants, reach, set: pinned(grounds), steps: 0, most }
    }

    /// One want without its neighbours, limits and what must never be.
    fn alone(grounds: &'a Grounds, want: &'a Want, most: u64) -> Self {
        Search::new(grounds, vec![want], most)
    }

    fn from_want(&mut self, number: usize) -> Option<bool> {
        if !allowed(self.grounds, &self.set) || !silent_where_kept(self.grounds, &self.set) {
            return Some(false);
        }
        match self.wants.get(number) {
            None => Some(true),
            Some(want) => self.back(number, want.end, &mut vec![want.end]),
        }
    }

    fn back(&mut self, number: usize, at: Point, walked: &mut Vec<Point>) -> Option<bool> {
        self.steps += 1;
        if self.steps > self.most {
            return None;
        }
        let want = self.wants[number];
        if want.goal == Node::Point(at) {
            return self.from_want(number + 1);
        }
        let grounds = self.grounds;
        let mut edges: Vec<&Edge> = grounds.edges[want.scene][at].iter().collect();
        edges.retain(|edge| self.reach[number].contains(&edge.from));
        edges.sort_by_cached_key(|edge| {
            edge.literals.iter().map(|l| preference(grounds, &self.set, *l)).collect::<Vec<_>>()
        });
        for edge in edges {
            if edge.literals.iter().any(|(switch, value)| self.set[*switch].is_some_and(|set| set != *value)) {
                continue;
            }
            if matches!(edge.from, Node::Point(from) if walked.contains(&from) || !sensible(grounds, want, walked, from))
            {
                continue;
            }
            let before: Vec<(usize, Option<usize>)> = edge.literals.iter().map(|(s, _)| (*s, self.set[*s])).collect();
            for (switch, value) in &edge.literals {
                self.set[*switch] = Some(*value);
            }
            let done = if !allowed(grounds, &self.set) {
                Some(false)
            } else {
                match edge.from {
                    Node::Open(..) if edge.from == want.goal => self.from_want(number + 1),
                    Node::Open(..) => Some(false),
                    Node::Point(from) => {
                        walked.push(from);
                        let done = self.back(number, from, walked);
                        walked.pop();
                        done
                    }
                }
            };
            if done != Some(false) {
                return done;
            }
            for (switch, value) in before {
                self.set[switch] = value;
            }
        }
        Some(false)
    }

    fn lines(&self) -> Settings {
        lines(self.grounds, &self.set)
    }
}

/// A signal passes a desk once, and a channel or personal feed only next to the end.
fn sensible(grounds: &Grounds, want: &Want, walked: &[Point], from: Point) -> bool {
    let place = grounds.places[from];
    if place.inner_end && Node::Point(from) != want.goal && walked.len() > 1 {
        return false;
    }
    let at = walked.last().map(|at| grounds.places[*at].device);
    let again = at != Some(place.device) && walked.iter().any(|point| grounds.places[*point].device == place.device);
    !(place.desk && again)
}

/// Does a want's signal come by a sensible way, with all switches set?
fn comes(grounds: &Grounds, want: &Want, set: &Set, walked: &mut Vec<Point>) -> bool {
    let Some(at) = walked.last().copied() else { return false };
    if want.goal == Node::Point(at) {
        return true;
    }
    let closed =
        grounds.edges[want.scene][at].iter().filter(|edge| edge.literals.iter().all(|(s, v)| set[*s] == Some(*v)));
    closed.into_iter().any(|edge| match edge.from {
        Node::Open(..) => edge.from == want.goal,
        Node::Point(from) if walked.contains(&from) || !sensible(grounds, want, walked, from) => false,
        Node::Point(from) => {
            walked.push(from);
            let found = comes(grounds, want, set, walked);
            walked.pop();
            found
        }
    })
}

/// How late a value is tried: what an earlier act set first, then the order of preference.
fn preference(grounds: &Grounds, set: &Set, (switch, value): Literal) -> (bool, u64) {
    let here = &grounds.switches[switch];
    let wanted = &here.values[value];
    let mut earlier: Option<(usize, &str)> = None;
    for (other, fact) in grounds.switches.iter().enumerate() {
        let same =
            fact.device == here.device && fact.set == here.set && fact.bank == here.bank && fact.first == here.first;
        if let (true, Some(scene), Some(mine), Some(at)) = (same, fact.scene, here.scene, set[other])
            && scene < mine
            && earlier.is_none_or(|(latest, _)| scene > latest)
        {
            earlier = Some((scene, &fact.values[at].text));
        }
    }
    (earlier.is_none_or(|(_, text)| text != wanted.text), wanted.rank)
}

/// Limits of the models, and what an offset that nobody fixed must leave alone.
fn allowed(grounds: &Grounds, set: &Set) -> bool {
    for (most, fed) in grounds.limits.values() {
        let points: u32 = fed.iter().filter(|(switch, _)| set[*switch].is_some()).map(|(_, points)| points).sum();
        if points > *most {
            return false;
        }
    }
    let mut plugged: BTreeSet<(usize, &str)> = BTreeSet::new();
    for (switch, (scene, _)) in &grounds.plugs {
        if let Some(value) = set[*switch]
            && !plugged.insert((*scene, &grounds.switches[*switch].values[value].text))
        {
            return false;
        }
    }
    grounds.chains.iter().all(|(top, banks)| offsets_apart(grounds, set, top, banks))
}

fn offsets_apart(grounds: &Grounds, set: &Set, top: &(usize, usize), banks: &[(usize, u32)]) -> bool {
    let range = |(switch, size): &(usize, u32)| {
        let fact = &grounds.switches[*switch];
        let first = fact.values[set[*switch]?].number;
        Some((first, first + size - 1, fact.pinned.is_some()))
    };
    let ranges: Vec<(u32, u32, bool)> = banks.iter().filter_map(range).collect();
    let overlap = |a: (u32, u32), b: (u32, u32)| a.0 <= b.1 && b.0 <= a.1;
    ranges.iter().enumerate().all(|(at, (first, last, fixed))| {
        let mine = (*first, *last);
        let reserved = grounds.reserved.get(top).into_iter().flatten().any(|other| overlap(mine, *other));
        let takes = grounds.fixed_takes.get(top).into_iter().flatten().any(|other| overlap(mine, *other));
        let others = ranges.iter().skip(at + 1);
        let others = others.filter(|(a, b, _)| overlap(mine, (*a, *b))).all(|(_, _, other)| *fixed && *other);
        (*fixed || !(reserved || takes)) && others
    })
}

fn silent_where_kept(grounds: &Grounds, set: &Set) -> bool {
    grounds.nevers.iter().all(|(scene, end, goal)| !arrives(&grounds.edges[*scene], set, *end, *goal, &mut vec![*end]))
}

/// Is there a way back from a point to a goal with all its switches closed?
fn arrives(edges: &[Vec<Edge>], set: &Set, at: Point, goal: Node, walked: &mut Vec<Point>) -> bool {
    if goal == Node::Point(at) {
        return true;
    }
    edges[at].iter().filter(|edge| edge.literals.iter().all(|(s, v)| set[*s] == Some(*v))).any(|edge| match edge.from {
        Node::Open(..) => edge.from == goal,
        Node::Point(from) if walked.contains(&from) => false,
        Node::Point(from) => {
            walked.push(from);
            let found = arrives(edges, set, from, goal, walked);
            walked.pop();
            found
        }
    })
}

/// Every combination of the values that could matter, unset among them; then the first by filtering.
pub fn by_listing(grounds: &Grounds, most: u64) -> Answer {
    let Some(wants) = possible_alone(grounds, 1_000_000) else { return Answer::Impossible };
    let useful = useful(grounds, &wants);
    let mut count: u64 = 1;
    for values in useful.values() {
        count = count.saturating_mul(values.len() as u64);
    }
    if count > most {
        return Answer::TooLarge;
    }
    let mut solutions: Vec<Set> = Vec::new();
    let choices: Vec<(&usize, &Vec<Option<usize>>)> = useful.iter().collect();
    let mut turn = vec![0usize; choices.len()];
    let mut set = pinned(grounds);
    loop {
        for ((switch, values), at) in choices.iter().zip(&turn) {
            set[**switch] = values[*at];
        }
        let holds = |want: &&Want| comes(grounds, want, &set, &mut vec![want.end]);
        if wants.iter().all(holds) && allowed(grounds, &set) && silent_where_kept(grounds, &set) {
            solutions.push(set.clone());
        }
        let Some(place) = (0..turn.len()).rev().find(|place| turn[*place] + 1 < choices[*place].1.len()) else { break };
        turn[place] += 1;
        turn[place + 1..].fill(0);
    }
    if solutions.is_empty() {
        return Answer::Impossible;
    }
    Answer::First(lines(grounds, &filtered(grounds, &wants, solutions)))
}

/// Values that could bring a wanted signal on its way, by switch; unset first. What is fixed is not listed.
fn useful(grounds: &Grounds, wants: &[&Want]) -> BTreeMap<usize, Vec<Option<usize>>> {
    let mut useful: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for want in wants {
        let reach = reach(grounds, want);
        let edges = &grounds.edges[want.scene];
        let mut cone = BTreeSet::new();
        let mut open = vec![want.end];
        while let Some(at) = open.pop() {
            if !cone.insert(at) {
                continue;
            }
            for edge in edges[at].iter().filter(|edge| reach.contains(&edge.from)) {
                for (switch, value) in &edge.literals {
                    useful.entry(*switch).or_default().insert(*value);
                }
                if let Node::Point(from) = edge.from {
                    open.push(from);
                }
            }
        }
    }
    useful.retain(|switch, _| grounds.switches[*switch].pinned.is_none());
    let with_unset = |values: BTreeSet<usize>| std::iter::once(None).chain(values.into_iter().map(Some)).collect();
    useful.into_iter().map(|(switch, values)| (switch, with_unset(values))).collect()
}

/// The reference's own words: for each want walk back; at each switch that is not yet set take the lowest
/// value with which some solution is left.
fn filtered(grounds: &Grounds, wants: &[&Want], mut solutions: Vec<Set>) -> Set {
    let mut set = pinned(grounds);
    for want in wants {
        let mut at = want.end;
        let mut walked = vec![at];
        while Node::Point(at) != want.goal {
            let mut edges: Vec<&Edge> = grounds.edges[want.scene][at].iter().collect();
            edges.sort_by_cached_key(|edge| {
                edge.literals.iter().map(|l| preference(grounds, &set, *l)).collect::<Vec<_>>()
            });
            let fits = |edge: &&&Edge| {
                let agrees = |solution: &Set| edge.literals.iter().all(|(s, v)| solution[*s] == Some(*v));
                let onward = |solution: &Set| match edge.from {
                    Node::Open(..) => edge.from == want.goal,
                    Node::Point(from) => {
                        let mut onward = walked.clone();
                        onward.push(from);
                        !walked.contains(&from)
                            && sensible(grounds, want, &walked, from)
                            && comes(grounds, want, solution, &mut onward)
                    }
                };
                solutions.iter().any(|solution| agrees(solution) && onward(solution))
            };
            let edge = edges.iter().find(fits).expect("a solution has a way");
            for (switch, value) in &edge.literals {
                set[*switch] = Some(*value);
            }
            solutions.retain(|solution| edge.literals.iter().all(|(s, v)| solution[*s] == Some(*v)));
            match edge.from {
                Node::Open(..) => break,
                Node::Point(from) => {
                    walked.push(from);
                    at = from;
                }
            }
        }
    }
    set
}

fn lines(grounds: &Grounds, set: &Set) -> Settings {
    let scenes = grounds.edges.len();
    let mut lines = Settings::new();
    for (switch, value) in grounds.switches.iter().zip(set) {
        let Some(value) = value.and_then(|value| switch.values.get(value)) else { continue };
        for scene in (0..scenes).filter(|scene| switch.scene.is_none_or(|of| of == *scene)) {
            lines.insert(line(scene, &switch.device, switch.set, &switch.bank, switch.first, switch.last, &value.text));
        }
    }
    lines
}

/// One setting, as both sides write it.
pub fn line(scene: usize, device: &str, set: &str, bank: &str, first: u32, last: u32, value: &str) -> String {
    format!("{scene}: {device} {set} {bank} {first}-{last} = {value}")
}
