//! Wants that no setting satisfies: where each signal's way ends. What is lost for one reason is told once,
//! and never point by point: whole rows and neighbours go by one name.

use super::conflict::Unit;
use super::pins::reserved_under;
use super::problem::{Solution, Unreachable};
use super::report::{switch_text, value_text};
use super::switches::{Switch, SwitchId, What, choices};
use super::trail::{Break, Onward, where_lost};
use crate::diagnostics::{Diagnostic, counted};
use crate::rig::{Feed, LinkEnd, Point, Rig, all_of};
use crate::syntax::ast::Faces;
use crate::wants::{RowFact, RowKind, Scene, Target, WantKind};
use std::collections::{BTreeMap, BTreeSet};

/// What is lost together: a cause that lies in the gear takes all its rows, one that lies in a row that row.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Cause {
    NotRecorded { row: usize, device: u32 },
    TooMany { row: usize },
    OutOfUse { row: usize },
    OutOfStep { row: usize, block: u32, shift: u32 },
    Farthest { row: usize, device: u32, lane: u32 },
    NoSocket { row: usize },
    Nowhere { row: usize },
    NoCable { port: LinkEnd },
    NoLink { from: u32, to: u32 },
    NotFirstDesk { device: u32 },
    Pinned { switch: SwitchId, track: bool },
    PastLink { device: u32, port: LinkEnd },
}

/// A want that is lost, with the point where it is.
struct Lost<'a> {
    missing: &'a Unreachable,
    at: Option<Point>,
}

/// Diagnostics for every want that the solution could not reach, each with the rows that could move to mend it.
pub(super) fn lost(scenes: &[Scene], solution: &Solution) -> Vec<(Diagnostic, Vec<Unit>)> {
    let mut found = Vec::new();
    for ((number, cause), all) in grouped(scenes, solution) {
        let Some(scene) = scenes.get(number) else { continue };
        let units = match cause {
            Cause::OutOfStep { row, .. } => vec![Unit { scene: number, row }],
            _ => Vec::new(),
        };
        let group = Group { scene, all };
        found.extend(group.told(cause, solution).map(|diagnostic| (diagnostic, units)));
    }
    found
}

type Groups<'a> = BTreeMap<(usize, Cause), Vec<Lost<'a>>>;

fn grouped<'a>(scenes: &[Scene], solution: &'a Solution) -> Groups<'a> {
    let mut groups = Groups::new();
    let mut onward: BTreeMap<usize, Onward> = BTreeMap::new();
    let mut seen: BTreeSet<(usize, usize, Target, Option<Point>)> = BTreeSet::new();
    // A socket out of step with its own row is out of step with what other lists make of that row: told once.
    let mut out_of_steps: BTreeSet<(usize, Target, u32)> = BTreeSet::new();
    let again = |missing: &&Unreachable| {
        let row = scenes.get(missing.scene).and_then(|scene| scene.rows.get(missing.want.row));
        row.is_none_or(|row| row.kind != RowKind::Input)
    };
    let (others, declaring): (Vec<_>, Vec<_>) = solution.unreachable.iter().partition(again);
    for missing in declaring.into_iter().chain(others) {
        let Some(scene) = scenes.get(missing.scene) else { continue };
        let want = &missing.want;
        // A source lost on its way is told once, not again for its track and its other channels.
        let end = matches!(want.what, Target::Point(_)).then_some(want.end);
        if !seen.insert((missing.scene, want.row, want.what, end)) {
            continue;
        }
        let Some((cause, at)) = cause(scene, missing, onward.entry(missing.scene).or_default()) else { continue };
        if let (Cause::OutOfStep { block, .. }, Target::Source(_)) = (cause, want.what)
            && !out_of_steps.insert((missing.scene, want.what, (want.end.number - 1) % block.max(1)))
        {
            continue;
        }
        groups.entry((missing.scene, cause)).or_default().push(Lost { missing, at });
    }
    for missing in &solution.not_recorded {
        let cause = Cause::NotRecorded { row: missing.want.row, device: missing.want.end.device };
        groups.entry((missing.scene, cause)).or_default().push(Lost { missing, at: None });
    }
    groups
}

/// `None` where the cause has been told already.
fn cause(scene: &Scene, missing: &Unreachable, onward: &Onward) -> Option<(Cause, Option<Point>)> {
    let (row, rig) = (missing.want.row, &scene.rig);
    if let Some(switch) = missing.but_for {
        return Some((Cause::Pinned { switch, track: missing.want.kind == WantKind::Track }, None));
    }
    if missing.too_many {
        return Some((Cause::TooMany { row }, None));
    }
    Some(match where_lost(scene, &missing.want, onward) {
        Break::Refused => return None,
        Break::NoCable { port } if rig.cable_refused(port) => return None,
        Break::NoCable { port } => (Cause::NoCable { port }, None),
        Break::NoLink { from, to } => (Cause::NoLink { from, to }, None),
        Break::PastLink { device, port } => (Cause::PastLink { device, port }, None),
        Break::NotFirstDesk { device } => (Cause::NotFirstDesk { device }, None),
        Break::OutOfUse { point } => (Cause::OutOfUse { row }, Some(point)),
        Break::OutOfStep { point, block } => {
            let shift = (missing.want.end.number + block - point.number % block) % block;
            (Cause::OutOfStep { row, block, shift }, Some(point))
        }
        Break::FarthestAt { point } => (Cause::Farthest { row, device: point.device, lane: point.lane }, Some(point)),
        Break::NoSocket => (Cause::NoSocket { row }, None),
        Break::Nowhere => (Cause::Nowhere { row }, None),
    })
}

/// What one cause takes. Never empty.
struct Group<'a> {
    scene: &'a Scene,
    all: Vec<Lost<'a>>,
}

impl Group<'_> {
    fn told(&self, cause: Cause, solution: &Solution) -> Option<Diagnostic> {
        let rig = &self.scene.rig;
        let first = self.all.first()?;
        let ((who, several), ends) = (self.who(&self.all), self.ends());
        let cannot = format!("{who} cannot reach {ends}");
        let problem = match cause {
            Cause::NotRecorded { .. } => {
                let is = if several { "are" } else { "is" };
                let message = format!("{who} {is} not recorded: {ends} cannot take what the desk itself plays");
                return self.start(|span| Diagnostic::note("not-recorded", span, message));
            }
            Cause::TooMany { .. } => {
                let message = format!("there are too many ways from {who} to {ends}");
                self.error("too-hard-to-route", message)?.help("say an `offset`, or `set` one block, and check again")
            }
            Cause::NoCable { port } => {
                let device = rig.device_name(port.device);
                let plug = rig.model(port.device).and_then(|model| model.ports.get(port.port));
                let plug = plug.map_or("?", |port| port.name.as_str());
                let problem = self.error("not-cabled", format!("{cannot}: `{device}` has no cable in `{plug}`"))?;
                problem.help(match free_port(rig, port, first.missing.want.end.device) {
                    Some(free) => format!("say where it is plugged: `{device} … on {}`", rig.port_text(free)),
                    None => format!("say where it is plugged; no port that `{plug}` fits is free"),
                })
            }
            Cause::NoLink { from, to } => {
                let (here, there) = (rig.device_name(from), rig.device_name(to));
                let message = format!("{cannot}: no cable leads from `{here}` to `{there}`");
                self.error("no-way-there", message)?.help(link_help(rig, from, to))
            }
            Cause::OutOfUse { .. } => self.out_of_use(&cannot)?,
            Cause::NotFirstDesk { device } => {
                let device = rig.device_name(device);
                let message = format!("{cannot}: only the first desk drives the outputs of `{device}`");
                self.error("driven-by-first-desk-only", message)?
                    .help("send it from the first desk, or pass it on through that desk's port")
            }
            Cause::OutOfStep { block, .. } => self.out_of_step(&cannot, block)?,
            Cause::Farthest { .. } => {
                let gets = if several { "they get" } else { "it gets" };
                let message = format!("{cannot}: {gets} as far as {}", self.at());
                self.error("no-way-there", message)?.help(way_help(rig, first.at?, first.missing.want.end))
            }
            Cause::NoSocket { .. } => {
                let message = format!("no free socket that {who} may plug into reaches {ends}");
                self.error("no-way-there", message)?.help("name a socket, or free one that fits")
            }
            Cause::Nowhere { .. } => self
                .error("no-way-there", format!("there is no way from {who} to {ends}"))?
                .help("check which port and which socket it uses"),
            Cause::Pinned { switch, track } => self.pinned(&who, &ends, switch, track, solution)?,
            Cause::PastLink { device: at, port } => {
                let device = rig.device_name(at);
                let (link, slots) = (rig.port_text(port), slots_text(rig, port));
                let message = format!("`{link}` has no slot left for {who} on `{device}`: it has {slots}");
                let problem = self.error("slot-past-the-link", message)?.about(device.to_string());
                match fits_the_link(rig, at, port) {
                    Some(help) => problem.help(help),
                    None => problem,
                }
            }
        };
        Some(problem)
    }

    fn out_of_use(&self, cannot: &str) -> Option<Diagnostic> {
        let rig = &self.scene.rig;
        let is = if self.all.len() == 1 { "is" } else { "are" };
        let message = format!("{cannot}: {} on the way {is} dead or kept for something else", self.at());
        let mut problem = self.error("line-out-of-use", message)?;
        let point = self.all.first()?.at?;
        if let Some((_, said)) = rig.device(point.device).and_then(|device| device.out_of_use.get(&point.number)) {
            problem = problem.label(*said, "said here");
        }
        Some(problem.help("use another line"))
    }

    /// The signal arrives, but not at the place in its block where the row wants it.
    fn out_of_step(&self, cannot: &str, block: u32) -> Option<Diagnostic> {
        let first = self.all.first()?;
        let (point, end) = (first.at?, first.missing.want.end);
        let nth = |number: u32| (number - 1) % block + 1;
        let one = if self.all.len() == 1 { "it".to_string() } else { self.who(std::slice::from_ref(first)).0 };
        let message = format!(
            "{cannot}: blocks of {block} keep their order, and {one} arrives at `{}`, number {} of its block, where number {} is wanted",
            self.scene.rig.point_text(point),
            nth(point.number),
            nth(end.number),
        );
        let mut problem = self.error("impossible-block", message)?;
        if let Some(numbers) = self.row(first).and_then(|row| row.numbers) {
            problem = problem.label(numbers, format!("number {} of its block", nth(end.number)));
        }
        Some(problem)
    }

    /// What one fixed setting takes.
    fn pinned(&self, who: &str, ends: &str, pin: SwitchId, track: bool, solution: &Solution) -> Option<Diagnostic> {
        let rig = &self.scene.rig;
        let switch = solution.switches.get(pin)?;
        let value = solution.switches.pins.get(&pin).copied()?;
        let past = self.past(rig, switch, value.0);
        let why = past.as_ref().map(|past| format!(": {}", past.why)).unwrap_or_default();
        let problem = match track {
            true => self.error("track-records-silence", format!("{ends} would record silence instead of {who}{why}")),
            false => self.error("pin-in-the-way", format!("{who} cannot reach {ends}{why}")),
        };
        let mut problem = problem?;
        if let Some(said) = solution.pinned.get(&pin) {
            let what = switch_text(rig, switch);
            let fixed = value_text(rig, switch, value).map(|value| format!(" to `{value}`")).unwrap_or_default();
            problem = problem.label(*said, format!("{what} is fixed{fixed} here"));
        }
        let usual = "take the fixed setting out, or change it to what the row needs";
        Some(problem.help(past.map_or_else(|| usual.to_string(), |past| past.help)))
    }

    /// The slots that a fixed offset or slot asks for, where the link has not so many.
    fn past(&self, rig: &Rig, switch: &Switch, value: u32) -> Option<Past> {
        let device = rig.device_named(&switch.device)?;
        let model = rig.model(device)?;
        let (word, bank, port, at, numbers): (_, _, _, _, Vec<u32>) = match switch.what {
            What::Offset { lane } => {
                let take = model.takes.iter().find(|take| take.bank == lane as usize)?;
                (
                    "offset",
                    lane,
                    take.port,
                    &take.at,
                    self.all.iter().map(|lost| lost.missing.want.end.number).collect(),
                )
            }
            What::Slot { lane } => {
                let carry = model.carries.iter().find(|carry| carry.bank == lane as usize)?;
                ("slot", lane, carry.port, &carry.at, self.sockets(device, lane))
            }
            _ => return None,
        };
        let link = LinkEnd { device, port };
        let link = rig.desk_port_beyond(link).unwrap_or(link);
        let (low, high) = (*numbers.iter().min()?, *numbers.iter().max()?);
        let slots = rig.slots(link)?;
        let slot = |at: u32, number: u32| at.saturating_add(number) - 1;
        if slot(value, high) <= slots {
            return None;
        }
        let asks = match low == high {
            true => format!("slot {}", slot(value, low)),
            false => format!("slots {}-{}", slot(value, low), slot(value, high)),
        };
        let fits = choices(at)
            .iter()
            .filter(|at| slot(**at, high) <= slots && reserved_under(rig, device, bank, **at).is_none());
        let fits: Vec<String> = fits.map(u32::to_string).collect();
        let help = match fits.as_slice() {
            [] => "use another port, or sockets that fit".to_string(),
            [one] => format!("`{word} {one}` fits this link"),
            [most @ .., last] => format!("`{word} {}` or `{last}` fits this link", most.join("`, `")),
        };
        let (link, slots) = (rig.port_text(link), slots_text(rig, link));
        Some(Past { why: format!("`{word} {value}` asks for {asks} of `{link}`, which has {slots}"), help })
    }

    /// Numbers of the sockets of one bank that are lost.
    fn sockets(&self, device: u32, lane: u32) -> Vec<u32> {
        let socket = |lost: &Lost| match lost.missing.want.what {
            Target::Source(source) => match self.scene.source(source)?.spot {
                crate::wants::Spot::Socket(point) => Some(point),
                _ => None,
            },
            Target::Point(point) => Some(point),
        };
        let here = |point: &Point| point.device == device && point.lane == lane;
        self.all.iter().filter_map(socket).filter(here).map(|point| point.number).collect()
    }

    fn row(&self, lost: &Lost) -> Option<&RowFact> {
        self.scene.rows.get(lost.missing.want.row)
    }

    fn error(&self, rule: &'static str, message: String) -> Option<Diagnostic> {
        self.start(|span| Diagnostic::error(rule, span, message))
    }

    /// A diagnostic at the first row, with labels at the others.
    fn start(&self, make: impl FnOnce(crate::source::Span) -> Diagnostic) -> Option<Diagnostic> {
        let first = self.all.first()?;
        let fact = self.row(first)?;
        let mut problem = make(fact.place.unwrap_or(fact.span));
        if fact.kind == RowKind::Again {
            problem = problem.label(fact.span, "wanted here");
        }
        let mut rows = BTreeSet::from([first.missing.want.row]);
        for lost in &self.all {
            let row = lost.missing.want.row;
            let Some(fact) = self.scene.rows.get(row).filter(|_| rows.insert(row)) else { continue };
            let of_row: Vec<&Lost> = self.all.iter().filter(|other| other.missing.want.row == row).collect();
            let text = format!("{} too", names(self.scene, of_row.iter().map(|lost| lost.missing.want.what)).0);
            problem = problem.label(fact.place.unwrap_or(fact.span), text);
        }
        problem.about = self.all.iter().map(|lost| name(self.scene, lost.missing.want.what)).collect();
        problem.about.dedup();
        problem.act = self.scene.act.clone();
        Some(problem)
    }

    fn who(&self, all: &[Lost]) -> (String, bool) {
        names(self.scene, all.iter().map(|lost| lost.missing.want.what))
    }

    fn ends(&self) -> String {
        points(&self.scene.rig, self.all.iter().map(|lost| lost.missing.want.end))
    }

    fn at(&self) -> String {
        points(&self.scene.rig, self.all.iter().filter_map(|lost| lost.at))
    }
}

/// The first port without a cable that this one fits, of devices that do not hang on its own.
fn free_port(rig: &Rig, end: LinkEnd, wanted_at: u32) -> Option<LinkEnd> {
    let near = rig.joined([wanted_at]);
    let ports = |device: u32| rig.model(device).map_or(&[][..], |model| &model.ports);
    let own = ports(end.device).get(end.port)?;
    let ends = |device: u32| (0..ports(device).len()).map(move |port| LinkEnd { device, port });
    let below: Vec<u32> = ends(end.device).flat_map(|end| rig.hanging_on(end)).chain([end.device]).collect();
    let fits = |free: &LinkEnd| {
        let port = ports(free.device).get(free.port);
        port.is_some_and(|port| port.carrier == own.carrier && port.faces != Faces::Desk) && rig.peer(*free).is_none()
    };
    rig.walk_order()
        .into_iter()
        .filter(|device| near.contains(device) && !below.contains(device))
        .flat_map(ends)
        .find(fits)
}

/// The cable between two desks, where both have a port for it.
fn link_help(rig: &Rig, from: u32, to: u32) -> String {
    let free = |device: u32| {
        let ports = rig.model(device).map_or(&[][..], |model| &model.ports);
        let ends = (0..).zip(ports).map(move |(port, fact)| (LinkEnd { device, port }, fact));
        ends.filter(|(end, port)| port.faces == Faces::Any && rig.peer(*end).is_none())
    };
    let pair = free(from).find_map(|(near, port)| {
        let (far, _) = free(to).find(|(_, other)| other.carrier == port.carrier)?;
        Some(format!("`link {} to {}`", rig.port_text(near), rig.port_text(far)))
    });
    match pair {
        Some(link) => format!("lay one: {link}; or plug in ahead of both, at a split with a leg to each"),
        None => "no port is free for one: plug in ahead of both, at a split with a leg to each".to_string(),
    }
}

/// Why a fixed number cannot be, and what to write in its place.
struct Past {
    why: String,
    help: String,
}

/// Where a device's own link carries less than it has inputs, no other port helps: which of them it carries.
fn fits_the_link(rig: &Rig, device: u32, port: LinkEnd) -> Option<String> {
    let model = rig.model(device).filter(|_| port.device == device)?;
    let slots = rig.slots(port)?;
    let carry = model.carries.iter().find(|carry| carry.port == port.port)?;
    let lane = model.lane(carry.bank)?;
    let more = rig.model(device)?.ports.get(port.port)?.slots.iter().filter(|(_, count)| *count > slots);
    let rate =
        more.map(|(rate, _)| *rate).max().map(|rate| format!(", or run the show at {} kHz", f64::from(rate) / 1000.0));
    let carried = slots.min(lane.size);
    let name = rig.device_name(device);
    Some(format!(
        "plug into `{name}.{} 1-{carried}`, which it carries, or into another box{}",
        lane.name,
        rate.unwrap_or_default()
    ))
}

/// `24 slots at 96 kHz`
fn slots_text(rig: &Rig, port: LinkEnd) -> String {
    let slots = counted(rig.slots(port).unwrap_or(0) as usize, "slot");
    format!("{slots} at {} kHz", f64::from(rig.rate_hz) / 1000.0)
}

fn points(rig: &Rig, points: impl Iterator<Item = Point>) -> String {
    let points: BTreeSet<Point> = points.collect();
    rig.points_text(&points.into_iter().collect::<Vec<_>>())
}

fn name(scene: &Scene, what: Target) -> String {
    match what {
        Target::Source(source) => scene.source(source).map_or_else(String::new, |source| source.name.clone()),
        Target::Point(point) => scene.rig.point_text(point),
    }
}

/// Whole rows by the row's name, neighbours as a range: `` `toms`, `choir.2` to `choir.4` and `foh.mix 1-4` ``;
/// and whether that is more than one name.
fn names(scene: &Scene, what: impl Iterator<Item = Target>) -> (String, bool) {
    let what: BTreeSet<Target> = what.collect();
    let mut texts = Vec::new();
    let mut rest: Vec<usize> =
        what.iter().filter_map(|what| if let Target::Source(source) = what { Some(*source) } else { None }).collect();
    while let Some(first) = rest.first().copied() {
        let row = scene.source(first).map(|source| source.row);
        let (own, others) = rest.iter().partition(|at| scene.source(**at).map(|source| source.row) == row);
        rest = others;
        texts.extend(row_names(scene, row, &own));
    }
    let points: Vec<Point> =
        what.iter().filter_map(|what| if let Target::Point(point) = what { Some(*point) } else { None }).collect();
    if !points.is_empty() {
        texts.push(scene.rig.points_text(&points));
    }
    let several = texts.len() > 1 || points.len() > 1 || texts.iter().any(|text| text.contains("` to `"));
    (all_of(&texts), several)
}

/// What of one row's sources is meant; their indices follow each other in the row's order.
fn row_names(scene: &Scene, row: Option<usize>, own: &[usize]) -> Vec<String> {
    let quoted = |at: &usize| format!("`{}`", name(scene, Target::Source(*at)));
    let whole = scene.sources.iter().filter(|source| Some(source.row) == row).count();
    if own.len() > 1 && own.len() == whole {
        let first = own.first().map(|at| name(scene, Target::Source(*at))).unwrap_or_default();
        return vec![format!("`{}`", first.rsplit_once('.').map_or(first.as_str(), |(row, _)| row))];
    }
    match own {
        [first, .., last] if own.len() > 2 && last - first + 1 == own.len() => {
            vec![format!("{} to {}", quoted(first), quoted(last))]
        }
        _ => own.iter().map(quoted).collect(),
    }
}

fn way_help(rig: &Rig, point: Point, end: Point) -> String {
    let end_lane = rig.lane_at(end).map_or("", |lane| lane.name.as_str());
    let from: Vec<String> = rig
        .model(end.device)
        .and_then(|model| model.route_of(end.lane as usize, end.number).map(|(_, route)| (model, route)))
        .map(|(model, route)| {
            route
                .from
                .iter()
                .map(|feed| match feed {
                    Feed::Lane(lane) => model.lane(*lane).map_or("?", |lane| lane.name.as_str()).to_string(),
                    Feed::Block(block) => model.blocks.get(*block).map_or("?", |block| block.name.as_str()).to_string(),
                })
                .collect()
        })
        .unwrap_or_default();
    if from.is_empty() {
        format!("lay a cable on from `{}`", rig.device_name(point.device))
    } else {
        format!("`{}.{end_lane}` can be fed from {}", rig.device_name(end.device), from.join(", "))
    }
}
