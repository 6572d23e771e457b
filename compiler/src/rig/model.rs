//! A model as the router sees it: rows of numbered points, and what may feed what inside. Every way of
//! every port is a row of its own, so that a slot is two points of one name.

use crate::plan::Role;
use crate::source::Span;
use crate::syntax::ast::{Faces, PhantomSupply};

/// A numbered row of points of a model: a bank, or one way of a port.
#[derive(Clone, Debug)]
pub struct Lane {
    pub name: String,
    pub size: u32,
    pub kind: LaneKind,
    pub span: Span,
    /// What travels here: mic, line, … For a port the carrier's name.
    pub signal: String,
    /// Signals end here: shown in the plan.
    pub end: bool,
    /// A preamp: its range of gain in dB.
    pub gain: Option<(f64, f64)>,
    /// Sockets on one phantom switch: 0 none, 1 each, n groups of n.
    pub phantom: u32,
    pub pad: bool,
    pub clip_dbu: Option<f64>,
    /// Passes no phantom.
    pub isolated: bool,
    /// Stereo pairs start on odd numbers.
    pub pairs: bool,
}

impl Lane {
    /// A socket that amplifies: it has a gain or a phantom switch of its own.
    pub fn is_preamp(&self) -> bool {
        self.gain.is_some() || self.phantom > 0
    }
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum LaneKind {
    Bank(Role),
    /// What arrives at port n of the model.
    PortIn(usize),
    /// What leaves by port n of the model.
    PortOut(usize),
}

#[derive(Clone, Debug)]
pub struct PortFact {
    pub name: String,
    pub span: Span,
    pub carrier: String,
    pub faces: Faces,
    pub powers: bool,
    pub needs_power: bool,
    /// Rate in Hz and slots each way, ascending.
    pub slots: Vec<(u32, u32)>,
    /// Lanes.
    pub inward: usize,
    pub outward: usize,
}

#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Ride {
    Stacked,
    Setting(Vec<u32>),
    Fixed(u32),
}

/// Points of `bank` leave by `port`.
#[derive(Clone, Debug)]
pub struct Carry {
    pub bank: usize,
    pub port: usize,
    pub at: Ride,
}

/// Points of `bank` play what arrives at `port`. `at` is never stacked.
#[derive(Clone, Debug)]
pub struct Take {
    pub bank: usize,
    pub port: usize,
    pub at: Ride,
    pub mode: Option<String>,
    pub first_desk_only: bool,
}

/// Point k of `bank` plays what point `first + k - 1` of `of` carries.
#[derive(Clone, Debug)]
pub struct Copy {
    pub bank: usize,
    pub of: usize,
    pub first: u32,
    pub mode: Option<String>,
}

/// What a route can draw from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Feed {
    Lane(usize),
    Block(usize),
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum How {
    /// N points at a time, 1 is point by point.
    Blocks(u32),
    /// n from n, always.
    Straight,
}

/// What may feed points `first..=last` of a lane.
#[derive(Clone, Debug)]
pub struct RouteFact {
    pub lane: usize,
    /// Said for part of the lane only; such a route rules over one for the whole.
    pub part: Option<(u32, u32)>,
    pub from: Vec<Feed>,
    pub how: How,
    pub at_most: Option<u32>,
    pub rate_hz: Option<u32>,
    pub span: Span,
}

#[derive(Clone, Debug)]
pub struct NamedBlock {
    pub name: String,
    /// Lane and number, in order.
    pub points: Vec<(usize, u32)>,
}

/// Slots of a port's way out that only one bank may ride.
#[derive(Clone, Debug)]
pub struct Reserved {
    pub port: usize,
    pub first: u32,
    pub last: u32,
    pub for_what: String,
    pub rate_hz: Option<u32>,
}

/// A model at the show's rate.
#[derive(Clone, Debug)]
pub struct Model {
    pub name: String,
    pub label: Option<String>,
    pub span: Span,
    /// In the model's order; a port's way in stands before its way out.
    pub lanes: Vec<Lane>,
    pub ports: Vec<PortFact>,
    pub carries: Vec<Carry>,
    /// What arrives at the first port leaves by the second.
    pub passes: Vec<(usize, usize)>,
    pub takes: Vec<Take>,
    pub copies: Vec<Copy>,
    pub routes: Vec<RouteFact>,
    pub blocks: Vec<NamedBlock>,
    pub reserved: Vec<Reserved>,
    pub latency_ms: Option<f64>,
    pub phantom_limit_ma: Option<f64>,
    pub draws_w: Option<f64>,
    /// How many letters a channel strip shows.
    pub strip: Option<u32>,
    /// Its digital lines run at any rate and on any clock.
    pub converts: bool,
}

impl Model {
    pub fn bank(&self, name: &str) -> Option<usize> {
        self.lanes.iter().position(|lane| lane.name == name && matches!(lane.kind, LaneKind::Bank(_)))
    }

    pub fn port(&self, name: &str) -> Option<usize> {
        self.ports.iter().position(|port| port.name == name)
    }

    pub fn lane(&self, index: usize) -> Option<&Lane> {
        self.lanes.get(index)
    }

    /// It has a switch and a mains lead. What has neither port nor preamp, and where no signal ends or begins, is
    /// passive; what a link gives its power comes on with it.
    pub fn on_mains(&self) -> bool {
        let active = |lane: &Lane| match lane.kind {
            LaneKind::Bank(Role::In) => lane.end || lane.is_preamp(),
            LaneKind::Bank(Role::Out) => false,
            _ => true,
        };
        let fed = self.ports.iter().any(|port| port.needs_power);
        !fed && (self.draws_w.is_some() || self.lanes.iter().any(active))
    }

    /// The one route that governs a point: the one said for a part of the lane that holds it, else the
    /// one for the whole lane.
    pub fn route_of(&self, lane: usize, number: u32) -> Option<(usize, &RouteFact)> {
        let mut of_lane = self.routes.iter().enumerate().filter(|(_, route)| route.lane == lane);
        let in_part = |route: &RouteFact| route.part.is_some_and(|(first, last)| (first..=last).contains(&number));
        of_lane.clone().find(|(_, route)| in_part(route)).or_else(|| of_lane.find(|(_, route)| route.part.is_none()))
    }

    /// The modes that a bank can be set to, in the model's order.
    pub fn modes(&self, bank: usize) -> Vec<&str> {
        let of_copies = self.copies.iter().filter(|copy| copy.bank == bank).filter_map(|copy| copy.mode.as_deref());
        let of_takes = self.takes.iter().filter(|take| take.bank == bank).filter_map(|take| take.mode.as_deref());
        let mut modes: Vec<&str> = Vec::new();
        for mode in of_copies.chain(of_takes) {
            if !modes.contains(&mode) {
                modes.push(mode);
            }
        }
        modes
    }

    /// Slots each way at a rate: of the entry with the lowest rate that is not below it.
    pub fn slots_at(slots: &[(u32, u32)], rate_hz: u32) -> u32 {
        slots.iter().filter(|(rate, _)| *rate >= rate_hz).min().map_or(0, |(_, count)| *count)
    }
}

/// How many sockets one switch of phantom power serves.
pub(super) fn phantom_group(supply: Option<PhantomSupply>) -> u32 {
    match supply {
        Some(PhantomSupply::Each) => 1,
        Some(PhantomSupply::Groups(size)) => size,
        Some(PhantomSupply::None) | None => 0,
    }
}
