//! Input rows: sources and the channels that want them. An act's row takes the place of a house row on
//! the same channel or socket.

mod past;
mod replace;
mod spares;

use super::{RowFact, RowKind, Scene, Source, Speaker, Spot, Stated, Target, Want, WantKind, free, labels};
use crate::diagnostics::{Diagnostic, Edit, counted};
use crate::project::attrs;
use crate::project::{Input, Patch, Row, SameInputs, nearest};
use crate::rig::{ANY_SIGNAL, Asked, MicFact, Point};
use crate::source::{At, Span};
use crate::syntax::ast::{FeedVerdict, Numbers, Priority, Range};
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
    sockets_once(scene, found);
    let free = free_sockets(scene);
    settle_any(scene, &free);
    for reading in readings.iter().filter(|reading| !reading.declares) {
        again(scene, reading, found);
    }
    spares::read(scene, &readings, found);
    same_lists(scene, patch, &readings, found);
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
        let open: Vec<Point> = sockets_of(scene, on);
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

/// Sockets that a source may plug into, in the order of the walk: of one bank, or of all boxes and desks.
fn sockets_of(scene: &Scene, on: Option<(u32, u32)>) -> Vec<Point> {
    let mut points = Vec::new();
    for device in scene.rig.walk_order() {
        let Some(model) = scene.rig.model(device) else { continue };
        for (index, lane) in (0u32..).zip(&model.lanes) {
            let wanted = match on {
                Some(bank) => bank == (device, index),
                None => lane.is_preamp(),
            };
            let socket = matches!(lane.kind, crate::rig::LaneKind::Bank(crate::plan::Role::In));
            if wanted && socket {
                points.extend((1..=lane.size).map(|number| Point { device, lane: index, number }));
            }
        }
    }
    points
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
                    .help(free::ANOTHER_CHANNEL)
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
        };
        plug_fits(scene, &source, reading, found);
        let at = scene.sources.len();
        scene.sources.push(source);
        whole.push(at);
        if part.is_some() {
            scene.by_name.insert(name, vec![at]);
        }
        if let (Some(desk), Some(channel)) = (reading.desk, reading.channels.get(index)) {
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
        let mut problem =
            Diagnostic::error("unknown-name", name.span, format!("no microphone or DI is called `{}`", name.value));
        let row_name = &reading.row.node.row.name.value;
        problem = match nearest(&name.value, scene.rig.library.mic_names()) {
            _ if scene.rig.library.mic(row_name).is_some() => {
                problem.help(format!("the name stands before the microphone: `{} {row_name}`", name.value))
            }
            Some(near) => problem.help(format!("did you mean `{near}`?")).fix(
                format!("write `{near}`"),
                vec![Edit { span: name.span, text: near.to_string() }],
                false,
            ),
            None => {
                problem.help("use a kind such as `dynamic` or `condenser`, or declare it: `mic NAME { kind dynamic }`")
            }
        };
        found.push(problem);
    }
    fact
}

/// May this source plug into its socket?
fn plug_fits(scene: &Scene, source: &Source, reading: &Reading, found: &mut Vec<Diagnostic>) {
    let Spot::Socket(point) = source.spot else { return };
    let span = attrs::from(&reading.row.node.row.attrs).map_or(reading.row.span, |(_, span)| span);
    if let Some((why, said)) = scene.rig.device(point.device).and_then(|device| device.out_of_use.get(&point.number)) {
        let message =
            format!("`{}` plugs into `{}`, which is {}", source.name, scene.rig.point_text(point), not_for_use(why));
        found.push(
            Diagnostic::error("line-out-of-use", span, message)
                .label(*said, "said here")
                .help(super::free::TO_ANOTHER_LINE)
                .about(source.name.clone()),
        );
    }
    if let Some((from, run)) = scene.rig.brought_to(point) {
        let message = format!(
            "`{}` plugs into `{}`, where the line from `{}` ends",
            source.name,
            scene.rig.point_text(point),
            scene.rig.point_text(from)
        );
        let mut problem = Diagnostic::error("socket-used-twice", span, message).about(source.name.clone());
        if let Some(run) = scene.rig.runs.get(run) {
            problem = problem.label(run.span, "the lines are laid here");
        }
        found.push(problem.help(format!(
            "plug it in at the other end, `from {}`, or into a free socket",
            scene.rig.point_text(from)
        )));
    }
    if let Some(problem) = gain_fits(scene, source, point) {
        found.push(problem);
    }
    if let Some(problem) = level_fits(scene, source, point, span) {
        found.push(problem);
    }
}

fn not_for_use(why: &str) -> String {
    if why == "dead" { "dead".to_string() } else { format!("reserved for {why}") }
}

/// A stated gain lies within what the preamp can do.
fn gain_fits(scene: &Scene, source: &Source, plug: Point) -> Option<Diagnostic> {
    let stated = source.stated.first()?;
    let gain = stated.gain_db.as_ref()?;
    let preamps = crate::rig::preamps_of(&scene.rig, plug);
    let own = crate::rig::preamp_for(&scene.rig, stated.desk, &preamps)?;
    let (low, high) = scene.rig.lane_at(own)?.gain?;
    let fits = (low..=high).contains(&gain.value);
    (!fits).then(|| {
        let message =
            format!("`{}` turns from {low} dB to {high} dB, not to {} dB", scene.rig.point_text(own), gain.value);
        Diagnostic::error("gain-out-of-range", gain.span, message)
            .help(format!("state a gain from {low} dB to {high} dB"))
            .about(source.name.clone())
    })
}

fn level_fits(scene: &Scene, source: &Source, point: Point, span: Span) -> Option<Diagnostic> {
    let signal = &source.mic.as_ref()?.kind.signal;
    let lane = scene.rig.lane_at(point)?;
    if lane.signal == ANY_SIGNAL {
        return None;
    }
    let (verdict, why) = scene.rig.library.feed(signal, &lane.signal);
    let said =
        format!("`{}` gives {signal} level and `{}` takes {}", source.name, scene.rig.point_text(point), lane.signal);
    let message = why.map_or(said.clone(), |why| format!("{said}: {why}"));
    match verdict {
        FeedVerdict::Fine => None,
        FeedVerdict::Warn if source.pad.is_some() && (lane.pad || !lane.is_preamp()) => None,
        FeedVerdict::Warn => Some(
            Diagnostic::warning("level-mismatch", span, message)
                .help("add `pad`, or take it through a DI")
                .about(source.name.clone()),
        ),
        FeedVerdict::Error => Some(
            Diagnostic::error("kinds-do-not-join", span, message)
                .help("use a socket of its kind")
                .about(source.name.clone()),
        ),
    }
}

fn sockets_once(scene: &Scene, found: &mut Vec<Diagnostic>) {
    let mut taken: BTreeMap<Point, &Source> = BTreeMap::new();
    // Two rows that share sockets are told at the first of them.
    let mut told = BTreeSet::new();
    for source in &scene.sources {
        let (Spot::Socket(point) | Spot::Origin(point)) = &source.spot else { continue };
        let Some(first) = taken.insert(*point, source).filter(|first| told.insert((first.row, source.row))) else {
            continue;
        };
        let place = |source: &Source| scene.rows.get(source.row).map(|row| row.place.unwrap_or(row.span));
        let (Some(here), Some(there)) = (place(source), place(first)) else { continue };
        let message = format!(
            "two sources in one socket: `{}` and `{}` in `{}`",
            first.name,
            source.name,
            scene.rig.point_text(*point)
        );
        found.push(
            Diagnostic::error("socket-used-twice", here, message)
                .label(there, format!("`{}` plugs in here", first.name))
                .help(free::TO_A_FREE_SOCKET)
                .about(source.name.clone()),
        );
    }
}

fn free_sockets(scene: &Scene) -> BTreeSet<Point> {
    let taken: BTreeSet<Point> = scene
        .sources
        .iter()
        .filter_map(|source| if let Spot::Socket(point) = source.spot { Some(point) } else { None })
        .collect();
    let usable = |point: &Point| {
        !taken.contains(point)
            && scene.rig.brought_to(*point).is_none()
            && scene.rig.device(point.device).is_some_and(|device| !device.out_of_use.contains_key(&point.number))
    };
    sockets_of(scene, None).into_iter().chain(all_ins(scene)).filter(usable).collect()
}

fn all_ins(scene: &Scene) -> Vec<Point> {
    let open = scene.sources.iter().flat_map(|source| match &source.spot {
        Spot::Any(points) => points.clone(),
        _ => Vec::new(),
    });
    open.collect()
}

/// What an `any` may choose from: free sockets of a fitting kind, with phantom where it is asked for.
fn settle_any(scene: &mut Scene, free: &BTreeSet<Point>) {
    let rig = &scene.rig;
    for source in &mut scene.sources {
        let Spot::Any(points) = &mut source.spot else { continue };
        let signal = source.mic.as_ref().map(|mic| mic.kind.signal.as_str());
        let phantom = source.phantom.is_some();
        points.retain(|point| {
            let Some(lane) = rig.lane_at(*point) else { return false };
            let fits = signal.is_none_or(|signal| {
                lane.signal == ANY_SIGNAL || rig.library.feed(signal, &lane.signal).0 != FeedVerdict::Error
            });
            let supplied = || {
                let direct = |preamp: &crate::rig::Preamp| {
                    !preamp.isolated && rig.lane_at(preamp.socket).is_some_and(|lane| lane.phantom > 0)
                };
                crate::rig::preamps_of(rig, *point).iter().any(direct)
            };
            free.contains(point) && fits && (!phantom || supplied())
        });
    }
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

/// The bank that a row's signals must pass: `via split.iso-a`.
fn via(scene: &Scene, reading: &Reading, found: &mut Vec<Diagnostic>) -> Via {
    let (name, _) = attrs::via(&reading.row.node.row.attrs)?;
    scene.rig.lane_of(name, Asked::Fed, reading.desk, found)
}

/// A second want for a declared source: a double patch, another desk's list, another leg of a split.
fn again(scene: &mut Scene, reading: &Reading, found: &mut Vec<Diagnostic>) {
    let row = &reading.row.node.row;
    let speaker = Speaker::of(reading.row.act.as_ref());
    let Some(sources) = scene.sources_named(&row.name.value, speaker).map(<[usize]>::to_vec) else {
        let gone = scene.replaced.contains_key(&row.name.value);
        let told = scene.rig.broken.contains(&row.name.value) || scene.part_of_nothing(&row.name.value, speaker);
        if (gone && speaker == Speaker::House) || told {
            return;
        }
        if gone {
            let message = format!("`{}` is replaced in this act, so no channel can have it", row.name.value);
            found.push(
                Diagnostic::error("source-replaced-in-act", row.name.span, message)
                    .help("name the act's own source, or move the row that replaces it to a free channel and socket"),
            );
            return;
        }
        if let Some(problem) = scene.of_another_act(&row.name.value, row.name.span, speaker) {
            found.push(problem);
            return;
        }
        let message = format!("no row says what `{}` is or where it plugs in", row.name.value);
        let mut problem = Diagnostic::error("unknown-name", row.name.span, message);
        problem = match nearest(&row.name.value, scene.by_name.keys().map(String::as_str)) {
            Some(near) => problem.help(format!("did you mean `{near}`?")).fix(
                format!("write `{near}`"),
                vec![Edit { span: row.name.span, text: near.to_string() }],
                false,
            ),
            None => problem.help("add a microphone or DI and `from` with the socket"),
        };
        found.push(problem);
        return;
    };
    let via = via(scene, reading, found);
    if via.is_none() && attrs::via(&row.attrs).is_some() {
        return;
    }
    let fact = scene.add_row(fact(reading, RowKind::Again));
    if let Some(stated) = stated(reading) {
        state_again(scene, reading, &sources, &stated, found);
    }
    if let Some(span) = attrs::phantom(&row.attrs) {
        for source in &sources {
            if let Some(source) = scene.sources.get_mut(*source) {
                source.phantom = source.phantom.or(Some(span));
                source.phantom_by.push(At::new(reading.desk, span));
            }
        }
    }
    if !reading.channels.is_empty() && reading.channels.len() != sources.len() && !sources.is_empty() {
        found.push(unequal_again(&row.name.value, reading.channels.len(), sources.len(), numbers_span(reading)));
        return;
    }
    if let Some(desk) = reading.desk {
        for (channel, source) in reading.channels.iter().zip(sources) {
            want_channel(scene, desk, *channel, source, via, fact);
        }
    }
}

/// A second row may state gain and pad for its own desk's preamp, but not what is stated already.
fn state_again(scene: &mut Scene, reading: &Reading, sources: &[usize], stated: &Stated, found: &mut Vec<Diagnostic>) {
    for index in sources {
        let Some(source) = scene.sources.get(*index) else { continue };
        let crate::wants::Spot::Socket(plug) = source.spot else {
            if let Some(source) = scene.sources.get_mut(*index) {
                source.stated.push(stated.clone());
            }
            continue;
        };
        let preamps = crate::rig::preamps_of(&scene.rig, plug);
        let own = crate::rig::preamp_for(&scene.rig, stated.desk, &preamps);
        let both = |other: &&Stated| {
            (other.gain_db.is_some() && stated.gain_db.is_some()) || (other.pad.is_some() && stated.pad.is_some())
        };
        let here = |other: &&Stated| crate::rig::preamp_for(&scene.rig, other.desk, &preamps) == own;
        let first = source.stated.iter().filter(both).find(here);
        let place = |stated: &Stated| stated.gain_db.as_ref().map(|gain| gain.span).or(stated.pad);
        if let (Some(first), Some(here)) = (first.and_then(place), place(stated)) {
            let message = format!("the gain of `{}` is stated twice for one preamp", source.name);
            found.push(
                Diagnostic::error("gain-said-twice", here, message)
                    .label(first, "the first one")
                    .help("a shared preamp has one gain: keep the owner's, and trim on the other desk")
                    .about(reading.row.node.row.name.value.clone()),
            );
            return;
        }
        if let Some(source) = scene.sources.get_mut(*index) {
            source.stated.push(stated.clone());
        }
    }
}

fn unequal_again(name: &str, channels: usize, sources: usize, span: Span) -> Diagnostic {
    let message = format!("`{name}` is {} and gets {}", counted(sources, "source"), counted(channels, "channel"));
    Diagnostic::error("lists-unequal", span, message)
        .help(format!("name {}, or one side: `{name}.left`", counted(sources, "channel")))
}

/// `inputs monitors same as foh`: every channel of the other list again, but where a row of its own stands.
fn same_lists(scene: &mut Scene, patch: &Patch, readings: &[Reading], found: &mut Vec<Diagnostic>) {
    for row in in_turn(patch, found) {
        let desk = scene.desk_of_block(Some(&row.node.desk), row.span, found);
        let of = scene.desk_of_block(Some(&row.node.of), row.span, found);
        let (Some(desk), Some(of)) = (desk, of) else { continue };
        let own: BTreeSet<u32> =
            readings.iter().filter(|r| r.desk == Some(desk)).flat_map(|r| r.channels.clone()).collect();
        let size =
            scene.rig.model(desk).and_then(|model| model.lane(model.bank("channel")?)).map_or(0, |lane| lane.size);
        let copied: Vec<(u32, usize, Via)> = scene
            .wants
            .iter()
            .filter(|want| want.kind == WantKind::Channel && want.end.device == of)
            .filter_map(|want| match want.what {
                Target::Source(source) => Some((want.end.number, source, want.via)),
                Target::Point(_) => None,
            })
            .collect();
        let fact = scene.plain_row(&format!("inputs {}", row.node.desk.value), row.span, RowKind::Again);
        for (channel, source, via) in copied {
            if own.contains(&channel) {
                continue;
            }
            if channel > size {
                let message = format!(
                    "`{}` has {size} channels, and `{}` has a channel {channel}",
                    row.node.desk.value, row.node.of.value
                );
                found.push(Diagnostic::error("no-such-point", row.span, message).help("list the rows that it needs"));
                break;
            }
            want_channel(scene, desk, channel, source, via, fact);
        }
    }
}

/// Lists that repeat another, each after the list that it repeats; a ring of them is reported.
fn in_turn<'a>(patch: &'a Patch, found: &mut Vec<Diagnostic>) -> Vec<&'a Row<SameInputs>> {
    let mut left: Vec<&Row<SameInputs>> = patch.same_inputs.iter().collect();
    left.sort_by(|a, b| (&a.node.desk.value, &a.node.of.value).cmp(&(&b.node.desk.value, &b.node.of.value)));
    let mut ordered = Vec::new();
    while !left.is_empty() {
        let waits = |row: &Row<SameInputs>| left.iter().any(|other| other.node.desk.value == row.node.of.value);
        let (later, now): (Vec<_>, Vec<_>) = left.iter().copied().partition(|row| waits(row));
        if now.is_empty() {
            for row in later {
                let message =
                    format!("the list of `{}` repeats itself, by way of `{}`", row.node.desk.value, row.node.of.value);
                found.push(
                    Diagnostic::error("list-repeats-itself", row.span, message).help("write one of the lists out"),
                );
            }
            break;
        }
        ordered.extend(now);
        left = later;
    }
    ordered
}
