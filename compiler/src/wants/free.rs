//! What is still free, for messages: the first socket, channel or output that a row could have instead. Said
//! last, when every row is read, so that nothing taken is proposed. It does not ask whether a signal gets
//! there.

use super::{Scene, Spot};
use crate::diagnostics::{Diagnostic, Vacancy};
use crate::project::{Input, Output, Patch, Personal, Row, attrs};
use crate::rig::{Asked, How, Point};
use crate::source::Span;
use crate::syntax::ast::{Name, Numbers, Terms};
use std::collections::{BTreeMap, BTreeSet};

/// What the rows of a scene leave free.
pub struct Free<'a> {
    scene: &'a Scene,
    /// Where a source plugs in or comes out.
    plugs: BTreeSet<Point>,
    /// What output rows send, and where to.
    outputs: BTreeSet<Point>,
    /// Channels, tracks and feeds that some row names.
    ends: BTreeSet<Point>,
}

impl<'a> Free<'a> {
    pub fn of(scene: &'a Scene) -> Free<'a> {
        let plug = |source: &super::Source| match source.spot {
            Spot::Socket(point) | Spot::Origin(point) => Some(point),
            _ => None,
        };
        let outputs = scene.outputs.iter().flat_map(|output| [output.to, output.from]);
        Free {
            scene,
            plugs: scene.sources.iter().filter_map(plug).collect(),
            outputs: outputs.chain(scene.mixes.keys().copied()).collect(),
            ends: scene.wants.iter().map(|want| want.end).collect(),
        }
    }

    /// Whether nothing is plugged in at a socket and no line ends there.
    pub fn takes_plug(&self, socket: Point) -> bool {
        let rig = &self.scene.rig;
        let out_of_use = rig.device(socket.device).map(|device| &device.out_of_use);
        let usable = out_of_use.is_none_or(|lines| !lines.contains_key(&socket.number));
        usable && !self.plugs.contains(&socket) && rig.brought_to(socket).is_none()
    }

    /// Whether no output row sends to a point, nor from it.
    pub fn takes_output(&self, point: Point) -> bool {
        !self.outputs.contains(&point)
    }

    /// Whether no row names a channel, track or feed.
    pub fn takes_source(&self, end: Point) -> bool {
        !self.ends.contains(&end)
    }

    /// The first of `count` neighbours in a bank of sockets where nothing is plugged in and no line ends.
    pub fn sockets(&self, device: u32, lane: u32, count: u32, suits: impl Fn(u32) -> bool) -> Option<u32> {
        let free = |number: u32| self.takes_plug(Point { device, lane, number });
        first_run(self.scene.rig.lane(device, lane)?.size, count, suits, free)
    }

    /// The first of `count` neighbours in a bank that no output row sends to, nor from.
    pub fn outputs(&self, device: u32, lane: u32, count: u32, suits: impl Fn(u32) -> bool) -> Option<u32> {
        let free = |number: u32| self.takes_output(Point { device, lane, number });
        first_run(self.scene.rig.lane(device, lane)?.size, count, suits, free)
    }

    /// The first of `count` neighbours of a desk's bank (`channel`, `personal`) that no row names.
    pub fn numbers(&self, desk: u32, bank: &str, count: u32, suits: impl Fn(u32) -> bool) -> Option<u32> {
        let model = self.scene.rig.model(desk)?;
        let at = model.bank(bank)?;
        let lane = u32::try_from(at).ok()?;
        let free = |number: u32| self.takes_source(Point { device: desk, lane, number });
        first_run(model.lane(at)?.size, count, suits, free)
    }
}

impl Scene {
    /// In blocks of how many the desk feeds its channels.
    pub fn channel_block(&self, desk: u32) -> u32 {
        let model = self.rig.model(desk);
        match model.and_then(|model| model.route_of(model.bank("channel")?, 1)).map(|(_, route)| &route.how) {
            Some(How::Blocks(size)) => *size,
            _ => 1,
        }
    }

    /// `right 7`, `foh.local 3`, `right 7-8`: as a row would write it.
    pub fn sockets_text(&self, device: u32, lane: u32, first: u32, count: u32) -> String {
        let name = self.rig.device_name(device);
        let numbers = run(first, count);
        // A desk has many banks: its own is said.
        let desk = self.rig.desks().any(|desk| desk == device);
        match self.rig.lane(device, lane) {
            Some(fact) if !desk && ["in", "out"].contains(&fact.name.as_str()) => format!("{name} {numbers}"),
            Some(fact) => format!("{name}.{} {numbers}", fact.name),
            None => name.to_string(),
        }
    }
}

/// The first number that suits to begin `count` free ones.
fn first_run(size: u32, count: u32, suits: impl Fn(u32) -> bool, free: impl Fn(u32) -> bool) -> Option<u32> {
    let last = (size + 1).checked_sub(count.max(1))?;
    (1..=last).find(|first| suits(*first) && (*first..first + count.max(1)).all(&free))
}

/// `7`, `7-8`
pub fn run(first: u32, count: u32) -> String {
    if count < 2 { first.to_string() } else { format!("{first}-{}", first + count - 1) }
}

/// Puts what is free into the helps that leave it open.
pub fn tell(scene: &Scene, patch: &Patch, found: &mut [Diagnostic]) {
    let mut told = found.iter_mut().filter(|diagnostic| diagnostic.vacancy.is_some()).peekable();
    if told.peek().is_none() {
        return;
    }
    let (free, rows) = (Free::of(scene), Rows::of(patch));
    for diagnostic in told {
        let span = diagnostic.span;
        let (Some(vacancy), Some(help)) = (diagnostic.vacancy.take(), diagnostic.help.first_mut()) else { continue };
        let better = match vacancy {
            Vacancy::Move => rows.at(scene, span).and_then(|at| at.free(&free, &at.move_to())),
            Vacancy::Write => rows.at(scene, span).and_then(|at| at.free(&free, "write")),
            Vacancy::Beside => past_the_end(&free, &rows, span).map(|free| format!("{help}; {free}")),
            Vacancy::Channel => rows.channels(span).and_then(|row| other_channel(&free, row)),
            Vacancy::Feed => rows.feeds(span).and_then(|row| other_feed(&free, row)),
        };
        if let Some(better) = better {
            *help = better;
        }
    }
}

/// Where a row plugs in or sends to, by the words that say it.
struct At {
    name: String,
    device: u32,
    lane: u32,
    count: u32,
    output: bool,
}

impl At {
    fn first(&self, free: &Free) -> Option<String> {
        let first = match self.output {
            true => free.outputs(self.device, self.lane, self.count, |_| true),
            false => free.sockets(self.device, self.lane, self.count, |_| true),
        }?;
        Some(free.scene.sockets_text(self.device, self.lane, first, self.count))
    }

    fn move_to(&self) -> String {
        match self.output {
            true => format!("send `{}` to", self.name),
            false => format!("plug `{}` into", self.name),
        }
    }

    /// ``plug `vocal` into `right 7`: it is free``
    fn free(&self, free: &Free, act: &str) -> Option<String> {
        let verb = if self.count < 2 { "it is" } else { "they are" };
        Some(format!("{act} `{}`: {verb} free", self.first(free)?))
    }
}

/// The rows of a patch by where their words stand.
struct Rows<'a> {
    plugs: BTreeMap<Span, &'a Row<Input>>,
    outputs: BTreeMap<Span, &'a Row<Output>>,
    channels: BTreeMap<Span, &'a Row<Input>>,
    feeds: BTreeMap<Span, &'a Row<Personal>>,
}

impl<'a> Rows<'a> {
    fn of(patch: &'a Patch) -> Rows<'a> {
        let plug = |row: &'a Row<Input>| Some((attrs::from(&row.node.row.attrs)?.1, row));
        let output = |row: &'a Row<Output>| Some((attrs::to(&row.node.row.attrs)?.1, row));
        let channels = |row: &'a Row<Input>| Some((row.node.row.channels.as_ref()?.span, row));
        Rows {
            plugs: patch.inputs.iter().filter_map(plug).collect(),
            outputs: patch.outputs.iter().filter_map(output).collect(),
            channels: patch.inputs.iter().filter_map(channels).collect(),
            feeds: patch.personal.iter().map(|row| (row.node.row.numbers.span, row)).collect(),
        }
    }

    /// The row whose `from` or `to` holds the place.
    fn at(&self, scene: &Scene, span: Span) -> Option<At> {
        self.plug(scene, span).or_else(|| self.output(scene, span))
    }

    /// The input row whose `from` holds the place.
    fn plug(&self, scene: &Scene, span: Span) -> Option<At> {
        let row = holding(&self.plugs, span)?;
        let node = &row.node.row;
        let (words, _) = attrs::from(&node.attrs)?;
        let count = node.channels.as_ref().map_or(1, how_many);
        at(scene, words, node.name.value.clone(), count, Asked::Plug, desk_of(scene, row.node.desk.as_ref(), row.span))
    }

    /// The output row whose `to` holds the place.
    fn output(&self, scene: &Scene, span: Span) -> Option<At> {
        let row = holding(&self.outputs, span)?;
        let node = &row.node.row;
        let (lists, _) = attrs::to(&node.attrs)?;
        let words = lists.iter().find(|list| list.span.holds(span)).or(lists.first())?;
        let (name, count) = (super::outputs::name_of(row), how_many(&node.numbers));
        at(scene, words, name, count, Asked::Output, desk_of(scene, row.node.desk.as_ref(), row.span))
    }

    fn channels(&self, span: Span) -> Option<&'a Row<Input>> {
        holding(&self.channels, span)
    }

    fn feeds(&self, span: Span) -> Option<&'a Row<Personal>> {
        holding(&self.feeds, span)
    }
}

/// Of places that do not overlap, the one that holds a part of it.
fn holding<'a, T>(places: &BTreeMap<Span, &'a Row<T>>, part: Span) -> Option<&'a Row<T>> {
    let until = Span { start: part.start, end: u32::MAX, ..part };
    places.range(..=until).next_back().filter(|(place, _)| place.holds(part)).map(|(_, row)| *row)
}

fn desk_of(scene: &Scene, desk: Option<&Name>, span: Span) -> Option<u32> {
    scene.desk_of_block(desk, span, &mut Vec::new())
}

fn at(scene: &Scene, words: &Terms, name: String, count: u32, asked: Asked, desk: Option<u32>) -> Option<At> {
    let bank = words.terms.first()?.name.as_ref()?;
    let output = matches!(asked, Asked::Output);
    let (device, lane) = scene.rig.lane_of(bank, asked, desk, &mut Vec::new())?;
    Some(At { name, device, lane, count, output })
}

fn how_many(numbers: &Numbers) -> u32 {
    let each = numbers.ranges.iter().map(|range| range.last.saturating_sub(range.first).saturating_add(1));
    each.fold(0, u32::saturating_add)
}

/// Where blocks keep their order, a channel of the same place in its block is the better one.
fn other_channel(free: &Free, row: &Row<Input>) -> Option<String> {
    let desk = desk_of(free.scene, row.node.desk.as_ref(), row.span)?;
    let numbers = row.node.row.channels.as_ref()?;
    let (count, block) = (how_many(numbers), free.scene.channel_block(desk));
    let now = numbers.ranges.first()?.first;
    let step = own_socket(free.scene, desk, row).unwrap_or(now);
    let in_step = free.numbers(desk, "channel", count, |first| first % block == step % block);
    let first = in_step.or_else(|| free.numbers(desk, "channel", count, |_| true))?;
    let verb = if count < 2 { "it is" } else { "they are" };
    let channels = if count < 2 { "channel" } else { "channels" };
    Some(format!("list `{}` on {channels} {}: {verb} free", row.node.row.name.value, run(first, count)))
}

/// The number of the desk's own socket that a row names first: a block keeps it in step.
fn own_socket(scene: &Scene, desk: u32, row: &Row<Input>) -> Option<u32> {
    let (from, _) = attrs::from(&row.node.row.attrs)?;
    let points = scene.rig.points(from, crate::rig::Asked::Plug, Some(desk), &mut Vec::new())?;
    points.first().filter(|point| point.device == desk).map(|point| point.number)
}

fn other_feed(free: &Free, row: &Row<Personal>) -> Option<String> {
    let desk = desk_of(free.scene, row.node.desk.as_ref(), row.span)?;
    let count = how_many(&row.node.row.numbers);
    let first = free.numbers(desk, "personal", count, |_| true)?;
    Some(format!("give one of them a free number: {}", run(first, count)))
}

/// `` `right 7` is free ``, for a number past the end of a bank, or a channel past a desk's last.
fn past_the_end(free: &Free, rows: &Rows, span: Span) -> Option<String> {
    let verb = |count: u32| if count < 2 { "is" } else { "are" };
    let scene = free.scene;
    if let Some(at) = rows.at(scene, span) {
        return Some(format!("`{}` {} free", at.first(free)?, verb(at.count)));
    }
    let row = rows.channels(span)?;
    let desk = desk_of(scene, row.node.desk.as_ref(), row.span)?;
    let count = row.node.row.channels.as_ref().map_or(1, how_many);
    let model = scene.rig.model(desk)?;
    let pairs = model.lane(model.bank("channel")?)?.pairs && attrs::stereo(&row.node.row.attrs).is_some();
    let first = free.numbers(desk, "channel", count, |first| !pairs || first % 2 == 1)?;
    Some(format!("{} {} free", run(first, count), verb(count)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_run_that_is_free() {
        let free = |number: u32| ![1, 2, 4].contains(&number);
        assert_eq!(first_run(8, 1, |_| true, free), Some(3));
        assert_eq!(first_run(8, 2, |first| first % 2 == 1, free), Some(5));
        assert_eq!(first_run(8, 5, |_| true, free), None);
        assert_eq!(first_run(2, 3, |_| true, |_| true), None);
        assert_eq!((run(7, 1), run(7, 2)), ("7".to_string(), "7-8".to_string()));
    }
}
