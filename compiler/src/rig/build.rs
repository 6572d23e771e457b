//! Devices and the cables between them, for the house or one act. Devices are in order of name, so
//! that a device's number is the same however the files are shuffled.

use super::library::Library;
use super::links;
use super::model::{Lane, LaneKind, Model};
use super::model_items::{self, LARGEST_BANK, unknown};
use super::points::Point;
use super::remarks::remarks;
use crate::diagnostics::{Diagnostic, Sort};
use crate::plan::{Remarks, Role};
use crate::project::{Patch, Row, Show, attrs, nearest};
use crate::source::{At, Span};
use crate::syntax::ast::{self, Attr, AttrKind, DeviceWord, Numbers, OwnClock};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A piece of gear in this show.
#[derive(Clone, Debug)]
pub struct Device {
    pub name: String,
    pub span: Span,
    pub word: DeviceWord,
    /// Into `Rig::models`.
    pub model: usize,
    /// Its model is not known, which has been said; nobody complains about its banks.
    pub model_missing: bool,
    pub label: Option<String>,
    pub remarks: Remarks,
    /// Lines that nothing may use, with what for (`dead`, or what they are reserved for).
    pub out_of_use: BTreeMap<u32, (String, Span)>,
    pub offset: Option<At<u32>>,
    pub slot: Option<At<u32>>,
    pub modes: Vec<Mode>,
    /// The desk that holds this box's gains.
    pub gain_by: Option<(u32, Span)>,
    /// Legs of a split, by lane, whose ground is lifted.
    pub lifted: Vec<At<u32>>,
    /// Free on what it records to, in bytes.
    pub space_bytes: Option<At<f64>>,
    /// What it runs on, where that is said and not its link.
    pub clock: Option<At<OwnClock>>,
    /// In hertz, where it is said.
    pub rate_hz: Option<At<u32>>,
    /// A sample-rate converter stands at its digital lines.
    pub converts: bool,
    /// The device that it stands in for, and where that is said.
    pub backup_of: Option<(u32, Span)>,
    /// The mains supply that it is plugged into.
    pub supply: Option<At<String>>,
}

/// A bank's mode, and its own offset, as said on the instance.
#[derive(Clone, Debug)]
pub struct Mode {
    pub bank: At<String>,
    pub mode: At<String>,
    pub offset: Option<At<u32>>,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct LinkEnd {
    pub device: u32,
    /// Into the model's ports.
    pub port: usize,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum UsedAs {
    Main,
    Redundant,
}

/// A link between two ports.
#[derive(Clone, Debug)]
pub struct Cable {
    pub from: LinkEnd,
    pub to: LinkEnd,
    pub carrier: String,
    pub used_as: UsedAs,
    pub said: Option<ast::Cable>,
    pub span: Span,
}

/// Analogue lines laid together: point n of the first row to point n of the second.
#[derive(Clone, Debug)]
pub struct Run {
    pub from: Point,
    pub to: Point,
    pub count: u32,
    /// snake, loom
    pub used_as: &'static str,
    pub said: Option<ast::Cable>,
    pub span: Span,
}

/// All gear of the house or of one act.
#[derive(Clone, Debug)]
pub struct Rig {
    pub act: Option<String>,
    pub rate_hz: u32,
    /// The show has more desks than these.
    pub part: bool,
    pub clock: Option<u32>,
    pub library: Arc<Library>,
    pub models: Arc<Vec<Model>>,
    /// By name.
    pub devices: Vec<Device>,
    pub cables: Vec<Cable>,
    pub runs: Vec<Run>,
    pub spare_cables: Vec<(ast::Cable, Remarks)>,
    /// What the rows of links and looms say for people, by the span of their cables.
    pub said_of: BTreeMap<Span, Remarks>,
    /// What may have been declared where nobody could read it.
    pub broken: Arc<Unread>,
    pub(super) by_name: BTreeMap<String, u32>,
    /// What a port is joined to by a main cable: the far end and the cable.
    pub(super) peers: BTreeMap<LinkEnd, (LinkEnd, usize)>,
    /// The first cable, main or redundant, that starts at a port.
    pub(super) starts: BTreeMap<LinkEnd, usize>,
    /// Ports whose cable was said and cannot be, which has been told.
    pub(super) refused: BTreeSet<LinkEnd>,
    /// Devices of which a line was said and cannot be laid, which has been told.
    pub(super) unlaid: BTreeSet<u32>,
    /// Which point an analogue run brings to a socket, and by which run.
    pub(super) brought: BTreeMap<Point, (Point, usize)>,
    /// The sockets that analogue runs lead to from a point, in the order of the runs.
    pub(super) led: BTreeMap<Point, Vec<Point>>,
}

/// What a length says in metres, all its parts together.
pub fn metres(cable: &ast::Cable) -> Option<f64> {
    let lengths: Vec<f64> = cable.lengths.iter().filter_map(|length| length.value.metres()).collect();
    if lengths.is_empty() { None } else { Some(lengths.iter().sum()) }
}

/// Library and models of a show, compiled once for all its acts.
pub struct Gear {
    library: Arc<Library>,
    models: Arc<Vec<Model>>,
    rate_hz: u32,
    broken: Arc<Unread>,
}

/// Words of rows that could not be read; every word where a file is missing. Nobody complains that such a
/// name is not declared.
#[derive(Clone, Debug, Default)]
pub struct Unread {
    words: BTreeSet<String>,
    everything: bool,
}

impl Unread {
    pub fn contains(&self, word: &str) -> bool {
        self.everything || self.words.contains(word)
    }
}

/// The show's rate where none is said.
const USUAL_RATE_HZ: u32 = 48_000;

impl Gear {
    pub fn of(show: &Show, found: &mut Vec<Diagnostic>) -> Gear {
        let library = Library::of(&show.library, &show.broken, found);
        let rate_hz = match &show.rate {
            None => USUAL_RATE_HZ,
            Some(rate) => model_items::hertz(rate.value).unwrap_or_else(|| {
                found.push(not_a_rate(rate.span, "a show's rate is a frequency such as `48 kHz`"));
                USUAL_RATE_HZ
            }),
        };
        let all = &show.library.models;
        let compiled = |model| model_items::compile(model, all, &library, rate_hz, &show.broken, found);
        let models = all.iter().map(compiled).collect();
        // What was taken out and is still needed has been told once, with every line that needs it.
        let taken_out = show.taken_out.iter().chain(show.acts.iter().flat_map(|act| &act.taken_out));
        let words = show.broken.iter().cloned().chain(taken_out.map(|name| name.value.clone())).collect();
        Gear {
            library: Arc::new(library),
            models: Arc::new(models),
            rate_hz,
            broken: Arc::new(Unread { words, everything: show.incomplete }),
        }
    }
}

/// The rig of the house (`act` is `None`) or of one act.
pub fn build(show: &Show, gear: &Gear, patch: &Patch, act: Option<&str>, found: &mut Vec<Diagnostic>) -> Rig {
    let mut models = gear.models.as_ref().clone();
    let mut rows: Vec<&Row<ast::Device>> = patch.devices.iter().collect();
    rows.sort_by(|a, b| a.node.name.value.cmp(&b.node.name.value));
    let devices = rows.iter().map(|row| device(row, &mut models, gear, found)).collect::<Vec<_>>();
    let by_name = (0u32..).zip(&devices).map(|(index, device)| (device.name.clone(), index)).collect();
    let mut rig = Rig {
        act: act.map(str::to_string),
        rate_hz: gear.rate_hz,
        part: show.part,
        clock: None,
        library: gear.library.clone(),
        models: Arc::new(models),
        devices,
        cables: Vec::new(),
        runs: Vec::new(),
        spare_cables: spare_cables(patch),
        said_of: BTreeMap::new(),
        broken: gear.broken.clone(),
        by_name,
        peers: BTreeMap::new(),
        starts: BTreeMap::new(),
        refused: BTreeSet::new(),
        unlaid: BTreeSet::new(),
        brought: BTreeMap::new(),
        led: BTreeMap::new(),
    };
    links::join(&mut rig, &rows, patch, found);
    rig.clock = clock(&rig, show, found);
    rig
}

fn spare_cables(patch: &Patch) -> Vec<(ast::Cable, Remarks)> {
    let cables = patch.spare_cables.iter();
    cables.filter_map(|row| Some((attrs::cable(&row.node)?.0.clone(), remarks(&row.node)))).collect()
}

fn clock(rig: &Rig, show: &Show, found: &mut Vec<Diagnostic>) -> Option<u32> {
    let Some(name) = &show.clock else { return rig.only_desk() };
    let device = rig.device_named(&name.value);
    if device.is_none() && !rig.broken.contains(&name.value) {
        let near = nearest(&name.value, rig.devices.iter().map(|device| device.name.as_str()));
        found.push(unknown(Sort::Gear, "device", name, near));
    }
    device
}

fn device(row: &Row<ast::Device>, models: &mut Vec<Model>, gear: &Gear, found: &mut Vec<Diagnostic>) -> Device {
    let node = &row.node;
    let mut missing = false;
    let model = if node.word.value == DeviceWord::Outside && node.model.is_none() {
        models.push(outside(node, found));
        models.len() - 1
    } else {
        let name = match node.model.as_ref() {
            Some(name) => name.value.as_str(),
            None => usual_model(node.word.value),
        };
        let index = models.iter().position(|model| model.name == name);
        if index.is_none() {
            missing = true;
            if let Some(said) = &node.model
                && !gear.broken.contains(&said.value)
            {
                let near = nearest(name, models.iter().map(|model| model.name.as_str()));
                found.push(unknown(Sort::Model, "model", said, near));
            }
        }
        index.unwrap_or_else(|| {
            models.push(nothing(node));
            models.len() - 1
        })
    };
    let mut device = Device {
        name: node.name.value.clone(),
        span: node.name.span,
        word: node.word.value,
        model,
        model_missing: missing,
        label: node.label.as_ref().map(|label| label.value.clone()),
        remarks: remarks(&node.attrs),
        out_of_use: BTreeMap::new(),
        offset: None,
        slot: None,
        modes: Vec::new(),
        gain_by: None,
        lifted: Vec::new(),
        space_bytes: None,
        clock: None,
        rate_hz: None,
        converts: false,
        backup_of: None,
        supply: None,
    };
    device.converts = models.get(model).is_some_and(|model| model.converts);
    if let Some(model) = models.get(model) {
        lifted(&mut device, &node.attrs, model, found);
    }
    let lines = models.get(model).map_or(0, |model| model.lanes.iter().map(|lane| lane.size).max().unwrap_or(0));
    for attr in &node.attrs {
        facts(&mut device, attr, lines, found);
        if let (AttrKind::Bank { .. }, Some(model)) = (&attr.kind, &node.model) {
            let message = format!("`{}` is a `{}`, whose model says its banks", device.name, model.value);
            let told = Diagnostic::error("unknown-attribute", attr.span, message);
            found.push(told.help(format!("take it out, or take `is {}` out", model.value)));
        }
    }
    device
}

fn facts(device: &mut Device, attr: &Attr, lines: u32, found: &mut Vec<Diagnostic>) {
    match &attr.kind {
        AttrKind::Offset(offset) => device.offset = Some(offset.clone()),
        AttrKind::Slot(slot) => device.slot = Some(slot.clone()),
        AttrKind::Space(space) => device.space_bytes = space.value.bytes().map(|bytes| At::new(bytes, attr.span)),
        AttrKind::Mode { bank, mode, offset } => {
            device.modes.push(Mode { bank: bank.clone(), mode: mode.clone(), offset: offset.clone() });
        }
        AttrKind::Dead(numbers) => out_of_use(device, numbers, "dead", lines, found),
        AttrKind::Reserved { lines: numbers, for_what } => {
            out_of_use(device, numbers, &kept_for(for_what.as_ref()), lines, found);
        }
        AttrKind::ClockFrom(clock) => device.clock = Some(At::new(clock.clone(), attr.span)),
        AttrKind::RunsAt(rate) => match model_items::hertz(rate.value) {
            Some(hertz) => device.rate_hz = Some(At::new(hertz, attr.span)),
            None => found.push(not_a_rate(rate.span, "a device's rate is a frequency such as `44.1 kHz`")),
        },
        AttrKind::Converts => device.converts = true,
        AttrKind::Supply(supply) => device.supply = Some(At::new(supply.value.clone(), attr.span)),
        _ => {}
    }
}

/// What a reserved line is reserved for.
pub(super) fn kept_for(what: Option<&ast::Text>) -> String {
    what.map_or("something else", |text| text.value.as_str()).to_string()
}

fn not_a_rate(span: Span, message: &str) -> Diagnostic {
    Diagnostic::error("wrong-unit", span, message)
}

/// The legs whose ground is lifted: banks that this piece passes its lines on by.
fn lifted(device: &mut Device, attrs: &[Attr], model: &Model, found: &mut Vec<Diagnostic>) {
    let leg = |lane: &&Lane| lane.kind == LaneKind::Bank(Role::Out) && device.word == DeviceWord::Split;
    let legs: Vec<&str> = model.lanes.iter().filter(leg).map(|lane| lane.name.as_str()).collect();
    for attr in attrs {
        let AttrKind::LiftedLegs(names) = &attr.kind else { continue };
        for name in names {
            let at = model.bank(&name.value).filter(|_| legs.contains(&name.value.as_str()));
            if let Some(at) = at.and_then(|at| u32::try_from(at).ok()) {
                device.lifted.push(At::new(at, name.span));
            } else if !device.model_missing {
                found.push(no_such_leg(&device.name, name, &legs));
            }
        }
    }
}

fn no_such_leg(device: &str, name: &ast::Name, legs: &[&str]) -> Diagnostic {
    let message = format!("`{device}` has no leg `{}` that could be lifted", name.value);
    let told = Diagnostic::error("no-such-point", name.span, message);
    told.help(match legs {
        [] => "only a split has legs; of a DI say `lifted` in its input row".to_string(),
        legs => format!("its legs are {}", legs.join(", ")),
    })
}

fn out_of_use(device: &mut Device, numbers: &Numbers, why: &str, lines: u32, found: &mut Vec<Diagnostic>) {
    for range in &numbers.ranges {
        if range.first == 0 || range.last > lines {
            let message = format!("`{}` has lines 1-{lines}", device.name);
            found.push(Diagnostic::error("no-such-point", range.span, message));
            continue;
        }
        for line in range.first..=range.last {
            device.out_of_use.insert(line, (why.to_string(), range.span));
        }
    }
}

fn usual_model(word: DeviceWord) -> &'static str {
    match word {
        DeviceWord::Desk => "desk-48",
        DeviceWord::Box => "box-16x8",
        DeviceWord::Hub => "personal-hub",
        DeviceWord::Snake => "snake-12",
        DeviceWord::Split => "split-24x3",
        DeviceWord::Recorder => "recorder-64",
        DeviceWord::Outside => "outside",
    }
}

fn nothing(node: &ast::Device) -> Model {
    Model {
        name: format!("{} (not known)", node.name.value),
        label: None,
        span: node.name.span,
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

/// Gear that others bring: `in` takes what the rig sends and ends there, anything else is a source.
fn outside(node: &ast::Device, found: &mut Vec<Diagnostic>) -> Model {
    let mut model = nothing(node);
    model.name = format!("outside-{}", node.name.value);
    for attr in &node.attrs {
        let AttrKind::Bank { name, range } = &attr.kind else { continue };
        if range.first != 1 || range.last > LARGEST_BANK {
            let message = format!("a bank counts from 1 to at most {LARGEST_BANK}");
            found.push(Diagnostic::error("bank-out-of-size", range.span, message));
            continue;
        }
        let role = if name.value == "in" { Role::In } else { Role::Origin };
        model.lanes.push(Lane {
            name: name.value.clone(),
            size: range.last,
            kind: LaneKind::Bank(role),
            span: attr.span,
            signal: ANY_SIGNAL.to_string(),
            end: role == Role::In,
            gain: None,
            phantom: 0,
            pad: false,
            clip_dbu: None,
            isolated: false,
            pairs: false,
        });
    }
    model
}

/// What others bring takes and gives any kind of signal.
pub const ANY_SIGNAL: &str = "any";

impl Rig {
    pub fn device_named(&self, name: &str) -> Option<u32> {
        self.by_name.get(name).copied()
    }

    pub fn device(&self, device: u32) -> Option<&Device> {
        self.devices.get(device as usize)
    }

    /// The rate of a device: its own where it says one, else the show's.
    pub fn own_rate(&self, device: u32) -> u32 {
        self.device(device).and_then(|device| device.rate_hz.as_ref()).map_or(self.rate_hz, |rate| rate.value)
    }

    /// Its model is not known, which has been said: nobody complains about its banks and ports.
    pub fn model_missing(&self, device: u32) -> bool {
        self.device(device).is_some_and(|device| device.model_missing)
    }

    pub fn device_name(&self, device: u32) -> &str {
        self.device(device).map_or("?", |device| device.name.as_str())
    }

    pub fn model(&self, device: u32) -> Option<&Model> {
        self.models.get(self.device(device)?.model)
    }

    pub fn lane(&self, device: u32, lane: u32) -> Option<&Lane> {
        self.model(device)?.lane(lane as usize)
    }

    pub fn lane_at(&self, point: Point) -> Option<&Lane> {
        self.lane(point.device, point.lane)
    }

    pub fn desks(&self) -> impl Iterator<Item = u32> {
        (0u32..).zip(&self.devices).filter(|(_, device)| device.word == DeviceWord::Desk).map(|(index, _)| index)
    }

    /// Whether the show has a desk, in this part or in another.
    pub fn has_desks(&self) -> bool {
        self.part || self.desks().next().is_some()
    }

    pub fn only_desk(&self) -> Option<u32> {
        let mut desks = self.desks();
        let first = desks.next()?;
        (desks.next().is_none() && !self.part).then_some(first)
    }

    /// A socket of a line that is dead or kept for something else.
    pub fn out_of_use(&self, socket: Point) -> bool {
        let line = self.device(socket.device).is_some_and(|device| device.out_of_use.contains_key(&socket.number));
        line && self.lane_at(socket).is_some_and(|lane| lane.kind == LaneKind::Bank(Role::In))
    }

    /// The far end of the main cable in a port.
    pub fn peer(&self, end: LinkEnd) -> Option<(LinkEnd, usize)> {
        self.peers.get(&end).copied()
    }

    /// A port without a cable where one was said that cannot be, which has been told.
    pub fn cable_refused(&self, end: LinkEnd) -> bool {
        self.refused.contains(&end)
    }

    /// The same of a slot in such a port.
    pub fn slot_refused(&self, slot: Point) -> bool {
        let ports = self.model(slot.device).into_iter().flat_map(|model| (0..).zip(&model.ports));
        let mut of_lane = ports.filter(|(_, port)| [port.inward, port.outward].contains(&(slot.lane as usize)));
        of_lane.any(|(port, _)| self.cable_refused(LinkEnd { device: slot.device, port }))
    }

    /// A device of which a line was said that cannot be laid, which has been told.
    pub fn lines_refused(&self, device: u32) -> bool {
        self.unlaid.contains(&device)
    }

    /// A socket from which the lines lead to such a device, or which is one of its own.
    pub fn lines_refused_beyond(&self, socket: Point) -> bool {
        let mut beyond = super::sockets_beyond(self, socket).into_iter().chain([socket]);
        beyond.any(|point| self.lines_refused(point.device))
    }

    /// The point that an analogue run brings to a socket.
    pub fn brought_to(&self, socket: Point) -> Option<(Point, usize)> {
        self.brought.get(&socket).copied()
    }

    /// The sockets that analogue runs lead to from a point.
    pub fn led_from(&self, point: Point) -> &[Point] {
        self.led.get(&point).map_or(&[], Vec::as_slice)
    }

    pub fn port_text(&self, end: LinkEnd) -> String {
        let port =
            self.model(end.device).and_then(|model| model.ports.get(end.port)).map_or("?", |port| port.name.as_str());
        format!("{}.{port}", self.device_name(end.device))
    }
}
