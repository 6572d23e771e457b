//! From an end point back to its source: what feeds a point, step by step, until a plug, an origin
//! or nothing. Never forward, and never by what the plan claims.

use super::Difference;
use super::inside::{At, Feeder, Fixed, Inside, Item};
use super::state::{Node, Routed, Side, State};
use crate::plan::Role;
use rustc_hash::FxHashSet as HashSet;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Source {
    /// By its place among the state's plugs.
    Plug(usize),
    Origin(Node),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Feed {
    Source(Source),
    From(Node),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Found {
    Silent,
    Source(Source),
    Loop,
    /// Two sources meet.
    Clash(Source, Source),
}

impl State<'_> {
    /// What arrives at a point. `path` becomes the points from it back to the source.
    pub fn walk(&self, end: Node, path: &mut Vec<Node>) -> Found {
        path.clear();
        path.push(end);
        let mut node = end;
        let (mut mark, mut steps, mut limit) = (end, 0u32, 64u32);
        let mut feeds = Vec::new();
        loop {
            feeds.clear();
            self.feeds(node, &mut feeds);
            match feeds.as_slice() {
                [] => return Found::Silent,
                [Feed::Source(source)] => return Found::Source(*source),
                [Feed::From(from)] => node = *from,
                _ => return self.walk_all(end, path),
            }
            if node == mark {
                return Found::Loop;
            }
            steps += 1;
            if steps == limit {
                (mark, steps, limit) = (node, 0, limit.saturating_mul(2));
            }
            path.push(node);
        }
    }

    /// The same where points are fed from several sides, each of which may be silent.
    fn walk_all(&self, end: Node, path: &mut Vec<Node>) -> Found {
        let mut seen = HashSet::from_iter([end]);
        let mut on_way = HashSet::from_iter([end]);
        let mut stack = vec![(end, self.feeds_of(end))];
        let mut found = Found::Silent;
        while let Some((node, feeds)) = stack.last_mut() {
            let Some(feed) = feeds.pop() else {
                on_way.remove(node);
                stack.pop();
                continue;
            };
            match (feed, found) {
                (Feed::From(next), _) if on_way.contains(&next) => return Found::Loop,
                (Feed::From(next), _) if seen.insert(next) => {
                    on_way.insert(next);
                    stack.push((next, self.feeds_of(next)));
                }
                (Feed::Source(source), Found::Source(other)) if self.differs(source, other) => {
                    return Found::Clash(other, source);
                }
                (Feed::Source(source), Found::Silent) => {
                    found = Found::Source(source);
                    path.clear();
                    path.extend(stack.iter().map(|(node, _)| *node));
                }
                _ => {}
            }
        }
        found
    }

    fn differs(&self, one: Source, other: Source) -> bool {
        one != other && self.source_name(one) != self.source_name(other)
    }

    /// The feeds of a point, the first last.
    fn feeds_of(&self, node: Node) -> Vec<Feed> {
        let mut feeds = Vec::new();
        self.feeds(node, &mut feeds);
        feeds.reverse();
        feeds
    }

    /// Whatever feeds a point: for a bank all that the wiring and the settings bring, in the order of
    /// plug, line, what it takes, what it copies, fixed routes, set routes.
    pub fn feeds(&self, node: Node, to: &mut Vec<Feed>) {
        match node.side {
            Side::Bank => self.feeds_of_bank(node, to),
            Side::Out => self.feeds_of_slot(node, to),
            Side::In => {
                let Some(link) = self.link(node.device, node.item) else { return };
                let Some(port) = self.inside(node.device).and_then(|inside| inside.ports.get(node.item)) else {
                    return;
                };
                if node.n <= port.inward {
                    to.push(Feed::From(Node { device: link.device, side: Side::Out, item: link.port, n: node.n }));
                }
            }
        }
    }

    fn feeds_of_bank(&self, node: Node, to: &mut Vec<Feed>) {
        let Some(inside) = self.inside(node.device) else { return };
        let Some(bank) = inside.banks.get(node.item) else { return };
        let Some(set) = self.devices.get(node.device).and_then(|dev| dev.banks.get(node.item)) else { return };
        if bank.bank.role == Role::Origin {
            return to.push(Feed::Source(Source::Origin(node)));
        }
        if self.out_of_use(node) {
            return;
        }
        if bank.bank.role == Role::In {
            to.extend(self.plugged.get(&node).map(|plug| Feed::Source(Source::Plug(*plug))));
            to.extend(self.runs.get(&node).map(|line| Feed::From(*line)));
        }
        for feeder in &bank.feeders {
            to.extend(self.by_feeder(feeder, node, set.offset, set.mode));
        }
        to.extend(
            fixed(inside, &bank.fixed, node).into_iter().chain(routed(inside, &set.routes, node)).map(Feed::From),
        );
    }

    fn by_feeder(&self, feeder: &Feeder<'_>, node: Node, offset: Option<u32>, mode: Option<&str>) -> Option<Feed> {
        let inside = self.inside(node.device)?;
        match *feeder {
            Feeder::Takes { port, at, mode: needs, first_desk, .. } => {
                if needs.is_some() && needs != mode {
                    return None;
                }
                if first_desk && !self.devices.get(node.device)?.ports.get(port)?.drives {
                    return None;
                }
                let first = match at {
                    At::Slot(slot) => slot,
                    At::Setting | At::Stacked => offset?,
                };
                let n = first.checked_add(node.n)?.checked_sub(1)?;
                point(inside, node.device, Item::Port(port), n).map(Feed::From)
            }
            Feeder::Copies { of, first, mode: needs } => {
                if needs.is_some() && needs != mode {
                    return None;
                }
                let n = first.checked_add(node.n)?.checked_sub(1)?;
                point(inside, node.device, Item::Bank(of), n).map(Feed::From)
            }
        }
    }

    /// A slot on the way out: the bank that rides there, else a fixed route, else a set one, else
    /// what is passed on.
    fn feeds_of_slot(&self, node: Node, to: &mut Vec<Feed>) {
        let Some(inside) = self.inside(node.device) else { return };
        let Some(port) = inside.ports.get(node.item).filter(|port| node.n <= port.outward) else { return };
        let Some(dev) = self.devices.get(node.device) else { return };
        if let Some((item, n)) = port.rider(node.n, &dev.banks) {
            return to.push(Feed::From(Node { device: node.device, side: Side::Bank, item, n }));
        }
        if let Some(fixed) = covering(&port.fixed, node.n) {
            let from = point(inside, node.device, fixed.from, node.n - fixed.first + 1);
            return to.extend(from.map(Feed::From));
        }
        let routes = dev.ports.get(node.item).map(|port| port.routes.as_slice()).unwrap_or_default();
        if covering_route(routes, node.n).is_some() {
            return to.extend(routed(inside, routes, node).map(Feed::From));
        }
        let Some(n) = node.n.checked_sub(port.stacked()).filter(|n| *n > 0) else { return };
        for from in &port.passes {
            to.extend(point(inside, node.device, Item::Port(*from), n).map(Feed::From));
        }
    }

    pub fn source_name(&self, source: Source) -> String {
        match source {
            Source::Plug(plug) => self.plugs.get(plug).map(|plug| plug.source.clone()).unwrap_or_default(),
            Source::Origin(node) => self.name(node),
        }
    }

    /// The points as a plan lists them: source first, and a link's slot once.
    pub fn path_names(&self, path: &[Node]) -> Vec<String> {
        path.iter().rev().filter(|node| node.side != Side::Out).map(|node| self.name(*node)).collect()
    }

    pub fn fault(&self, end: Node, found: &Found) -> Option<Difference> {
        let found = match *found {
            Found::Loop => "a loop".to_owned(),
            Found::Clash(one, other) => format!("`{}` and `{}`", self.source_name(one), self.source_name(other)),
            Found::Silent | Found::Source(_) => return None,
        };
        Some(self.difference(self.name(end), "one source or silence", found))
    }
}

fn point(inside: &Inside<'_>, device: usize, item: Item, n: u32) -> Option<Node> {
    if n == 0 || n > inside.source_size(item) {
        return None;
    }
    match item {
        Item::Bank(item) => Some(Node { device, side: Side::Bank, item, n }),
        Item::Port(item) => Some(Node { device, side: Side::In, item, n }),
        Item::Block(block) => {
            let (item, n) = *inside.blocks.get(block)?.get(n as usize - 1)?;
            if matches!(item, Item::Block(_)) { None } else { point(inside, device, item, n) }
        }
    }
}

fn covering(fixed: &[Fixed], n: u32) -> Option<&Fixed> {
    fixed.iter().find(|fixed| (fixed.first..=fixed.last).contains(&n))
}

fn fixed(inside: &Inside<'_>, list: &[Fixed], node: Node) -> Option<Node> {
    let fixed = covering(list, node.n)?;
    point(inside, node.device, fixed.from, node.n - fixed.first + 1)
}

/// The routes are in order and do not overlap.
fn covering_route(routes: &[Routed], n: u32) -> Option<&Routed> {
    let after = routes.partition_point(|route| route.first <= n);
    routes.get(after.checked_sub(1)?).filter(|route| n <= route.last)
}

fn routed(inside: &Inside<'_>, routes: &[Routed], node: Node) -> Option<Node> {
    let route = covering_route(routes, node.n)?;
    let k = node.n - route.first;
    if k < route.len { point(inside, node.device, route.from, route.start.checked_add(k)?) } else { None }
}
