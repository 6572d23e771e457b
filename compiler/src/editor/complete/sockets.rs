//! Numbers and places that a row may name: what is free first, then what is used, with who uses it.

use super::Kind;
use super::known::{Known, Offer, is_of};
use crate::diagnostics::counted;
use crate::plan::Role;
use crate::rig::{Asked, Feed, Lane, LaneKind, LinkEnd, Model, Point, Ride};
use crate::source::{At, FileId, Span};
use crate::syntax::ast::{DeviceWord, Dotted, Faces};
use crate::wants::free::{Free, run};
use crate::wants::{Scene, Target};

/// What is used where it cannot be free as well.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Use {
    /// A source plugs in.
    Plug,
    /// An output row sends it, or sends to it.
    Output,
    /// A row names it as its channel or feed.
    End,
}

/// What a row asks of a bank.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ask<'t> {
    pub used: Use,
    /// How many neighbours.
    pub count: u32,
    /// The row's own name: what it has already is free for it.
    pub own: &'t str,
}

/// Behind everything else.
const USED: usize = 400;

/// A row of points of a device, by its names: scenes may number devices apart.
pub(super) struct Bank<'c> {
    pub device: &'c str,
    pub lane: u32,
    pub fact: &'c Lane,
}

impl<'c> Known<'c> {
    /// The bank that a dotted name means where this is asked.
    pub fn bank(&self, name: &[&str], asked: Asked, desk: Option<u32>) -> Option<Bank<'c>> {
        let rig = self.rig()?;
        let (device, lane) = rig.lane_of(&dotted(name), asked, desk, &mut Vec::new())?;
        Some(Bank { device: rig.device_name(device), lane, fact: rig.lane(device, lane)? })
    }

    /// A bank of a desk by its own name.
    pub fn bank_of(&self, desk: u32, name: &str) -> Option<Bank<'c>> {
        let rig = self.rig()?;
        let lane = u32::try_from(rig.model(desk)?.bank(name)?).ok()?;
        Some(Bank { device: rig.device_name(desk), lane, fact: rig.lane(desk, lane)? })
    }

    /// Who has a point in any scene, as far as it is not the row itself.
    fn user(&self, bank: &Bank<'_>, number: u32, ask: Ask<'_>) -> Option<String> {
        self.scenes.iter().find_map(|(scene, free)| {
            let point = Point { device: scene.rig.device_named(bank.device)?, lane: bank.lane, number };
            (!is_free(free, point, ask.used)).then(|| user(scene, point, ask.used)).filter(|user| !is_of(user, ask.own))
        })
    }

    /// For each number of a bank who has it.
    fn users(&self, bank: &Bank<'_>, ask: Ask<'_>) -> Vec<Option<String>> {
        (1..=bank.fact.size).map(|number| self.user(bank, number, ask)).collect()
    }

    /// The numbers of a bank: free runs as long as is asked, free ones alone, then the rest.
    pub fn numbers(&self, bank: &Bank<'_>, ask: Ask<'_>) -> Vec<Offer> {
        let users = self.users(bank, ask);
        let free = |first: u32| runs_free(&users, first, ask.count);
        let runs = (1..=bank.fact.size).filter(|first| ask.count > 1 && free(*first));
        let runs = runs.map(|first| Offer::new(run(first, ask.count), Kind::Socket).detail("free"));
        let one = |(number, user): (u32, &Option<String>)| match user {
            None => Offer::new(number.to_string(), Kind::Socket)
                .detail("free")
                .rank(Kind::Socket.rank() + usize::from(ask.count > 1)),
            Some(user) => Offer::new(number.to_string(), Kind::Socket).detail(user.clone()).rank(USED),
        };
        runs.chain((1u32..).zip(&users).map(one)).collect()
    }

    /// Every number of a bank in order, so many at a time, with who has the first.
    pub fn in_order(&self, bank: &Bank<'_>, count: u32) -> Vec<Offer> {
        let used = match bank.fact.kind {
            LaneKind::Bank(Role::In) => Use::Plug,
            LaneKind::Bank(Role::Out | Role::Origin) => Use::Output,
            _ => Use::End,
        };
        let users = self.users(bank, Ask { used, count: 1, own: "" });
        let runs = (1u32..).zip(users).step_by(count.max(1) as usize);
        let whole = runs.filter(|(first, _)| bank.fact.size - first + 1 >= count);
        let offer = |(first, user): (u32, Option<String>)| {
            Offer::new(run(first, count), Kind::Socket).detail(user.unwrap_or_default())
        };
        whole.map(offer).collect()
    }

    /// The lines of a device that can be out of use: those of its longest bank of inputs, with who plugs in.
    pub fn lines(&self, device: &str, model: &Model) -> Vec<Offer> {
        let inputs = (0u32..).zip(&model.lanes).filter(|(_, lane)| lane.kind == LaneKind::Bank(Role::In));
        let longest = inputs.max_by_key(|(_, lane)| lane.size);
        longest.map(|(lane, fact)| self.in_order(&Bank { device, lane, fact }, 1)).unwrap_or_default()
    }

    /// The first free number, and the first free pair, after this one or else at all.
    pub fn next(&self, bank: &Bank<'_>, ask: Ask<'_>, after: u32) -> Vec<Offer> {
        let users = self.users(bank, ask);
        let first = |count: u32| {
            let suits =
                |first: &u32| runs_free(&users, *first, count) && (count < 2 || !bank.fact.pairs || first % 2 == 1);
            let behind = (after.saturating_add(1)..=bank.fact.size).find(suits);
            behind.or_else(|| (1..=bank.fact.size).find(suits))
        };
        let named = |count: u32| Some((first(count)?, count));
        let mut found = [named(1), named(2)].into_iter().flatten();
        let free = users.iter().filter(|user| user.is_none()).count();
        let offer = |(at, (first, count)): (usize, (u32, u32))| {
            Offer::new(run(first, count), Kind::Channel).detail(format!("{}, {free} left", next_words(count))).rank(at)
        };
        found.by_ref().enumerate().map(offer).collect()
    }

    /// Where a row could plug in or send to: of every bank that fits the first that is free. What the row above
    /// has stands first, then boxes, then the desk whose rows these are.
    pub fn places(&self, asked: Asked, ask: Ask<'_>, above: &[&str], desk: Option<u32>) -> Vec<Offer> {
        let (Some(scene), Some(rig)) = (self.scene(), self.rig()) else { return Vec::new() };
        let mut out = Vec::new();
        for device in rig.walk_order() {
            let Some(model) = rig.model(device) else { continue };
            let word = rig.device(device).map(|device| device.word);
            let near = match word {
                _ if above.contains(&rig.device_name(device)) => 0,
                Some(DeviceWord::Desk) => {
                    if desk == Some(device) {
                        20
                    } else {
                        30
                    }
                }
                _ => 10,
            };
            let reached =
                |lane: u32| asked != Asked::Output || word == Some(DeviceWord::Outside) || is_fed(model, lane);
            for (lane, fact) in (0u32..).zip(&model.lanes).filter(|(lane, fact)| is_outside(fact) && reached(*lane)) {
                if asked.fits(fact) {
                    let bank = Bank { device: rig.device_name(device), lane, fact };
                    let text = |first: u32, count: u32| scene.sockets_text(device, lane, first, count);
                    out.push(self.place(&bank, ask, text, near));
                }
            }
        }
        out.sort_by_key(|offer| offer.rank);
        out
    }

    fn place(&self, bank: &Bank<'_>, ask: Ask<'_>, text: impl Fn(u32, u32) -> String, near: usize) -> Offer {
        let users = self.users(bank, ask);
        let free = users.iter().filter(|user| user.is_none()).count();
        // A source that plugs in comes by a socket; what the device makes itself is rarely meant.
        let origin = 50 * usize::from(bank.fact.kind == LaneKind::Bank(Role::Origin));
        match (1..=bank.fact.size).find(|first| runs_free(&users, *first, ask.count)) {
            Some(first) => {
                let offer = Offer::new(text(first, ask.count), Kind::Socket).doc(fact_text(bank.fact));
                offer.detail(format!("free, {free} left")).rank(near + origin)
            }
            None => {
                let user = users.first().cloned().flatten().unwrap_or_default();
                Offer::new(text(1, 1), Kind::Socket).detail(user).rank(USED)
            }
        }
    }

    /// Ports of all gear, the free ones that lead away from a desk first.
    pub fn ports(&self, but: &str) -> Vec<Offer> {
        let Some(rig) = self.rig() else { return Vec::new() };
        let devices = rig.walk_order().into_iter().filter(|device| rig.device_name(*device) != but);
        let ends = devices.flat_map(|device| {
            let ports = rig.model(device).map_or(0, |model| model.ports.len());
            (0..ports).map(move |port| LinkEnd { device, port })
        });
        ends.map(|end| self.port(end, rig.port_text(end), but)).collect()
    }

    fn port(&self, end: LinkEnd, text: String, own: &str) -> Offer {
        let Some(rig) = self.rig() else { return Offer::new(text, Kind::Port) };
        let fact = rig.model(end.device).and_then(|model| model.ports.get(end.port));
        let far = rig.peer(end).map(|(far, _)| far).filter(|far| rig.device_name(far.device) != own);
        let faces_desk = fact.is_some_and(|port| port.faces == Faces::Desk);
        let carrier = fact.map_or("", |port| port.carrier.as_str());
        match far {
            None => Offer::new(text, Kind::Port).detail(format!("free, {carrier}")).rank(usize::from(faces_desk) * 50),
            Some(far) => Offer::new(text, Kind::Port).detail(format!("to {}", rig.port_text(far))).rank(USED),
        }
    }

    /// What follows a device's name and a dot: its ports, or the banks that fit.
    pub fn parts(&self, device: &str, ports: bool, fits: impl Fn(&Lane) -> bool) -> Vec<Offer> {
        let found = self.rig().and_then(|rig| Some((rig, rig.device_named(device)?)));
        let Some((rig, at)) = found else { return Vec::new() };
        let Some(model) = rig.model(at) else { return Vec::new() };
        if ports {
            let ends = (0..).zip(&model.ports).map(|(port, fact)| (LinkEnd { device: at, port }, fact.name.clone()));
            return ends.map(|(end, name)| self.port(end, name, "")).collect();
        }
        let lanes = model.lanes.iter().filter(|lane| fits(lane) && !matches!(lane.kind, LaneKind::PortOut(_)));
        let ways = model.lanes.iter().filter(|lane| fits(lane) && matches!(lane.kind, LaneKind::PortOut(_)));
        lanes.chain(ways).map(|lane| Offer::new(&lane.name, Kind::Bank).detail(fact_text(lane))).collect()
    }

    /// Banks of the splits that a signal can come by.
    pub fn legs(&self) -> Vec<Offer> {
        let Some(rig) = self.rig() else { return Vec::new() };
        let splits = rig.devices.iter().filter(|device| device.word == DeviceWord::Split);
        let legs = splits.flat_map(|device| {
            let model = rig.models.get(device.model);
            let lanes = model.into_iter().flat_map(|model| &model.lanes).filter(|lane| leaves(lane));
            lanes.map(|lane| Offer::new(format!("{}.{}", device.name, lane.name), Kind::Bank).detail(fact_text(lane)))
        });
        legs.collect()
    }

    /// The model of a device: the one that the row says, else the one that it has.
    pub fn model_of(&self, device: &str, said: Option<&str>) -> Option<&'c Model> {
        let rig = self.rig()?;
        let named = |name: &str| rig.models.iter().find(|model| model.name == name);
        said.and_then(named).or_else(|| rig.model(rig.device_named(device)?))
    }

    /// Offsets, or slots, that a model can be set to, those that no other device says first.
    pub fn settings(&self, device: &str, settings: Vec<u32>, what: &str) -> Vec<Offer> {
        let others = self.rig().into_iter().flat_map(|rig| &rig.devices).filter(|other| other.name != device);
        let others: Vec<_> = others.collect();
        let said = |number: u32| {
            let says = others.iter().find(|other| {
                let at = if what == "slot" { &other.slot } else { &other.offset };
                at.as_ref().is_some_and(|at| at.value == number)
            });
            says.map(|other| other.name.clone())
        };
        let offer = |number: u32| match said(number) {
            None => Offer::new(number.to_string(), Kind::Socket).detail(what),
            Some(other) => Offer::new(number.to_string(), Kind::Socket).detail(format!("as {other}")).rank(USED),
        };
        settings.into_iter().map(offer).collect()
    }
}

/// The offsets of a model, in a mode of a bank or outside all modes.
pub(super) fn offsets(model: &Model, mode: Option<&str>) -> Vec<u32> {
    listed(model.takes.iter().filter(|take| take.mode.as_deref() == mode).map(|take| &take.at))
}

pub(super) fn slots(model: &Model) -> Vec<u32> {
    listed(model.carries.iter().map(|carry| &carry.at))
}

fn listed<'m>(rides: impl Iterator<Item = &'m Ride>) -> Vec<u32> {
    let mut all: Vec<u32> = Vec::new();
    for ride in rides {
        if let Ride::Setting(numbers) = ride {
            all.extend(numbers);
        }
    }
    all.sort_unstable();
    all.dedup();
    all
}

/// A bank that signals leave by.
pub(super) fn leaves(lane: &Lane) -> bool {
    lane.kind == LaneKind::Bank(Role::Out)
}

/// A bank that a source or an output meets from outside, and no port or channel.
fn is_outside(lane: &Lane) -> bool {
    matches!(lane.kind, LaneKind::Bank(Role::In | Role::Out | Role::Origin))
}

/// Whether anything but the device's own sockets arrives at a bank; a split's legs only repeat those.
fn is_fed(model: &Model, lane: u32) -> bool {
    let lane = lane as usize;
    let own = |feed: &Feed| match feed {
        Feed::Lane(from) => model.lane(*from).is_some_and(|from| from.kind == LaneKind::Bank(Role::In)),
        Feed::Block(_) => false,
    };
    let routed = model.routes.iter().any(|route| route.lane == lane && !route.from.iter().all(own));
    routed || model.takes.iter().any(|take| take.bank == lane)
}

fn is_free(free: &Free<'_>, point: Point, used: Use) -> bool {
    match used {
        Use::Plug => free.takes_plug(point),
        Use::Output => free.takes_output(point),
        Use::End => free.takes_source(point),
    }
}

fn runs_free(users: &[Option<String>], first: u32, count: u32) -> bool {
    let start = (first as usize).saturating_sub(1);
    users.get(start..start + count.max(1) as usize).is_some_and(|run| run.iter().all(Option::is_none))
}

fn next_words(count: u32) -> &'static str {
    if count < 2 { "next free" } else { "next free pair" }
}

/// The row, line or use that has a point.
fn user(scene: &Scene, point: Point, used: Use) -> String {
    let row = |row: usize| scene.rows.get(row).map(|row| row.name.clone());
    let found = match used {
        Use::Plug => {
            let socket = crate::wants::Spot::Socket(point);
            let origin = crate::wants::Spot::Origin(point);
            let source = scene.sources.iter().find(|source| source.spot == socket || source.spot == origin);
            let line = || {
                scene.rig.brought_to(point).map(|(from, _)| format!("line of {}", scene.rig.device_name(from.device)))
            };
            let lost = || scene.rig.device(point.device)?.out_of_use.get(&point.number).map(|(why, _)| why.clone());
            source.map(|source| source.name.clone()).or_else(line).or_else(lost)
        }
        Use::Output => {
            let output = scene.outputs.iter().find(|output| output.to == point || output.from == point);
            output.and_then(|output| row(output.row))
        }
        Use::End => {
            let want = scene.wants.iter().find(|want| want.end == point);
            want.and_then(|want| match want.what {
                Target::Source(source) => scene.source(source).map(|source| source.name.clone()),
                Target::Point(_) => row(want.row),
            })
        }
    };
    found.unwrap_or_else(|| "used".to_string())
}

fn fact_text(lane: &Lane) -> String {
    format!("{}, {}", counted(lane.size as usize, "point"), lane.signal)
}

fn dotted(name: &[&str]) -> Dotted {
    let span = Span { file: FileId(0), start: 0, end: 0 };
    Dotted { parts: name.iter().map(|part| At::new((*part).to_string(), span)).collect(), span }
}
