//! From a declared model to its rows of points and what may feed what. Every word that names a bank or
//! a port of the model is looked up here; one that names nothing is reported and its item left out.

use super::library::Library;
use super::model::{
    Carry, Copy, Feed, How, Lane, LaneKind, Model, NamedBlock, PortFact, Reserved, Ride, RouteFact, Take, phantom_group,
};
use crate::diagnostics::{Diagnostic, Sort, did_you_mean};
use crate::plan::Role;
use crate::project::nearest;
use crate::source::Span;
use crate::syntax::ast::{self, BankRole, ModelItem, ModelItemKind, Name, RideAt, RouteHow, TakeAt};
use crate::syntax::words::{BANK_WORDS, MODEL_WORDS};
use std::collections::BTreeSet;

/// A bank may not be larger: a size is checked before anything is expanded.
pub const LARGEST_BANK: u32 = 1024;

/// Models may be like a model that is like another, so deep and no deeper.
const LIKE_DEPTH: usize = 16;

/// The model's items with those of what it is `like`, replaced where it says them anew.
pub fn flatten<'a>(
    model: &'a ast::Model,
    all: &'a [ast::Model],
    seen: &mut Vec<&'a str>,
    found: &mut Vec<Diagnostic>,
) -> Vec<&'a ModelItem> {
    let mut items = Vec::new();
    if let Some(like) = &model.like {
        if seen.len() > LIKE_DEPTH {
            found.push(
                Diagnostic::error(
                    "model-like-itself",
                    like.span,
                    format!("more than {LIKE_DEPTH} models are like one another"),
                )
                .help("say the model in full"),
            );
        } else if let Some(begins) = seen.iter().position(|name| *name == like.value) {
            // A ring is told once: at the model that comes first by name.
            let ring = seen.get(begins..).unwrap_or_default();
            if seen.first() == ring.iter().min() {
                let message = format!("model `{}` is like itself, by way of `{}`", like.value, model.name.value);
                found.push(
                    Diagnostic::error("model-like-itself", like.span, message)
                        .help(format!("take `like {}` out and say that model in full", like.value)),
                );
            }
        } else if let Some(base) = all.iter().find(|base| base.name.value == like.value) {
            seen.push(&like.value);
            items = flatten(base, all, seen, found);
        } else {
            let near = nearest(&like.value, all.iter().map(|m| m.name.value.as_str()));
            found.push(unknown(Sort::Model, "model", like, near));
        }
    }
    items.retain(|old| !model.items.iter().any(|new| replaces(&new.kind, &old.kind)));
    items.extend(model.items.iter());
    items
}

fn replaces(new: &ModelItemKind, old: &ModelItemKind) -> bool {
    use ModelItemKind as K;
    match (new, old) {
        (K::Bank(new), K::Bank(old)) => new.name.value == old.name.value,
        (K::Port(new), K::Port(old)) => new.name.value == old.name.value,
        (K::Route(new), K::Route(old)) => {
            let part = |route: &ast::Route| route.range.map(|range| (range.first, range.last));
            new.bank.value == old.bank.value && part(new) == part(old)
        }
        (K::Block { name: new, .. }, K::Block { name: old, .. }) => new.value == old.value,
        (K::Rides { bank: b1, port: p1, .. }, K::Rides { bank: b2, port: p2, .. }) => {
            b1.value == b2.value && p1.value == p2.value
        }
        (K::Takes { bank: b1, .. }, K::Takes { bank: b2, .. }) => b1.value == b2.value,
        (K::Latency(_), K::Latency(_))
        | (K::PhantomLimit(_), K::PhantomLimit(_))
        | (K::Draws(_), K::Draws(_))
        | (K::Strip(_), K::Strip(_))
        | (K::Converts, K::Converts)
        | (K::Note(_), K::Note(_)) => true,
        _ => false,
    }
}

pub fn unknown(sort: Sort, what: &str, name: &Name, near: Option<&str>) -> Diagnostic {
    let message = format!("there is no {what} called `{}`", name.value);
    Diagnostic::unknown(sort, name.value.clone(), name.span, message).near(name.span, near)
}

/// A bank, a port or the like of `owner`, as messages name it.
pub fn no_part(owner: &str, what: &str, name: &Name, near: Option<&str>) -> Diagnostic {
    let message = format!("{owner} has no {what} called `{}`", name.value);
    let part = format!("{owner} {}", name.value);
    Diagnostic::unknown(Sort::Part, part, name.span, message).near(name.span, near)
}

/// The model at a rate. `broken` are the words of rows that could not be read, which may have declared a bank.
pub fn compile(
    declared: &ast::Model,
    all: &[ast::Model],
    library: &Library,
    rate_hz: u32,
    broken: &BTreeSet<String>,
    found: &mut Vec<Diagnostic>,
) -> Model {
    let items = flatten(declared, all, &mut vec![&declared.name.value], found);
    let mut making = Making { model: empty(declared), rate_hz, library, broken, found };
    for item in &items {
        making.lanes(item);
    }
    // Named blocks first: a route may name one that stands below it.
    let (blocks, others): (Vec<&ModelItem>, Vec<&ModelItem>) =
        items.iter().partition(|item| matches!(item.kind, ModelItemKind::Block { .. }));
    for item in blocks.into_iter().chain(others) {
        making.facts(item);
    }
    making.one_route_a_point();
    making.one_feed_a_bank(declared.name.span);
    making.model
}

fn empty(declared: &ast::Model) -> Model {
    Model {
        name: declared.name.value.clone(),
        label: declared.label.as_ref().map(|label| label.value.clone()),
        span: declared.name.span,
        lanes: Vec::new(),
        ports: Vec::new(),
        carries: Vec::new(),
        passes: Vec::new(),
        takes: Vec::new(),
        copies: Vec::new(),
        routes: Vec::new(),
        blocks: Vec::new(),
        reserved: Vec::new(),
        latency_ms: None,
        phantom_limit_ma: None,
        draws_w: None,
        strip: None,
        converts: false,
    }
}

struct Making<'a> {
    model: Model,
    rate_hz: u32,
    library: &'a Library,
    broken: &'a BTreeSet<String>,
    found: &'a mut Vec<Diagnostic>,
}

impl Making<'_> {
    fn lanes(&mut self, item: &ModelItem) {
        match &item.kind {
            ModelItemKind::Bank(bank) => self.bank(bank, item.span),
            ModelItemKind::Port(port) => self.port(port, item.span),
            _ => {}
        }
    }

    fn bank(&mut self, bank: &ast::Bank, span: Span) {
        if self.taken(&bank.name) {
            return;
        }
        let (first, size) = (bank.range.first, bank.range.last);
        if first != 1 || size == 0 || size > LARGEST_BANK {
            self.found.push(
                Diagnostic::error(
                    "bank-out-of-size",
                    bank.range.span,
                    format!(
                        "a bank counts from 1 to at most {LARGEST_BANK}; `{}` says {first}-{size}",
                        bank.name.value
                    ),
                )
                .help(format!("write `{} 1-16` with the number of sockets there are", bank.name.value)),
            );
            if size == 0 || size > LARGEST_BANK {
                return;
            }
        }
        let stranger = bank.signal.as_ref().filter(|signal| !self.library.knows_signal(&signal.value));
        let slip = stranger.and_then(|signal| nearest(&signal.value, BANK_WORDS.iter().copied()));
        let said = bank.role.as_ref().map(|role| role_of(role.value));
        // Where a word of the bank is mistyped, that is told below.
        let role = match (said, bank.name.value.as_str()) {
            (Some(role), _) => role,
            (None, "in") => Role::In,
            (None, "out") => Role::Out,
            (None, _) if slip.is_some() => Role::Inner,
            (None, name) => {
                let fact = stranger.and_then(|_| did_you_mean(name, MODEL_WORDS.iter().copied()));
                let no_bank = fact.is_some();
                self.found.push(without_direction(&bank.name, size, fact));
                if no_bank {
                    return;
                }
                Role::Inner
            }
        };
        let signal = bank.signal.as_ref().map_or_else(|| "line".to_string(), |signal| signal.value.clone());
        if let Some(name) = stranger {
            let near = nearest(&name.value, self.library.signals().chain(slip));
            let problem = unknown(Sort::Signal, "kind of signal", name, near);
            self.found.push(problem);
        }
        self.model.lanes.push(Lane {
            name: bank.name.value.clone(),
            size,
            kind: LaneKind::Bank(role),
            span,
            signal,
            end: bank.end.is_some() || role == Role::Out,
            gain: bank.gain.as_ref().map(|(low, high)| (low.value.number, high.value.number)),
            phantom: phantom_group(bank.phantom.as_ref().map(|supply| supply.value)).min(size),
            pad: bank.pad.is_some(),
            clip_dbu: bank.clip.as_ref().map(|clip| clip.value.number),
            isolated: bank.isolated.is_some(),
            pairs: false,
        });
    }

    fn port(&mut self, port: &ast::Port, span: Span) {
        if self.taken(&port.name) {
            return;
        }
        let slots = match self.library.carrier(&port.carrier.value) {
            Some(carrier) => carrier.slots.clone(),
            None => {
                let near = nearest(&port.carrier.value, self.library.carriers());
                self.found.push(unknown(Sort::Carrier, "carrier", &port.carrier, near));
                Vec::new()
            }
        };
        let size = Model::slots_at(&slots, self.rate_hz);
        let index = self.model.ports.len();
        let lane = |kind| Lane {
            name: port.name.value.clone(),
            size,
            kind,
            span,
            signal: port.carrier.value.clone(),
            end: false,
            gain: None,
            phantom: 0,
            pad: false,
            clip_dbu: None,
            isolated: false,
            pairs: false,
        };
        let inward = self.model.lanes.len();
        self.model.lanes.push(lane(LaneKind::PortIn(index)));
        self.model.lanes.push(lane(LaneKind::PortOut(index)));
        self.model.ports.push(PortFact {
            name: port.name.value.clone(),
            span,
            carrier: port.carrier.value.clone(),
            faces: port.faces.value,
            powers: port.powers.is_some(),
            needs_power: port.needs_power.is_some(),
            slots,
            inward,
            outward: inward + 1,
        });
    }

    fn taken(&mut self, name: &Name) -> bool {
        let first = self.model.lanes.iter().find(|lane| lane.name == name.value).map(|lane| lane.span);
        if let Some(first) = first {
            let message = format!("model `{}` has two banks or ports called `{}`", self.model.name, name.value);
            self.found.push(
                Diagnostic::error("name-declared-twice", name.span, message)
                    .label(first, "the first one")
                    .help("give one of them another name"),
            );
        }
        first.is_some()
    }

    fn facts(&mut self, item: &ModelItem) {
        use ModelItemKind as K;
        match &item.kind {
            K::Bank(_) | K::Port(_) => {}
            K::Note(label) => self.model.label = Some(label.value.clone()),
            K::Passes { port, other, one_way } => {
                if let (Some(port), Some(other)) = (self.find_port(port), self.find_port(other)) {
                    // `up passes thru` is both ways; `personal passes up one way` is from up to personal.
                    self.model.passes.push((other, port));
                    if !one_way {
                        self.model.passes.push((port, other));
                    }
                }
            }
            K::Rides { bank, port, at } => {
                let at = match at {
                    RideAt::Stacked => Some(Ride::Stacked),
                    RideAt::Setting(choices) => self.choices(choices).map(Ride::Setting),
                    RideAt::Fixed(slot) => self.bounded(slot).map(Ride::Fixed),
                };
                if let (Some(bank), Some(port), Some(at)) = (self.find_bank(bank), self.find_port(port), at) {
                    self.model.carries.push(Carry { bank, port, at });
                }
            }
            K::Takes { bank, port, at, mode, first_desk_only } => {
                let at = match at {
                    TakeAt::Offset(choices) => self.choices(choices).map(Ride::Setting),
                    TakeAt::Fixed(slot) => self.bounded(slot).map(Ride::Fixed),
                };
                if let (Some(bank), Some(port), Some(at)) = (self.find_bank(bank), self.find_port(port), at) {
                    let mode = mode.as_ref().map(|mode| mode.value.clone());
                    self.model.takes.push(Take { bank, port, at, mode, first_desk_only: *first_desk_only });
                }
            }
            K::Copies { bank, of, first, mode } => {
                if let (Some(bank), Some(of)) = (self.find_bank(bank), self.find_bank(of)) {
                    let first = first.as_ref().map_or(Some(1), |first| self.bounded(first));
                    let Some(first) = first else { return };
                    let mode = mode.as_ref().map(|mode| mode.value.clone());
                    self.model.copies.push(Copy { bank, of, first, mode });
                }
            }
            K::Route(route) => self.route(route, item.span),
            K::Block { name, points } => self.block(name, points),
            K::Reserved { port, range, for_what, rate } => {
                let bank = self.find_bank(for_what);
                if let (Some(port), Some(_)) = (self.find_port(port), bank)
                    && self.bounded_range(range)
                {
                    self.model.reserved.push(Reserved {
                        port,
                        first: range.first,
                        last: range.last,
                        for_what: for_what.value.clone(),
                        rate_hz: rate.as_ref().and_then(|rate| hertz(rate.value)),
                    });
                }
            }
            K::Pairs { banks } => {
                for bank in banks {
                    let lane = self.find_bank(bank);
                    if let Some(lane) = lane.and_then(|index| self.model.lanes.get_mut(index)) {
                        lane.pairs = true;
                    }
                }
            }
            K::Latency(time) => self.model.latency_ms = time.value.milliseconds(),
            K::PhantomLimit(current) => self.model.phantom_limit_ma = current.value.milliamperes(),
            K::Converts => self.model.converts = true,
            K::Draws(power) => self.model.draws_w = Some(power.value.number),
            K::Strip(letters) => self.model.strip = Some(letters.value),
        }
    }

    /// A slot or a point that a model may name: from 1 to the largest bank.
    fn bounded(&mut self, number: &crate::source::At<u32>) -> Option<u32> {
        let fits = (1..=LARGEST_BANK).contains(&number.value);
        if !fits {
            self.found.push(out_of_bounds(number.span));
        }
        fits.then_some(number.value)
    }

    /// A part of a bank or port.
    fn bounded_range(&mut self, range: &ast::Range) -> bool {
        let fits = range.first >= 1 && range.last <= LARGEST_BANK;
        if !fits {
            self.found.push(out_of_bounds(range.span));
        }
        fits
    }

    fn choices(&mut self, numbers: &ast::Numbers) -> Option<Vec<u32>> {
        if !numbers.ranges.iter().all(|range| self.bounded_range(range)) {
            return None;
        }
        let count: u64 = numbers.ranges.iter().map(|r| u64::from(r.last) - u64::from(r.first) + 1).sum();
        if count > u64::from(LARGEST_BANK) {
            self.found.push(Diagnostic::error(
                "bank-out-of-size",
                numbers.span,
                "a model has at most 1024 choices here",
            ));
            return None;
        }
        let mut choices: Vec<u32> = numbers.ranges.iter().flat_map(|r| r.first..=r.last).filter(|n| *n > 0).collect();
        choices.sort_unstable();
        choices.dedup();
        Some(choices)
    }

    fn route(&mut self, route: &ast::Route, span: Span) {
        let rate_hz = route.rate.as_ref().and_then(|rate| hertz(rate.value));
        let lane = self.fed_lane(&route.bank);
        let from: Vec<Feed> = route.from.iter().filter_map(|name| self.feed(name)).collect();
        if rate_hz.is_some_and(|rate| rate != self.rate_hz) {
            return;
        }
        let how = match route.how.value {
            RouteHow::Blocks(size) => How::Blocks(size.clamp(1, LARGEST_BANK)),
            RouteHow::OneByOne => How::Blocks(1),
            RouteHow::Straight => How::Straight,
        };
        if route.range.is_some_and(|range| !self.bounded_range(&range)) {
            return;
        }
        let part = route.range.map(|range| (range.first, range.last));
        if let Some(lane) = lane
            && !from.is_empty()
        {
            let at_most = route.at_most.as_ref().map(|most| most.value);
            self.model.routes.push(RouteFact { lane, part, from, how, at_most, rate_hz, span });
        }
    }

    fn block(&mut self, name: &Name, points: &ast::Terms) {
        let mut block = NamedBlock { name: name.value.clone(), points: Vec::new() };
        let mut bank = None;
        for term in &points.terms {
            if let Some(dotted) = &term.name {
                bank = dotted.parts.first().and_then(|name| self.find_bank(name));
            }
            let size = bank.and_then(|bank| self.model.lane(bank)).map_or(0, |lane| lane.size);
            let (first, last) = term.range.map_or((1, size), |range| (range.first, range.last));
            if let Some(bank) = bank {
                if first == 0 || last > size {
                    let message =
                        format!("`{}` has only points 1-{size}", self.model.lanes.get(bank).map_or("", |l| &l.name));
                    self.found.push(Diagnostic::error("no-such-point", term.span, message));
                    continue;
                }
                block.points.extend((first..=last).map(|number| (bank, number)));
            }
        }
        self.model.blocks.push(block);
    }

    fn one_route_a_point(&mut self) {
        for (index, route) in self.model.routes.iter().enumerate() {
            let clash = self.model.routes.iter().take(index).find(|before| {
                before.lane == route.lane
                    && match (before.part, route.part) {
                        (None, None) => true,
                        (Some((a, b)), Some((c, d))) => a <= d && c <= b,
                        _ => false,
                    }
            });
            if let Some(before) = clash {
                let name = self.model.lanes.get(route.lane).map_or("", |lane| lane.name.as_str());
                self.found.push(
                    Diagnostic::error("bank-routed-twice", route.span, format!("`{name}` is fed by two routes"))
                        .label(before.span, "the first one")
                        .help("put all that may feed it into one line, or give each line its own numbers"),
                );
            }
        }
    }

    /// A bank that takes or copies from two places needs a mode to tell which; two banks may not ride one
    /// slot of a port.
    fn one_feed_a_bank(&mut self, span: Span) {
        // Of those for the first desk only, one port leads there.
        let takes = self.model.takes.iter().filter(|take| !take.first_desk_only).map(|take| (take.bank, &take.mode));
        let copies = self.model.copies.iter().map(|copy| (copy.bank, &copy.mode));
        let feeds: Vec<(usize, &Option<String>)> = takes.chain(copies).collect();
        let doubled =
            feeds.iter().enumerate().find(|(index, feed)| feeds.iter().take(*index).any(|first| first == *feed));
        if let Some((_, (bank, _))) = doubled {
            let name = self.model.lanes.get(*bank).map_or("", |lane| lane.name.as_str());
            let message =
                format!("`{name}` of model `{}` takes from two places, and nothing says which plays", self.model.name);
            self.found.push(
                Diagnostic::error("bank-routed-twice", span, message)
                    .help(format!("give each a mode: `{name} takes up at 1 in mode first`")),
            );
        }
        let rides: Vec<&Carry> = self.model.carries.iter().filter(|carry| carry.at != Ride::Stacked).collect();
        let places = |carry: &Carry| -> Vec<(u32, u32)> {
            let size = self.model.lanes.get(carry.bank).map_or(0, |lane| lane.size);
            let firsts = match &carry.at {
                Ride::Setting(choices) => choices.clone(),
                Ride::Fixed(first) => vec![*first],
                Ride::Stacked => Vec::new(),
            };
            firsts.into_iter().map(|first| (first, first + size)).collect()
        };
        let meet = |one: &Carry, two: &Carry| {
            let others = places(two);
            places(one).iter().any(|(a, b)| others.iter().any(|(c, d)| a < d && c < b))
        };
        let clash = rides.iter().enumerate().find_map(|(index, one)| {
            rides.iter().take(index).find(|two| two.port == one.port && meet(one, two)).map(|two| (one.bank, two.bank))
        });
        if let Some((one, two)) = clash {
            let name = |bank: usize| self.model.lanes.get(bank).map_or("", |lane| lane.name.as_str());
            let message =
                format!("`{}` and `{}` of model `{}` can ride one slot", name(two), name(one), self.model.name);
            self.found.push(Diagnostic::error("bank-routed-twice", span, message).help("give each slots of its own"));
        }
    }

    fn find_bank(&mut self, name: &Name) -> Option<usize> {
        let bank = self.model.bank(&name.value);
        if bank.is_none() && !self.broken.contains(&name.value) {
            let problem = self.missing("bank", name);
            self.found.push(problem);
        }
        bank
    }

    fn find_port(&mut self, name: &Name) -> Option<usize> {
        let port = self.model.port(&name.value);
        if port.is_none() && !self.broken.contains(&name.value) {
            let problem = self.missing("port", name);
            self.found.push(problem);
        }
        port
    }

    /// The row of points that a route feeds: a bank, or the way out of a port.
    fn fed_lane(&mut self, name: &Name) -> Option<usize> {
        let port = self.model.port(&name.value).and_then(|port| self.model.ports.get(port));
        match port {
            Some(port) => Some(port.outward),
            None => self.find_bank(name),
        }
    }

    fn feed(&mut self, name: &Name) -> Option<Feed> {
        if let Some(port) = self.model.port(&name.value).and_then(|port| self.model.ports.get(port)) {
            return Some(Feed::Lane(port.inward));
        }
        if let Some(block) = self.model.blocks.iter().position(|block| block.name == name.value) {
            return Some(Feed::Block(block));
        }
        self.find_bank(name).map(Feed::Lane)
    }

    fn missing(&self, what: &str, name: &Name) -> Diagnostic {
        let near = nearest(&name.value, self.model.lanes.iter().map(|lane| lane.name.as_str()));
        no_part(&format!("model `{}`", self.model.name), what, name, near)
    }
}

/// `fact` is what the row may be meant as, where it is no bank.
fn without_direction(bank: &Name, size: u32, fact: Option<String>) -> Diagnostic {
    let name = &bank.value;
    let message = format!("it is not said whether `{name}` is `in`, `out`, `inner` or `origin`");
    let write = || format!("write `{name} 1-{size} in mic` for sockets that sources plug into");
    Diagnostic::error("bank-without-direction", bank.span, message).help(fact.unwrap_or_else(write))
}

fn role_of(role: BankRole) -> Role {
    match role {
        BankRole::In => Role::In,
        BankRole::Out => Role::Out,
        BankRole::Inner => Role::Inner,
        BankRole::Origin => Role::Origin,
    }
}

fn out_of_bounds(span: Span) -> Diagnostic {
    Diagnostic::error("bank-out-of-size", span, format!("numbers of a model go from 1 to {LARGEST_BANK}"))
}

/// A rate in whole hertz.
pub fn hertz(quantity: crate::quantity::Quantity) -> Option<u32> {
    let hertz = quantity.hertz()?;
    // A rate is a positive whole number of hertz well inside u32; anything else is no rate.
    if hertz.is_finite() && (1.0..=10_000_000.0).contains(&hertz) { Some(hertz.round() as u32) } else { None }
}
