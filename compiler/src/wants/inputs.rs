//! Input rows: sources and the channels that want them. An act's row takes the place of a house row on
//! the same channel or socket.

mod again;
mod anywhere;
mod fits;
mod past;
mod replace;
mod spares;

use super::{RowFact, RowKind, Scene, Source, Spot, Stated, Target, Want, WantKind, labels};
use crate::diagnostics::{Diagnostic, Sort, Vacancy, counted};
use crate::project::attrs;
use crate::project::{Input, Patch, Row, nearest};
use crate::rig::{Asked, MicFact, Point, remarks};
use crate::source::{At, Span};
use crate::syntax::ast::{Numbers, Priority, Range};
use std::collections::{BTreeMap, BTreeSet};

/// A bank that a signal must pass.
type Via = Option<(u32, u32)>;

/// An input row with what its words mean.
struct Reading<'a> {
    row: &'a Row<Input>,
    desk: Option<u32>,
    /// In order; empty where any of them is not there, which has been said.
    channels: Vec<u32>,
    /// Those of its ranges that the desk has not.
    past: Vec<Range>,
    declares: bool,
    /// Where its sources plug in; `None` where the words mean nothing.
    spots: Option<Vec<Spot>>,
}

pub fn read(scene: &mut Scene, patch: &Patch, found: &mut Vec<Diagnostic>) {
    let mut readings: Vec<Reading> = patch.inputs.iter().map(|row| reading(scene, row, found)).collect();
    // Rows are numbered by channel, so that what is told of them does not depend on their order.
    readings.sort_by(|a, b| {
        let key = |reading: &Reading| {
            (reading.desk, reading.channels.first().copied(), reading.row.node.row.name.value.clone())
        };
        key(a).cmp(&key(b)).then(a.row.span.cmp(&b.row.span))
    });
    replace::replace(scene, &mut readings, found);
    past::tell(scene, &readings, found);
    channels_once(scene, &readings, found);
    for reading in readings.iter().filter(|reading| reading.declares) {
        declare(scene, reading, found);
    }
    let free = anywhere::free_sockets(scene);
    anywhere::settle_any(scene, &free);
    for reading in readings.iter().filter(|reading| !reading.declares) {
        again::again(scene, reading, found);
    }
    fits::tell(scene, found);
    spares::read(scene, &readings, found);
    again::same_lists(scene, patch, &readings, found);
    // Of two rows on one channel, which has been said, the router hears the first.
    let mut ends = BTreeSet::new();
    scene.wants.retain(|want| ends.insert(want.end));
}

fn reading<'a>(scene: &Scene, row: &'a Row<Input>, found: &mut Vec<Diagnostic>) -> Reading<'a> {
    let node = &row.node.row;
    let desk = scene.desk_of_block(row.node.desk.as_ref(), row.span, found);
    let mut past = Vec::new();
    let channels = match (&node.channels, desk) {
        (Some(numbers), Some(desk)) => channels(scene, desk, numbers, &node.name.value, &mut past, found),
        _ => Some(Vec::new()),
    };
    let declares = attrs::declares(node);
    // How many channels a row has whose channels are not all there, nobody can say.
    let count = channels.as_ref().map(Vec::len).filter(|count| *count > 0);
    let unsaid = channels.is_none() && attrs::from(&node.attrs).is_none();
    let channels = channels.unwrap_or_default();
    let spots = if unsaid { None } else { spots(scene, row, desk, count, found) };
    Reading { row, desk, channels, past, declares, spots }
}

/// The channels that a row names, checked against the desk before they are expanded. `None` where any of
/// them is not there; those are `past`, unless it has been said.
fn channels(
    scene: &Scene,
    desk: u32,
    numbers: &Numbers,
    name: &str,
    past: &mut Vec<Range>,
    found: &mut Vec<Diagnostic>,
) -> Option<Vec<u32>> {
    let Some(lane) = scene.rig.model(desk).and_then(|model| model.lane(model.bank("channel")?)) else {
        if !scene.rig.model_missing(desk) {
            let message = format!("`{}` has no channels", scene.rig.device_name(desk));
            found.push(Diagnostic::error("wrong-direction", numbers.span, message));
        }
        return None;
    };
    let (mut channels, mut whole) = (Vec::new(), true);
    for range in &numbers.ranges {
        // A number that could not be read counts as 0, and that has been said.
        if range.first == 0 && scene.rig.broken.contains(name) {
            whole = false;
            continue;
        }
        if range.first == 0 || range.last > lane.size {
            past.push(*range);
            whole = false;
            continue;
        }
        channels.extend(range.first..=range.last);
    }
    whole.then_some(channels)
}

fn spots(
    scene: &Scene,
    row: &Row<Input>,
    desk: Option<u32>,
    count: Option<usize>,
    found: &mut Vec<Diagnostic>,
) -> Option<Vec<Spot>> {
    let node = &row.node.row;
    if let Some((from, span)) = attrs::from(&node.attrs) {
        let points = scene.rig.points(from, Asked::Plug, desk, found)?;
        if let Some(count) = count
            && points.len() != count
        {
            found.push(unequal(&node.name.value, count, points.len(), span));
            return None;
        }
        return Some(points.into_iter().map(|point| plugged(scene, point)).collect());
    }
    let count = count.unwrap_or(1);
    if let Some((device, _)) = attrs::find(&node.attrs, |kind| match kind {
        crate::syntax::ast::AttrKind::FromAny(device) => Some(device),
        _ => None,
    }) {
        let on = match device {
            None => None,
            Some(name) => Some(scene.rig.lane_of(name, Asked::Plug, desk, found)?),
        };
        let open: Vec<Point> = anywhere::sockets_of(scene, on);
        return Some(vec![Spot::Any(open); count]);
    }
    Some(vec![Spot::Nowhere; count])
}

fn plugged(scene: &Scene, point: Point) -> Spot {
    let origin = scene
        .rig
        .lane_at(point)
        .is_some_and(|lane| matches!(lane.kind, crate::rig::LaneKind::Bank(crate::plan::Role::Origin)));
    if origin { Spot::Origin(point) } else { Spot::Socket(point) }
}

fn unequal(name: &str, channels: usize, points: usize, span: Span) -> Diagnostic {
    let message = format!("`{name}` has {} and {}", counted(channels, "channel"), counted(points, "socket"));
    Diagnostic::error("lists-unequal", span, message).help("name one socket for each channel, in order")
}

fn channels_once(scene: &Scene, readings: &[Reading], found: &mut Vec<Diagnostic>) {
    let mut taken: BTreeMap<(u32, u32), &Reading> = BTreeMap::new();
    for reading in readings {
        let Some(desk) = reading.desk else { continue };
        for channel in &reading.channels {
            let Some(first) = taken.insert((desk, *channel), reading) else { continue };
            let (name, other) = (&reading.row.node.row.name.value, &first.row.node.row.name.value);
            let message = format!(
                "channel {channel} of `{}` is taken twice: by `{other}` and by `{name}`",
                scene.rig.device_name(desk)
            );
            found.push(
                Diagnostic::error("channel-used-twice", numbers_span(reading), message)
                    .label(numbers_span(first), format!("`{other}` has it here"))
                    .help_with(Vacancy::Channel, "give one of them another channel")
                    .about(name.clone()),
            );
            break;
        }
    }
}

fn numbers_span(reading: &Reading) -> Span {
    let row = &reading.row.node.row;
    row.channels.as_ref().map_or(row.name.span, |numbers| numbers.span)
}

fn declare(scene: &mut Scene, reading: &Reading, found: &mut Vec<Diagnostic>) {
    let row = &reading.row.node.row;
    let own =
        reading.row.act.as_ref().map_or_else(|| row.name.value.clone(), |act| format!("{act}.{}", row.name.value));
    let fact = scene.add_row(fact(reading, RowKind::Input));
    let Some(spots) = &reading.spots else {
        scene.by_name.insert(own, Vec::new());
        return;
    };
    let stereo = attrs::stereo(&row.attrs);
    let count = spots.len();
    if let Some(span) = stereo
        && count != 2
    {
        let message = format!("`{}` is stereo and has {}", row.name.value, counted(count, "channel"));
        found.push(Diagnostic::error("stereo-needs-two", span, message).help("name two channels and two sockets"));
    }
    let labels = attrs::labels(&row.attrs).map(|(labels, _)| labels.as_slice()).unwrap_or_default();
    found.extend(labels::of_one_side(labels, count, &row.name.value));
    let mic = mic(scene, reading, found);
    let via = via(scene, reading, found);
    // Of a row that has one of its channels with another, which has been told, no channel is wanted.
    let shared = |desk: u32| reading.channels.iter().any(|channel| is_taken(scene, desk, *channel));
    let desk = reading.desk.filter(|desk| !shared(*desk));
    let mut whole = Vec::new();
    for (index, spot) in spots.iter().enumerate() {
        let part = part_name(index, count, stereo.is_some());
        let name = part.as_ref().map_or_else(|| own.clone(), |part| format!("{own}.{part}"));
        let source = Source {
            label: label(reading, index, part.as_deref()),
            name: name.clone(),
            row: fact,
            desk: reading.desk,
            mic: mic.clone(),
            mic_said: attrs::mic(&row.attrs).map(|(name, _)| name.clone()),
            stand: attrs::stand(&row.attrs).map(|(stand, _)| stand.value),
            spot: spot.clone(),
            phantom: attrs::phantom(&row.attrs),
            phantom_by: attrs::phantom(&row.attrs).map(|span| At::new(reading.desk, span)).into_iter().collect(),
            pad: attrs::pad(&row.attrs),
            stated: stated(reading).into_iter().collect(),
            polarity_inverted: attrs::polarity_inverted(&row.attrs).is_some(),
            ears_only: attrs::ears_only(&row.attrs).is_some(),
            data: attrs::data(&row.attrs).is_some() || mic.as_ref().is_some_and(|mic| mic.kind.data),
            talkback: mic.as_ref().is_some_and(|mic| mic.kind.talkback),
            spare: attrs::spare(&row.attrs).is_some(),
            spare_for: None,
            pickup: attrs::pickup(&row.attrs).map(|(pickup, _)| pickup.clone()),
            lifted: attrs::lifted(&row.attrs),
            level_db_spl: attrs::level(&row.attrs).map(|(level, _)| level.value.number),
            stereo: stereo.is_some(),
            via,
            remarks: remarks(&row.attrs),
            again: Vec::new(),
        };
        let at = scene.sources.len();
        scene.sources.push(source);
        whole.push(at);
        if part.is_some() {
            scene.by_name.insert(name, vec![at]);
        }
        if let (Some(desk), Some(channel)) = (desk, reading.channels.get(index)) {
            want_channel(scene, desk, *channel, at, via, fact);
        }
    }
    scene.by_name.insert(own, whole);
    if spots.contains(&Spot::Nowhere) {
        nowhere(scene, reading, found);
    }
}

/// A row that says what it is and not where it plugs in. A spare channel need not say it; of a row that could
/// not be read whole, what is missing may stand there.
fn nowhere(scene: &Scene, reading: &Reading, found: &mut Vec<Diagnostic>) {
    let row = &reading.row.node.row;
    let name = &row.name.value;
    if attrs::spare(&row.attrs).is_some() || scene.rig.broken.contains(name) {
        return;
    }
    // A microphone may have been changed elsewhere.
    let mic = attrs::mic(&row.attrs).filter(|(mic, _)| row.span.holds(mic.span));
    let span = mic.map_or(row.name.span, |(mic, _)| row.name.span.to(mic.span));
    let message = format!("`{name}` plugs in nowhere: its row has no `from`");
    found.push(Diagnostic::error("source-nowhere", span, message).about(name.clone()));
}

fn fact(reading: &Reading, kind: RowKind) -> RowFact {
    let row = &reading.row.node.row;
    RowFact {
        name: row.name.value.clone(),
        span: row.span,
        priority: attrs::priority(&row.attrs).map_or(Priority::Should, |(priority, _)| priority.value),
        kind,
        place: attrs::from(&row.attrs).map(|(_, span)| span),
        numbers: row.channels.as_ref().map(|numbers| numbers.span),
        desk: reading.desk,
    }
}

/// Gain and pad that a row states.
fn stated(reading: &Reading) -> Option<Stated> {
    let attrs = &reading.row.node.row.attrs;
    let gain_db = attrs::gain(attrs).map(|(gain, span)| At::new(gain.value.number, span));
    let pad = attrs::pad(attrs);
    (gain_db.is_some() || pad.is_some()).then_some(Stated { desk: reading.desk, gain_db, pad })
}

fn part_name(index: usize, count: usize, stereo: bool) -> Option<String> {
    match (count, stereo, index) {
        (1, _, _) => None,
        (2, true, 0) => Some("left".to_string()),
        (2, true, _) => Some("right".to_string()),
        _ => Some((index + 1).to_string()),
    }
}

/// The label said for this part, or one made from the name.
fn label(reading: &Reading, index: usize, part: Option<&str>) -> String {
    let row = &reading.row.node.row;
    let said = attrs::labels(&row.attrs).map(|(labels, _)| labels.as_slice()).unwrap_or_default();
    let tail = match part {
        Some("left") => " L".to_string(),
        Some("right") => " R".to_string(),
        Some(number) => format!(" {number}"),
        None => String::new(),
    };
    labels::said(said, index, &tail).unwrap_or_else(|| format!("{}{tail}", from_name(&row.name.value)))
}

/// `kick-in` as a strip shows it: `Kick In`.
pub(super) fn from_name(name: &str) -> String {
    let word = |word: &str| {
        let mut letters = word.chars();
        letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
    };
    name.split(['-', '_']).map(word).collect::<Vec<_>>().join(" ")
}

fn mic(scene: &Scene, reading: &Reading, found: &mut Vec<Diagnostic>) -> Option<MicFact> {
    let (name, _) = attrs::mic(&reading.row.node.row.attrs)?;
    let fact = scene.rig.library.mic(&name.value);
    if fact.is_none() && !scene.rig.broken.contains(&name.value) {
        let message = format!("no microphone or DI is called `{}`", name.value);
        let problem = Diagnostic::unknown(Sort::Mic, name.value.clone(), name.span, message);
        let row_name = &reading.row.node.row.name.value;
        found.push(if let Some(help) = crate::syntax::mic_meant(&name.value) {
            problem.help(help)
        } else if scene.rig.library.mic(row_name).is_some() {
            problem.help(format!("the name stands before the microphone: `{} {row_name}`", name.value))
        } else {
            let kinds = "use a kind such as `dynamic` or `condenser`, or declare it: `mic NAME { kind dynamic }`";
            problem.near_or(name.span, nearest(&name.value, scene.rig.library.mic_names()), kinds)
        });
    }
    fact
}

fn want_channel(scene: &mut Scene, desk: u32, channel: u32, source: usize, via: Option<(u32, u32)>, row: usize) {
    let lane = scene.rig.model(desk).and_then(|model| model.bank("channel")).and_then(|lane| u32::try_from(lane).ok());
    let somewhere = scene.sources.get(source).is_some_and(|source| source.spot != Spot::Nowhere);
    if let Some(lane) = lane
        && somewhere
    {
        let end = Point { device: desk, lane, number: channel };
        // A channel taken twice has been reported; one cause, one message.
        if !scene.channels.insert(end) {
            return;
        }
        scene.wants.push(Want { end, what: Target::Source(source), via, kind: WantKind::Channel, row });
    }
}

fn is_taken(scene: &Scene, desk: u32, number: u32) -> bool {
    let lane = scene.rig.model(desk).and_then(|model| model.bank("channel")).and_then(|lane| u32::try_from(lane).ok());
    lane.is_some_and(|lane| scene.channels.contains(&Point { device: desk, lane, number }))
}

/// The bank that a row's signals must pass: `via split.iso-a`.
fn via(scene: &Scene, reading: &Reading, found: &mut Vec<Diagnostic>) -> Via {
    let (name, _) = attrs::via(&reading.row.node.row.attrs)?;
    scene.rig.lane_of(name, Asked::Fed, reading.desk, found)
}
