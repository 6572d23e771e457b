//! Depth-first search: one way for each want so that no switch has two values. Propagation only takes
//! away what cannot be, so the answer is the first in the fixed order whatever the propagation finds.

use super::crowd;
use super::graph::Node;
use super::switches::{Literal, SwitchId, Switches, Value};
use super::ways::Way;
use rustc_hash::{FxHashMap as HashMap, FxHashSet as HashSet};
use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::rc::Rc;

/// A want to the search: its ways, best first.
#[derive(Clone, Debug)]
pub struct Item {
    pub ways: Rc<Vec<Way>>,
    /// What it wants, in which scene.
    pub goal: (usize, Node),
    /// The goal is a source of its own, so that two items of unlike goals never share a point.
    pub own: bool,
}

/// At most so many points of a bank may be fed: switches with the points that each feeds.
#[derive(Clone, Debug)]
pub struct Limit {
    pub switches: BTreeMap<SwitchId, u32>,
    pub most: u32,
}

/// Wants that must hold together.
pub struct Task<'a> {
    pub items: Vec<Item>,
    /// Sets of literals that must not all hold.
    pub nogoods: Vec<Vec<Literal>>,
    pub limits: Vec<Limit>,
    pub switches: &'a Switches,
    /// The switches of its part: all that the rest names.
    pub members: &'a [SwitchId],
    /// Decisions that the search may take.
    pub budget: u32,
    /// Steps taken so far: decisions, and wants looked at again.
    pub steps: Cell<u64>,
}

#[derive(Debug, PartialEq, Eq)]
pub enum Outcome {
    /// The way that each item takes.
    Found(Vec<usize>),
    Impossible,
    /// The budget of counted nodes is spent.
    TooHard,
}

/// Decisions that one search may take. Counted, never timed, so that the answer does not depend on the
/// machine.
pub const BUDGET: u32 = 20_000;
/// After so many dead ends each further node is checked for crowding.
const CROWD_AFTER: u32 = 24;

/// Lists by switch are by its place in the part.
#[derive(Clone)]
pub struct State {
    set: Vec<Option<Value>>,
    /// By switch: the values left, where fewer than all are known to be.
    allowed: Vec<Option<Rc<BTreeSet<Value>>>>,
    /// By switch: values that a nogood rules out.
    banned: Vec<Vec<Value>>,
    pub alive: Vec<Rc<Vec<u32>>>,
}

impl Task<'_> {
    fn value(&self, state: &State, switch: SwitchId) -> Option<Value> {
        state.set.get(self.switches.place(switch)).copied().flatten()
    }

    fn permits(&self, state: &State, literal: &Literal) -> bool {
        match self.value(state, literal.switch) {
            Some(value) => value == literal.value,
            None => {
                let at = self.switches.place(literal.switch);
                let allowed = state.allowed.get(at).and_then(Option::as_ref);
                !state.banned.get(at).is_some_and(|banned| banned.contains(&literal.value))
                    && allowed.is_none_or(|allowed| allowed.contains(&literal.value))
            }
        }
    }

    fn rule_out(&self, state: &mut State, literal: Literal) {
        if let Some(banned) = state.banned.get_mut(self.switches.place(literal.switch)) {
            banned.push(literal.value);
        }
    }

    fn holds(&self, state: &State, literal: &Literal) -> bool {
        self.value(state, literal.switch) == Some(literal.value)
    }
}

/// Who mentions a switch.
struct Index {
    items: HashMap<SwitchId, Vec<usize>>,
    nogoods: HashMap<SwitchId, Vec<usize>>,
    limits: HashMap<SwitchId, Vec<usize>>,
}

impl Task<'_> {
    fn index(&self) -> Index {
        let mut index = Index { items: HashMap::default(), nogoods: HashMap::default(), limits: HashMap::default() };
        for (number, item) in self.items.iter().enumerate() {
            for switch in super::ways::switches_of(&item.ways) {
                index.items.entry(switch).or_default().push(number);
            }
        }
        for (number, nogood) in self.nogoods.iter().enumerate() {
            for literal in nogood {
                index.nogoods.entry(literal.switch).or_default().push(number);
            }
        }
        for (number, limit) in self.limits.iter().enumerate() {
            for switch in limit.switches.keys() {
                index.limits.entry(*switch).or_default().push(number);
            }
        }
        index
    }

    /// The first solution in the fixed order.
    pub fn solve(&self) -> Outcome {
        let index = self.index();
        let Some(root) = self.root(&index) else { return Outcome::Impossible };
        if !crowd::has_room(self, &root) {
            return Outcome::Impossible;
        }
        self.search(root, &index)
    }

    fn root(&self, index: &Index) -> Option<State> {
        let mut state = State {
            set: vec![None; self.members.len()],
            allowed: vec![None; self.members.len()],
            banned: vec![Vec::new(); self.members.len()],
            alive: self.items.iter().map(|item| Rc::new((0u32..).take(item.ways.len()).collect())).collect(),
        };
        // Whatever the user fixed stands before the search begins.
        let mut fixed: Vec<Literal> = Vec::new();
        for switch in self.members {
            fixed.extend(self.switches.pins.get(switch).map(|value| Literal { switch: *switch, value: *value }));
        }
        for nogood in &self.nogoods {
            match nogood.as_slice() {
                [] => return None,
                [only] => self.rule_out(&mut state, *only),
                _ => {}
            }
        }
        let open = (0..self.items.len()).collect();
        self.assign(&mut state, &fixed, open, index).then_some(state)
    }

    fn search(&self, root: State, index: &Index) -> Outcome {
        struct Frame {
            state: State,
            item: usize,
            order: Vec<u32>,
            next: usize,
        }
        let (mut nodes, mut dead_ends) = (0, 0);
        let mut stack: Vec<Frame> = Vec::new();
        let mut current = Some(root);
        loop {
            if let Some(state) = current.take() {
                match self.undecided(&state) {
                    None => return Outcome::Found(self.chosen(&state)),
                    Some(item) => {
                        let order = self.ordered(&state, item);
                        stack.push(Frame { state, item, order, next: 0 });
                    }
                }
            }
            let Some(frame) = stack.last_mut() else { return Outcome::Impossible };
            let Some(way) = frame.order.get(frame.next).copied() else {
                stack.pop();
                continue;
            };
            frame.next += 1;
            nodes += 1;
            self.steps.set(self.steps.get() + 1);
            if nodes > self.budget {
                return Outcome::TooHard;
            }
            let mut child = frame.state.clone();
            let item = frame.item;
            if let Some(alive) = child.alive.get_mut(item) {
                *alive = Rc::new(vec![way]);
            }
            let literals = self.way(item, way).map_or(&[][..], |way| &way.literals);
            let holds = self.assign(&mut child, literals, VecDeque::new(), index);
            if holds && (dead_ends < CROWD_AFTER || crowd::has_room(self, &child)) {
                current = Some(child);
            } else {
                dead_ends += 1;
            }
        }
    }

    pub fn way(&self, item: usize, way: u32) -> Option<&Way> {
        self.items.get(item)?.ways.get(way as usize)
    }

    fn undecided(&self, state: &State) -> Option<usize> {
        state.alive.iter().position(|alive| alive.len() > 1)
    }

    fn chosen(&self, state: &State) -> Vec<usize> {
        state.alive.iter().map(|alive| alive.first().map_or(0, |way| *way as usize)).collect()
    }

    /// Ways in the order in which they are tried: at each switch of the walk, what an earlier act set
    /// first, then the order of preference in which the ways were listed.
    fn ordered(&self, state: &State, item: usize) -> Vec<u32> {
        let alive = state.alive.get(item).map_or_else(Vec::new, |alive| alive.to_vec());
        let kept = |literal: &Literal| {
            let before = self.switches.kin(literal.switch).find_map(|kin| self.value(state, kin));
            before.is_some_and(|value| value == literal.value)
        };
        let mut keyed: Vec<(u32, Vec<(bool, Literal)>)> = Vec::with_capacity(alive.len());
        for way in alive {
            let literals = self.way(item, way).map_or(&[][..], |way| &way.literals);
            keyed.push((way, literals.iter().map(|literal| (kept(literal), *literal)).collect()));
        }
        if keyed.iter().all(|(_, literals)| literals.iter().all(|(kept, _)| !kept)) {
            return keyed.into_iter().map(|(way, _)| way).collect();
        }
        // Ways of one item branch like a tree: compare at the first switch where two part.
        keyed.sort_by(|(way, a), (other, b)| {
            let parts = a.iter().zip(b).find(|((_, one), (_, two))| one != two);
            match parts {
                Some(((one, _), (two, _))) if one != two => two.cmp(one),
                _ => way.cmp(other),
            }
        });
        keyed.into_iter().map(|(way, _)| way).collect()
    }

    /// Sets literals and everything that follows. `false` where that cannot be.
    fn assign(&self, state: &mut State, literals: &[Literal], mut open: VecDeque<usize>, index: &Index) -> bool {
        let mut to_set: VecDeque<Literal> = literals.iter().copied().collect();
        let mut queued: HashSet<usize> = open.iter().copied().collect();
        loop {
            while let Some(literal) = to_set.pop_front() {
                if self.holds(state, &literal) {
                    continue;
                }
                if !self.permits(state, &literal) {
                    return false;
                }
                if let Some(place) = state.set.get_mut(self.switches.place(literal.switch)) {
                    *place = Some(literal.value);
                }
                if !self.within_limits(state, literal.switch, index)
                    || !self.ban(state, literal.switch, index, &mut open, &mut queued)
                {
                    return false;
                }
                wake(literal.switch, index, &mut open, &mut queued);
            }
            let Some(item) = open.pop_front() else { return true };
            queued.remove(&item);
            self.steps.set(self.steps.get() + 1);
            if !self.narrow(state, item, &mut to_set, index, &mut open, &mut queued) {
                return false;
            }
        }
    }

    fn within_limits(&self, state: &State, switch: SwitchId, index: &Index) -> bool {
        index.limits.get(&switch).into_iter().flatten().filter_map(|limit| self.limits.get(*limit)).all(|limit| {
            let is_set = |switch: &SwitchId| self.value(state, *switch).is_some();
            let fed: u32 = limit.switches.iter().filter(|(switch, _)| is_set(switch)).map(|(_, points)| points).sum();
            fed <= limit.most
        })
    }

    /// Where all of a nogood but one literal holds, that one must not.
    fn ban(
        &self,
        state: &mut State,
        switch: SwitchId,
        index: &Index,
        open: &mut VecDeque<usize>,
        queued: &mut HashSet<usize>,
    ) -> bool {
        for nogood in index.nogoods.get(&switch).into_iter().flatten().filter_map(|nogood| self.nogoods.get(*nogood)) {
            let mut left = nogood.iter().filter(|literal| !self.holds(state, literal));
            match (left.next(), left.next()) {
                (None, _) => return false,
                (Some(last), None) => {
                    let last = *last;
                    if self.permits(state, &last) {
                        self.rule_out(state, last);
                        wake(last.switch, index, open, queued);
                    }
                }
                _ => {}
            }
        }
        true
    }

    /// Drops ways that cannot be, and learns what all that are left agree on.
    fn narrow(
        &self,
        state: &mut State,
        item: usize,
        to_set: &mut VecDeque<Literal>,
        index: &Index,
        open: &mut VecDeque<usize>,
        queued: &mut HashSet<usize>,
    ) -> bool {
        let Some(before) = state.alive.get(item).cloned() else { return true };
        let possible = |way: &u32| {
            self.way(item, *way).is_some_and(|way| way.literals.iter().all(|literal| self.permits(state, literal)))
        };
        let alive: Vec<u32> = before.iter().copied().filter(possible).collect();
        if alive.is_empty() {
            return false;
        }
        for (switch, values) in self.common(item, &alive) {
            if let [value] = values.iter().copied().collect::<Vec<_>>().as_slice() {
                to_set.push_back(Literal { switch, value: *value });
                continue;
            }
            let known = state.allowed.get(self.switches.place(switch)).and_then(Option::as_ref);
            let narrowed: BTreeSet<Value> = match known {
                Some(known) => known.intersection(&values).copied().collect(),
                None => values,
            };
            if narrowed.is_empty() {
                return false;
            }
            if known.is_none_or(|known| narrowed.len() < known.len()) {
                if let Some(place) = state.allowed.get_mut(self.switches.place(switch)) {
                    *place = Some(Rc::new(narrowed));
                }
                wake(switch, index, open, queued);
            }
        }
        if let Some(place) = state.alive.get_mut(item) {
            *place = Rc::new(alive);
        }
        true
    }

    /// The switches that all these ways need, with the values that they need of them.
    fn common(&self, item: usize, alive: &[u32]) -> Vec<(SwitchId, BTreeSet<Value>)> {
        let mut ways = alive.iter().filter_map(|way| self.way(item, *way));
        let Some(first) = ways.next() else { return Vec::new() };
        let mut common: Vec<(SwitchId, BTreeSet<Value>)> =
            first.literals.iter().map(|literal| (literal.switch, BTreeSet::from([literal.value]))).collect();
        for way in ways {
            common.retain_mut(|(switch, values)| {
                let here = way.literals.iter().find(|literal| literal.switch == *switch);
                here.map(|literal| values.insert(literal.value)).is_some()
            });
            if common.is_empty() {
                break;
            }
        }
        common
    }
}

fn wake(switch: SwitchId, index: &Index, open: &mut VecDeque<usize>, queued: &mut HashSet<usize>) {
    for item in index.items.get(&switch).into_iter().flatten() {
        if queued.insert(*item) {
            open.push_back(*item);
        }
    }
}
