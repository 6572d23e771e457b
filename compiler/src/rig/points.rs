//! From words to points: `foh.local 3`, `stage-left 7-8`, `portA 1`. A point's first word is looked up
//! as a device, then as a bank or port of the desk whose block it stands in, then of the only desk.

use super::build::Rig;
use super::model::{Lane, LaneKind};
use super::model_items::{no_part, unknown};
use crate::diagnostics::{Diagnostic, Sort, Vacancy, counted};
use crate::plan::Role;
use crate::project::nearest;
use crate::syntax::ast::{Dotted, Name, Range, Term, Terms};

/// One number in one row of points of one device.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Point {
    pub device: u32,
    pub lane: u32,
    /// From 1.
    pub number: u32,
}

/// A slot is two points of one name: what arrives and what leaves.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Side {
    Arrives,
    Leaves,
}

/// What a place in a row is asked for, which decides the bank where it is left out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Asked {
    /// After `from` in an input row: a socket where a source plugs in, or a source of the device's own.
    Plug,
    /// After `to` in an output row: where a mix leaves the rig's hands.
    Output,
    /// The first end of an analogue run.
    RunFrom,
    /// The second end of an analogue run.
    RunTo,
    /// What a pin sets, or an `expect` looks at: anything that can be fed.
    Fed,
    /// What a pin feeds it from.
    Feeds,
}

impl Asked {
    fn side(self) -> Side {
        match self {
            Asked::Output | Asked::RunFrom | Asked::Fed => Side::Leaves,
            Asked::Plug | Asked::RunTo | Asked::Feeds => Side::Arrives,
        }
    }

    /// Does a row of points fit what is asked?
    pub fn fits(self, lane: &Lane) -> bool {
        match (self, lane.kind) {
            (_, LaneKind::PortIn(_)) => self.side() == Side::Arrives && self == Asked::Feeds,
            (_, LaneKind::PortOut(_)) => self == Asked::Fed,
            (Asked::Plug, LaneKind::Bank(role)) => matches!(role, Role::In | Role::Origin),
            (Asked::Output, LaneKind::Bank(role)) => {
                role == Role::Out || (lane.end && matches!(role, Role::In | Role::Inner))
            }
            (Asked::RunFrom, LaneKind::Bank(role)) => matches!(role, Role::Out | Role::Origin),
            (Asked::RunTo, LaneKind::Bank(role)) => role == Role::In,
            (Asked::Fed, LaneKind::Bank(role)) => role != Role::Origin,
            (Asked::Feeds, LaneKind::Bank(_)) => true,
        }
    }

    /// The bank's name that is meant first where several fit and none is said.
    fn usual(self) -> &'static str {
        match self {
            Asked::Plug | Asked::RunTo | Asked::Feeds => "in",
            Asked::Output | Asked::RunFrom | Asked::Fed => "out",
        }
    }

    fn words(self) -> &'static str {
        match self {
            Asked::Plug => "a source can plug into",
            Asked::Output => "an output can leave by",
            Asked::RunFrom => "a run of lines can start at",
            Asked::RunTo => "a run of lines can end at",
            Asked::Fed => "can be fed",
            Asked::Feeds => "can feed anything",
        }
    }
}

impl Rig {
    /// The row of points that a dotted name means. `desk` is the desk whose block it stands in.
    pub fn lane_of(
        &self,
        name: &Dotted,
        asked: Asked,
        desk: Option<u32>,
        found: &mut Vec<Diagnostic>,
    ) -> Option<(u32, u32)> {
        let mut parts = name.parts.as_slice();
        if let [first, rest @ ..] = parts
            && !rest.is_empty()
            && self.act.as_deref() == Some(first.value.as_str())
        {
            parts = rest;
        }
        let (first, rest) = parts.split_first()?;
        if let Some(device) = self.device_named(&first.value) {
            return match rest {
                [] => self.usual_lane(device, first, asked, found),
                [bank] => self.named_lane(device, bank, asked, found),
                [_, extra, ..] => {
                    let message = "a point is a device, a bank and a number";
                    found.push(Diagnostic::unknown(Sort::Part, extra.value.clone(), extra.span, message));
                    None
                }
            };
        }
        let desk = desk.or_else(|| self.only_desk());
        if let (Some(desk), []) = (desk, rest) {
            if self.lane_named(desk, &first.value, asked.side()).is_some() {
                return self.named_lane(desk, first, asked, found);
            }
            if self.model_missing(desk) {
                return None;
            }
        }
        if !self.broken.contains(&first.value) {
            let devices = self.devices.iter().map(|device| device.name.as_str());
            let lanes = desk.and_then(|desk| self.model(desk)).into_iter().flat_map(|model| model.lanes.iter());
            let near = nearest(&first.value, devices.chain(lanes.map(|lane| lane.name.as_str())));
            found.push(unknown(Sort::Gear, "device or bank", first, near));
        }
        None
    }

    fn usual_lane(&self, device: u32, name: &Name, asked: Asked, found: &mut Vec<Diagnostic>) -> Option<(u32, u32)> {
        let model = self.model(device)?;
        let fitting: Vec<(usize, &Lane)> = model
            .lanes
            .iter()
            .enumerate()
            .filter(|(_, lane)| asked.fits(lane) && matches!(lane.kind, LaneKind::Bank(role) if role != Role::Origin))
            .collect();
        let usual = fitting.iter().find(|(_, lane)| lane.name == asked.usual());
        let choice = match (usual, fitting.as_slice()) {
            (Some((index, _)), _) => Some(*index),
            (None, [(index, _)]) => Some(*index),
            // A desk has several banks that take sources; its own sockets are the ones that have preamps.
            (None, several) if asked == Asked::Plug => {
                several.iter().find(|(_, lane)| lane.is_preamp()).map(|(i, _)| *i)
            }
            _ => None,
        };
        if choice.is_none() && !self.model_missing(device) {
            let banks: Vec<String> =
                fitting.iter().map(|(_, lane)| format!("`{}.{}`", name.value, lane.name)).collect();
            let problem = if banks.is_empty() {
                let message = format!("`{}` has nothing that {}", name.value, asked.words());
                Diagnostic::error("wrong-direction", name.span, message).help(self.banks_help(device))
            } else {
                let message = format!("`{}` has several banks that fit here", name.value);
                Diagnostic::error("which-bank", name.span, message).help(format!("write {}", banks.join(" or ")))
            };
            found.push(problem);
        }
        choice.map(|lane| (device, clamp(lane)))
    }

    fn named_lane(&self, device: u32, bank: &Name, asked: Asked, found: &mut Vec<Diagnostic>) -> Option<(u32, u32)> {
        let model = self.model(device)?;
        let device_name = self.device_name(device);
        let Some(lane) = self.lane_named(device, &bank.value, asked.side()) else {
            if self.model_missing(device) {
                return None;
            }
            let near = nearest(&bank.value, model.lanes.iter().map(|lane| lane.name.as_str()));
            let problem = no_part(&format!("`{device_name}`"), "bank or port", bank, near);
            found.push(problem.help(self.banks_help(device)));
            return None;
        };
        let fact = model.lane(lane)?;
        if !asked.fits(fact) {
            let message = format!("`{device_name}.{}` is nothing that {}", bank.value, asked.words());
            found.push(Diagnostic::error("wrong-direction", bank.span, message).help(self.banks_help(device)));
            return None;
        }
        Some((device, clamp(lane)))
    }

    /// A row of points by name; of a port, the side asked for.
    pub fn lane_named(&self, device: u32, name: &str, side: Side) -> Option<usize> {
        let model = self.model(device)?;
        match model.port(name).and_then(|port| model.ports.get(port)) {
            Some(port) if side == Side::Arrives => Some(port.inward),
            Some(port) => Some(port.outward),
            None => model.bank(name),
        }
    }

    fn banks_help(&self, device: u32) -> String {
        let Some(model) = self.model(device) else { return String::new() };
        let listed: Vec<String> = model
            .lanes
            .iter()
            .filter(|lane| !matches!(lane.kind, LaneKind::PortOut(_)))
            .map(|lane| {
                let way = match lane.kind {
                    LaneKind::Bank(Role::In) => " (in)",
                    LaneKind::Bank(Role::Out) => " (out)",
                    LaneKind::Bank(_) => "",
                    _ => " (port)",
                };
                format!("{} 1-{}{way}", lane.name, lane.size)
            })
            .collect();
        match listed.as_slice() {
            [] => format!("`{}` has no banks and no ports", self.device_name(device)),
            listed => format!("`{}` has {}", self.device_name(device), listed.join(", ")),
        }
    }

    /// All points of a list, in order. `None` where any part of it means nothing, which has been said.
    pub fn points(
        &self,
        terms: &Terms,
        asked: Asked,
        desk: Option<u32>,
        found: &mut Vec<Diagnostic>,
    ) -> Option<Vec<Point>> {
        let mut points = Vec::new();
        let mut lane = None;
        let mut whole = true;
        for term in &terms.terms {
            if let Some(name) = &term.name {
                lane = self.lane_of(name, asked, desk, found);
            }
            match lane {
                Some((device, lane)) => whole &= self.expand(term, device, lane, &mut points, found),
                None => whole = false,
            }
        }
        whole.then_some(points)
    }

    fn expand(&self, term: &Term, device: u32, lane: u32, into: &mut Vec<Point>, found: &mut Vec<Diagnostic>) -> bool {
        let Some(fact) = self.lane(device, lane) else { return false };
        let name = format!("{}.{}", self.device_name(device), fact.name);
        let Some(range) = term.range else {
            let message = format!("`{name}` needs the number of a point");
            found.push(
                Diagnostic::error("point-without-number", term.span, message)
                    .help_with(Vacancy::Write, format!("write `{name} 1`")),
            );
            return false;
        };
        if range.first == 0 || range.last > fact.size {
            found.push(self.no_such_point(&name, fact, range));
            return false;
        }
        into.extend((range.first..=range.last).map(|number| Point { device, lane, number }));
        true
    }

    fn no_such_point(&self, name: &str, lane: &Lane, range: Range) -> Diagnostic {
        let (wanted, span) = (beyond(range, lane.size), range.span);
        match lane.kind {
            LaneKind::PortIn(_) | LaneKind::PortOut(_) => {
                let khz = f64::from(self.rate_hz) / 1000.0;
                let slots = counted(lane.size as usize, "slot");
                let message = format!("`{name}` has {slots} at {khz} kHz; there is no {wanted}");
                Diagnostic::error("slot-past-the-link", span, message)
            }
            LaneKind::Bank(_) => {
                let message = format!("`{name}` has points 1-{}; there is no {wanted}", lane.size);
                Diagnostic::error("no-such-point", span, message)
                    .help_with(Vacancy::Beside, format!("use a number from 1 to {}", lane.size))
            }
        }
    }

    /// As the language writes it: `stage-left.in 3`.
    pub fn point_text(&self, point: Point) -> String {
        let lane = self.lane(point.device, point.lane).map_or("?", |lane| lane.name.as_str());
        format!("{}.{lane} {}", self.device_name(point.device), point.number)
    }

    /// Points as a message names them, neighbours as a range: `` `foh.mix 1-4` and `foh.main 1` ``.
    pub fn points_text(&self, points: &[Point]) -> String {
        let mut runs: Vec<(Point, u32)> = Vec::new();
        for point in points {
            match runs.last_mut() {
                Some((first, last)) if Point { number: *last + 1, ..*first } == *point => *last += 1,
                _ => runs.push((*point, point.number)),
            }
        }
        let text = |(first, last): &(Point, u32)| match first.number == *last {
            true => format!("`{}`", self.point_text(*first)),
            false => format!("`{}-{last}`", self.point_text(*first)),
        };
        all_of(&runs.iter().map(text).collect::<Vec<_>>())
    }
}

/// `a`, `a and b`, `a, b and c`; past six how many more there are.
pub fn all_of(texts: &[String]) -> String {
    if let Some((first, rest)) = texts.split_at_checked(6)
        && !rest.is_empty()
    {
        return format!("{} and {} more", first.join(", "), rest.len());
    }
    match texts {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// The part of a range that a bank of this size has not: `0`, `41`, `17-20`.
pub fn beyond(range: Range, size: u32) -> String {
    let first = range.first.max(size.saturating_add(1));
    match range.first {
        0 => "0".to_string(),
        _ if first >= range.last => range.last.to_string(),
        _ => format!("{first}-{}", range.last),
    }
}

fn clamp(index: usize) -> u32 {
    u32::try_from(index).unwrap_or(u32::MAX)
}
