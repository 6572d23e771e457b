//! Edits to try, in order: offsets that meet, where outputs clash over them; another socket of the same box,
//! another channel of the same block, another block, a whole run of rows on other channels, a socket of
//! another box, an offset, the chain's order, another port; then rows to drop.

use super::{meeting, runs};
use crate::Analysis;
use crate::diagnostics::Edit;
use crate::plan::Role;
use crate::rig::{How, Lane, LaneKind, LinkEnd, Point, Ride, Rig, Take};
use crate::route::Unit;
use crate::source::Span;
use crate::syntax::ast::{AttrKind, DeviceWord};
use crate::wants::{RowFact, RowKind, Scene, Spot, Target};
use std::collections::BTreeSet;

/// An edit, or several that belong together, with what to call it.
#[derive(Clone, Debug)]
pub struct Candidate {
    pub label: String,
    pub edits: Vec<Edit>,
    /// The row or device that it moves: two candidates of one make no pair.
    pub thing: String,
    /// What the message points at besides, where this is the change that works.
    pub shows: Vec<(Span, String)>,
    /// For a row that said no socket: those that it then takes, each with its scene.
    pub takes: BTreeSet<(usize, Point)>,
}

impl Candidate {
    pub fn new(label: String, edits: Vec<Edit>, thing: &str) -> Candidate {
        Candidate { label, edits, thing: thing.to_string(), shows: Vec::new(), takes: BTreeSet::new() }
    }

    /// Does it move one of these?
    pub fn is_of(&self, names: &[String]) -> bool {
        names.contains(&self.thing)
    }
}

/// Everything that one edit could do about these rows, in order.
pub fn of(analysis: &Analysis, units: &[Unit]) -> Vec<Candidate> {
    let rows = rows(analysis, units);
    let mut list = meeting::offsets(analysis, units);
    let mut add = |of: &dyn Fn(&Moving) -> Vec<Candidate>| {
        for row in &rows {
            list.extend(of(row));
        }
    };
    add(&|row| row.other_sockets());
    add(&|row| row.other_channels(true));
    add(&|row| row.other_channels(false));
    add(&|row| runs::around(row).map(|run| run.candidates()).unwrap_or_default());
    add(&|row| row.sockets_elsewhere());
    let near = near(analysis, units);
    list.extend(offsets(analysis, &near));
    list.extend(orders(analysis, &near));
    list.extend(ports(analysis, &near));
    list
}

/// The gear that these rows can have to do with: what is joined to their desks, sockets and outputs. What hangs
/// apart from all that changes nothing for them.
pub fn near(analysis: &Analysis, units: &[Unit]) -> BTreeSet<String> {
    let mut near = BTreeSet::new();
    for row in rows(analysis, units) {
        let sockets = row.own_sockets().into_iter().map(|socket| socket.device);
        let outputs = row.scene.outputs.iter().filter(|output| output.row == row.row).map(|output| output.to.device);
        let joined = row.scene.rig.joined(row.fact.desk.into_iter().chain(sockets).chain(outputs));
        near.extend(joined.into_iter().map(|device| row.scene.rig.device_name(device).to_string()));
    }
    near
}

/// Two edits at a time, of unlike things.
pub fn pairs(single: &[Candidate]) -> impl Iterator<Item = Candidate> {
    single.iter().enumerate().flat_map(move |(index, one)| {
        single.iter().skip(index + 1).filter(|two| two.thing != one.thing).map(|two| Candidate {
            label: format!("{}, and {}", one.label, two.label),
            edits: one.edits.iter().chain(&two.edits).cloned().collect(),
            thing: one.thing.clone(),
            shows: Vec::new(),
            takes: BTreeSet::new(),
        })
    })
}

/// Rows to take out, lowest priority first, the last row first among equals.
pub fn drops(analysis: &Analysis, units: &[Unit]) -> Vec<Candidate> {
    let mut rows = rows(analysis, units);
    rows.sort_by_key(|row| (row.fact.priority, std::cmp::Reverse(row.fact.span)));
    let drop = |row: &Moving| {
        let said = match row.fact.kind {
            RowKind::Input => format!("input {}", row.fact.name),
            RowKind::Output => format!("output {}", row.output_name()),
            _ => return None,
        };
        let label = format!("do without `{}`: write `without {said}`", row.fact.name);
        Some(Candidate::new(label, vec![row.append(&format!("without {said}"))?], &said))
    };
    rows.iter().filter_map(drop).collect()
}

/// Free sockets for the row whose name and microphone stand at `span`, which says none.
pub fn sockets(analysis: &Analysis, span: Span) -> Vec<Candidate> {
    let row_at = |scene: &Scene| {
        scene.rows.iter().position(|row| row.kind == RowKind::Input && row.span.holds(span) && row.place.is_none())
    };
    let found = analysis.scenes.iter().enumerate().find_map(|(scene, of)| Some(Unit { scene, row: row_at(of)? }));
    let rows = rows(analysis, found.as_slice());
    let scene = found.map_or(0, |unit| unit.scene);
    rows.first().map(|row| row.first_sockets(scene, span)).unwrap_or_default()
}

/// A row that may move.
#[derive(Clone)]
pub struct Moving<'a> {
    pub analysis: &'a Analysis,
    pub scene: &'a Scene,
    pub fact: &'a RowFact,
    pub row: usize,
}

/// The rows of a conflict, the one that stands last first: it is the likeliest to be new.
pub fn rows<'a>(analysis: &'a Analysis, units: &[Unit]) -> Vec<Moving<'a>> {
    let mut seen = BTreeSet::new();
    let mut rows: Vec<Moving> = units
        .iter()
        .filter_map(|unit| {
            let scene = analysis.scenes.get(unit.scene)?;
            let fact = scene.rows.get(unit.row)?;
            seen.insert(fact.span).then_some(Moving { analysis, scene, fact, row: unit.row })
        })
        .collect();
    rows.sort_by_key(|row| std::cmp::Reverse(row.fact.span));
    rows
}

impl<'a> Moving<'a> {
    fn text(&self, span: Span) -> &str {
        self.analysis.project.sources.text_at(span)
    }

    /// A line at the end of the root: how a show changes what it took from elsewhere.
    fn append(&self, line: &str) -> Option<Edit> {
        append(self.analysis, line)
    }

    /// Writes `new` in place of what the row says at `span`; where the row stands in a file that the root
    /// includes, the root says the change instead.
    pub fn rewrite(&self, span: Span, new: &str, change: &str) -> Option<Edit> {
        if Some(span.file) == self.analysis.show.root {
            return Some(Edit { span, text: new.to_string() });
        }
        let what = match self.fact.kind {
            RowKind::Input => "input",
            RowKind::Output => "output",
            _ => return None,
        };
        let name = if self.fact.kind == RowKind::Output { self.output_name() } else { self.fact.name.clone() };
        self.append(&format!("change {what} {name} {change}"))
    }

    /// `monitors.mix 1`: an output with its desk.
    fn output_name(&self) -> String {
        match self.fact.desk {
            Some(desk) => format!("{}.{}", self.scene.rig.device_name(desk), self.fact.name),
            None => self.fact.name.clone(),
        }
    }

    /// The sockets that the row's sources plug into, if they are neighbours in one bank.
    pub fn own_sockets(&self) -> Vec<Point> {
        let of_row = self.scene.sources.iter().filter(|source| source.row == self.row);
        of_row.filter_map(|source| if let Spot::Socket(point) = source.spot { Some(point) } else { None }).collect()
    }

    fn other_sockets(&self) -> Vec<Candidate> {
        match self.fact.kind {
            RowKind::Input => {
                let own = self.own_sockets();
                let Some(first) = own.first() else { return Vec::new() };
                self.to_sockets(first.device, first.lane, &own)
            }
            RowKind::Output => self.other_outputs(),
            _ => Vec::new(),
        }
    }

    /// Sockets for a row that says none, those of boxes first: most sources stand on stage.
    fn first_sockets(&self, scene: usize, span: Span) -> Vec<Candidate> {
        let after = Span { start: span.end, ..span };
        let count = self.scene.sources.iter().filter(|source| source.row == self.row).count();
        let candidate = |(first, to): (Point, String)| {
            let edit = self.rewrite(after, &format!(" from {to}"), &format!("from {to}"))?;
            let label = format!("plug it into `{to}`: `from {to}`");
            let numbers = first.number..first.number + count as u32;
            let takes = numbers.map(|number| (scene, Point { number, ..first })).collect();
            Some(Candidate { takes, ..Candidate::new(label, vec![edit], &self.fact.name) })
        };
        let mut banks = preamp_banks(&self.scene.rig);
        let near = self.scene.rig.joined(self.fact.desk);
        banks.retain(|(device, _)| near.contains(device));
        banks.sort_by_key(|(device, _)| self.scene.rig.device(*device).is_none_or(|of| of.word == DeviceWord::Desk));
        let banks = banks.into_iter();
        banks.flat_map(|(device, lane)| self.free_runs(device, lane, &[], count)).filter_map(candidate).collect()
    }

    /// Free runs of sockets in a bank, as many as the row has.
    fn to_sockets(&self, device: u32, lane: u32, own: &[Point]) -> Vec<Candidate> {
        let Some(place) = self.fact.place else { return Vec::new() };
        let candidate = |(_, to): (Point, String)| {
            let edit = self.rewrite(place, &format!("from {to}"), &format!("from {to}"))?;
            let label = format!("plug `{}` into `{to}`", self.fact.name);
            Some(Candidate::new(label, vec![edit], &self.fact.name))
        };
        self.free_runs(device, lane, own, own.len()).into_iter().filter_map(candidate).collect()
    }

    /// Where it begins, and `stage-left 7-8`: runs of a bank that nothing but the row's own plugs stand in.
    fn free_runs(&self, device: u32, lane: u32, own: &[Point], count: usize) -> Vec<(Point, String)> {
        let rig = &self.scene.rig;
        let Some(fact) = rig.lane(device, lane) else { return Vec::new() };
        let count = count as u32;
        let busy = taken(self.scene);
        let free = |first: &u32| {
            (*first..*first + count).all(|number| {
                let point = Point { device, lane, number };
                let dead = rig.device(device).is_some_and(|device| device.out_of_use.contains_key(&number));
                let usable = number <= fact.size && !dead && rig.brought_to(point).is_none();
                usable && (!busy.contains(&point) || own.contains(&point))
            })
        };
        let unmoved = own.first().map(|point| (point.device, point.lane, point.number));
        let firsts = (1..=fact.size).filter(|first| unmoved != Some((device, lane, *first))).filter(free);
        let name = self.name_of(device, lane, fact);
        let run = |first| (Point { device, lane, number: first }, format!("{name} {}", range(first, count)));
        firsts.map(run).collect()
    }

    /// The device alone where its inputs are meant anyway.
    fn name_of(&self, device: u32, lane: u32, fact: &Lane) -> String {
        let rig = &self.scene.rig;
        let usual = rig
            .model(device)
            .and_then(|model| model.lanes.iter().position(|lane| lane.kind == LaneKind::Bank(Role::In)));
        if usual == Some(lane as usize) && fact.name == "in" {
            rig.device_name(device).to_string()
        } else {
            format!("{}.{}", rig.device_name(device), fact.name)
        }
    }

    fn sockets_elsewhere(&self) -> Vec<Candidate> {
        if self.fact.kind != RowKind::Input {
            return Vec::new();
        }
        let own = self.own_sockets();
        let Some(first) = own.first() else { return Vec::new() };
        let near = self.scene.rig.joined(self.fact.desk.into_iter().chain([first.device]));
        let others = preamp_banks(&self.scene.rig).into_iter();
        let others = others.filter(|bank| *bank != (first.device, first.lane) && near.contains(&bank.0));
        others.flat_map(|(device, lane)| self.to_sockets(device, lane, &own)).collect()
    }

    fn other_outputs(&self) -> Vec<Candidate> {
        let Some(place) = self.fact.place else { return Vec::new() };
        let outputs: Vec<Point> =
            self.scene.outputs.iter().filter(|output| output.row == self.row).map(|output| output.to).collect();
        let Some(first) = outputs.first() else { return Vec::new() };
        let same_bank = outputs.iter().all(|point| (point.device, point.lane) == (first.device, first.lane));
        let in_row = outputs.windows(2).all(|two| matches!(two, [a, b] if a.number + 1 == b.number));
        let rig = &self.scene.rig;
        let (Some(lane), true) = (rig.lane_at(*first), same_bank && in_row) else { return Vec::new() };
        let busy: BTreeSet<Point> = self.scene.outputs.iter().map(|output| output.to).collect();
        let count = outputs.len() as u32;
        let free = |start: &u32| {
            (*start..*start + count).all(|number| {
                let point = Point { number, ..*first };
                number <= lane.size && (!busy.contains(&point) || outputs.contains(&point))
            })
        };
        let name = format!("{}.{}", rig.device_name(first.device), lane.name);
        let name = if lane.name == "out" { rig.device_name(first.device).to_string() } else { name };
        (1..=lane.size)
            .filter(|start| *start != first.number)
            .filter(free)
            .filter_map(|start| {
                let to = format!("to {name} {}", range(start, count));
                let edit = self.rewrite(place, &to, &to)?;
                let label = format!("send `{}` to `{name} {}`", self.fact.name, range(start, count));
                Some(Candidate::new(label, vec![edit], &self.fact.name))
            })
            .collect()
    }

    /// Free channels: of the block where the row stands, or of the others.
    fn other_channels(&self, same_block: bool) -> Vec<Candidate> {
        let (Some(span), Some(desk)) = (self.fact.numbers, self.fact.desk) else { return Vec::new() };
        if self.fact.kind != RowKind::Input {
            return Vec::new();
        }
        let own = channels(self.scene, desk, |row| row == self.row);
        let others = channels(self.scene, desk, |row| row != self.row);
        let Some(first) = own.first().copied() else { return Vec::new() };
        let rig = &self.scene.rig;
        let Some((size, block)) = channel_facts(rig, desk) else { return Vec::new() };
        let count = own.len() as u32;
        let pairs = self.text(self.fact.span).split_whitespace().any(|word| word == "stereo");
        let free = |start: &u32| {
            let last = *start + count - 1;
            let within = (*start - 1) / block == (first - 1) / block;
            last <= size
                && *start != first
                && within == same_block
                && (!pairs || *start % 2 == 1)
                && (*start..=last).all(|channel| !others.contains(&channel))
        };
        let mut starts: Vec<u32> = (1..=size).filter(free).collect();
        let fed = self.own_sockets().first().map(|socket| fed_blocks(self.scene, desk, *socket, &[self.row], block));
        starts.sort_by_key(|start| (!fed.as_ref().is_some_and(|fed| fed.contains(&((start - 1) / block))), *start));
        starts
            .into_iter()
            .filter_map(|start| {
                let numbers = range(start, count);
                let edit = self.rewrite(span, &numbers, &format!("channel {numbers}"))?;
                let label = format!("list `{}` on channel {numbers}", self.fact.name);
                Some(Candidate::new(label, vec![edit], &self.fact.name))
            })
            .collect()
    }
}

pub fn range(first: u32, count: u32) -> String {
    if count <= 1 { first.to_string() } else { format!("{first}-{}", first + count - 1) }
}

/// Sockets that some source or line takes.
fn taken(scene: &Scene) -> BTreeSet<Point> {
    let plugged = scene.sources.iter().filter_map(|source| match source.spot {
        Spot::Socket(point) => Some(point),
        _ => None,
    });
    let lines = scene
        .rig
        .runs
        .iter()
        .flat_map(|run| (0..run.count).map(|step| Point { number: run.to.number + step, ..run.to }));
    plugged.chain(lines).collect()
}

pub fn channels(scene: &Scene, desk: u32, of: impl Fn(usize) -> bool) -> BTreeSet<u32> {
    let lane = scene.rig.model(desk).and_then(|model| model.bank("channel"));
    let here =
        |want: &&crate::wants::Want| want.end.device == desk && Some(want.end.lane as usize) == lane && of(want.row);
    scene.wants.iter().filter(here).map(|want| want.end.number).collect()
}

/// The blocks of channels that take a block of sockets already, by rows other than `but`.
pub fn fed_blocks(scene: &Scene, desk: u32, socket: Point, but: &[usize], block: u32) -> BTreeSet<u32> {
    let lane = scene.rig.model(desk).and_then(|model| model.bank("channel"));
    let same = |point: Point| {
        (point.device, point.lane) == (socket.device, socket.lane)
            && (point.number - 1) / block == (socket.number - 1) / block
    };
    let feeds = |want: &&crate::wants::Want| {
        let Target::Source(source) = want.what else { return false };
        matches!(scene.source(source).map(|source| &source.spot), Some(Spot::Socket(point)) if same(*point))
    };
    let here = scene.wants.iter().filter(|want| want.end.device == desk && Some(want.end.lane as usize) == lane);
    here.filter(|want| !but.contains(&want.row)).filter(feeds).map(|want| (want.end.number - 1) / block).collect()
}

/// How many channels a desk has, and in blocks of how many it feeds them.
pub fn channel_facts(rig: &Rig, desk: u32) -> Option<(u32, u32)> {
    let model = rig.model(desk)?;
    let lane = model.bank("channel")?;
    let block = match model.route_of(lane, 1)?.1.how {
        How::Blocks(size) => size,
        How::Straight => 1,
    };
    Some((model.lane(lane)?.size, block))
}

/// Other offsets for the boxes whose offset is said.
fn offsets(analysis: &Analysis, near: &BTreeSet<String>) -> Vec<Candidate> {
    let Some(scene) = analysis.scenes.first() else { return Vec::new() };
    let devices = (0u32..).zip(&scene.rig.devices).filter(|(_, device)| near.contains(&device.name));
    devices.flat_map(|(index, _)| offsets_of(analysis, &scene.rig, index)).collect()
}

/// Other offsets for one box.
pub fn offsets_of(analysis: &Analysis, rig: &Rig, index: u32) -> Vec<Candidate> {
    let mut list = Vec::new();
    if let (Some(device), Some(take)) = (rig.device(index), moving_take(rig, index)) {
        let (Some(said), Ride::Setting(choices)) = (&device.offset, &take.at) else { return Vec::new() };
        for choice in choices.iter().filter(|choice| **choice != said.value) {
            let text = format!("offset {choice}");
            let change = format!("change {} {} {text}", device.word.word(), device.name);
            if let Some(edit) = rewrite(analysis, attr_span(analysis, &device.name, Attr::Offset), &text, &change) {
                let label = format!("set `{}` to {text}", device.name);
                list.push(Candidate::new(label, vec![edit], &device.name));
            }
        }
    }
    list
}

/// The take of a box's outputs that an offset moves.
pub fn moving_take(rig: &Rig, device: u32) -> Option<&Take> {
    let model = rig.model(device)?;
    model.takes.iter().find(|take| take.mode.is_none() && matches!(take.at, Ride::Setting(_)))
}

/// Two neighbours of a chain the other way round.
fn orders(analysis: &Analysis, near: &BTreeSet<String>) -> Vec<Candidate> {
    let Some(scene) = analysis.scenes.first() else { return Vec::new() };
    let rig = &scene.rig;
    let mut list = Vec::new();
    for cable in &rig.cables {
        // `second` hangs on `first`, which hangs on something else.
        let (first, second) = (cable.from.device, cable.to.device);
        let is_box = |device: u32| rig.device(device).is_some_and(|device| device.word == DeviceWord::Box);
        if !is_box(first) || !is_box(second) || !near.contains(rig.device_name(first)) {
            continue;
        }
        let Some(up) = rig.cables.iter().find(|up| up.to.device == first) else { continue };
        let Some(next) = thru(rig, second) else { continue };
        let (one, two) = (rig.device_name(first), rig.device_name(second));
        let on_first = format!("on {}", rig.port_text(up.from));
        let on_second = format!("on {}", rig.port_text(next));
        let edit = |device: &str, text: &str| {
            let change = format!("change box {device} {text}");
            rewrite(analysis, attr_span(analysis, device, Attr::On), text, &change)
        };
        let mut edits = Vec::new();
        edits.extend(edit(two, &on_first));
        edits.extend(edit(one, &on_second));
        // What hung on the second now hangs on the first.
        let free = rig.cables.iter().all(|cable| cable.from != next);
        if edits.len() == 2 && free {
            let label = format!("hang `{two}` before `{one}`");
            list.push(Candidate::new(label, edits, one));
        }
    }
    list
}

fn thru(rig: &Rig, device: u32) -> Option<LinkEnd> {
    let model = rig.model(device)?;
    let both_ways = |port: usize| model.passes.iter().any(|(from, _)| *from == port);
    let next = |(index, port): &(usize, &crate::rig::PortFact)| {
        port.faces == crate::syntax::ast::Faces::Next && both_ways(*index)
    };
    let (port, _) = model.ports.iter().enumerate().find(next)?;
    Some(LinkEnd { device, port })
}

/// A box on another free port of its desk, or of one that is joined to it.
pub fn ports(analysis: &Analysis, near: &BTreeSet<String>) -> Vec<Candidate> {
    let Some(scene) = analysis.scenes.first() else { return Vec::new() };
    let rig = &scene.rig;
    let mut list = Vec::new();
    for device in rig.devices.iter().filter(|device| device.word == DeviceWord::Box && near.contains(&device.name)) {
        for desk in rig.desks().filter(|desk| near.contains(rig.device_name(*desk))) {
            let ports = rig.model(desk).map_or(0, |model| model.ports.len());
            for port in 0..ports {
                let end = LinkEnd { device: desk, port };
                let used = rig.cables.iter().any(|cable| cable.from == end || cable.to == end);
                let model = rig.model(desk).and_then(|model| model.ports.get(port));
                if used || model.is_none_or(|port| port.faces != crate::syntax::ast::Faces::Any) {
                    continue;
                }
                let text = format!("on {}", rig.port_text(end));
                let change = format!("change {} {} {text}", device.word.word(), device.name);
                if let Some(edit) = rewrite(analysis, attr_span(analysis, &device.name, Attr::On), &text, &change) {
                    let label = format!("hang `{}` on `{}`", device.name, rig.port_text(end));
                    list.push(Candidate::new(label, vec![edit], &device.name));
                }
            }
        }
    }
    list
}

/// The banks of sockets with preamps, in the order of the walk.
fn preamp_banks(rig: &Rig) -> Vec<(u32, u32)> {
    let mut banks = Vec::new();
    for device in rig.walk_order() {
        let lanes = rig.model(device).map(|model| model.lanes.as_slice()).unwrap_or_default();
        let sockets = |(_, fact): &(u32, &Lane)| fact.is_preamp() && fact.kind == LaneKind::Bank(Role::In);
        banks.extend((0u32..).zip(lanes).filter(sockets).map(|(lane, _)| (device, lane)));
    }
    banks
}

#[derive(Clone, Copy)]
pub enum Attr {
    On,
    Offset,
}

pub fn attr_span(analysis: &Analysis, device: &str, which: Attr) -> Option<Span> {
    let row = analysis.show.house.devices.iter().find(|row| row.node.name.value == device)?;
    let is = |attr: &&crate::syntax::ast::Attr| {
        matches!((&which, &attr.kind), (Attr::On, AttrKind::On(_)) | (Attr::Offset, AttrKind::Offset(_)))
    };
    row.node.attrs.iter().find(is).map(|attr| attr.span)
}

fn rewrite(analysis: &Analysis, span: Option<Span>, new: &str, change: &str) -> Option<Edit> {
    let span = span?;
    if Some(span.file) == analysis.show.root {
        Some(Edit { span, text: new.to_string() })
    } else {
        append(analysis, change)
    }
}

fn append(analysis: &Analysis, line: &str) -> Option<Edit> {
    let root = analysis.show.root?;
    let file = analysis.project.sources.get(root)?;
    let end = file.text.len();
    let before = if file.text.is_empty() || file.text.ends_with('\n') { "" } else { "\n" };
    Some(Edit { span: Span::new(root, end, end), text: format!("{before}{line}\n") })
}
