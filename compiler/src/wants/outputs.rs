//! Output rows and personal-monitor feeds: which mix must leave where, and what a mix carries.

use super::{
    Mix, Output, Personal, Replaced, RowFact, RowKind, Scene, Source, Speaker, Spot, Target, Use, Want, WantKind,
    labels,
};
use crate::diagnostics::{Diagnostic, Sort, Vacancy, counted};
use crate::plan::Role;
use crate::project::{self, Patch, Row, attrs};
use crate::rig::{Asked, LaneKind, Point, beyond, remarks};
use crate::source::Span;
use crate::syntax::ast::{DeviceWord, Dotted, Numbers, Priority, Sources, Term, Terms};
use std::collections::{BTreeMap, BTreeSet};

struct Reading<'a> {
    row: &'a Row<project::Output>,
    desk: Option<u32>,
    from: Vec<Point>,
    to: Vec<Vec<Point>>,
}

pub fn read(scene: &mut Scene, patch: &Patch, found: &mut Vec<Diagnostic>) {
    let mut readings: Vec<Reading> = patch.outputs.iter().filter_map(|row| reading(scene, row, found)).collect();
    readings.sort_by(|a, b| (&a.from, &a.to, a.row.span).cmp(&(&b.from, &b.to, b.row.span)));
    replace(scene, &mut readings);
    let mut taken: BTreeMap<Point, (String, Span)> = BTreeMap::new();
    for reading in &readings {
        output(scene, reading, &mut taken, found);
    }
    usual_contents(scene);
}

fn reading<'a>(scene: &Scene, row: &'a Row<project::Output>, found: &mut Vec<Diagnostic>) -> Option<Reading<'a>> {
    let node = &row.node.row;
    let desk = scene.desk_of_block(row.node.desk.as_ref(), row.span, found)?;
    if scene.rig.model_missing(desk) {
        return None;
    }
    let bank = Dotted { parts: vec![node.bank.clone()], span: node.bank.span };
    let terms = node.numbers.ranges.iter().enumerate().map(|(index, range)| Term {
        name: (index == 0).then(|| bank.clone()),
        range: Some(*range),
        span: range.span,
    });
    let list = Terms { terms: terms.collect(), span: node.numbers.span };
    // The row's bank is the desk's own: a device of that name is not meant.
    if scene.rig.lane_named(desk, &node.bank.value, crate::rig::Side::Arrives).is_none() {
        let before = found.len();
        let _ = scene.rig.lane_of(&bank, Asked::Feeds, Some(desk), found);
        if let (Some(word), Some(told)) = (crate::syntax::bank_meant(&node.bank.value), found.get_mut(before)) {
            told.help = vec![format!("the word for it here is `{word}`: `{word} 1 to …`")];
            told.fixes.clear();
        }
        if scene.rig.device_named(&node.bank.value).is_some() {
            let message = format!("`{}` has no bank called `{}`", scene.rig.device_name(desk), node.bank.value);
            let part = format!("{}.{}", scene.rig.device_name(desk), node.bank.value);
            found.push(
                Diagnostic::unknown(Sort::Part, part, node.bank.span, message).help("begin with a mix: `mix 1 to …`"),
            );
        }
        return None;
    }
    let from = scene.rig.points(&list, Asked::Feeds, Some(desk), found)?;
    let (lists, _) = attrs::to(&node.attrs)?;
    let mut to = Vec::new();
    for list in lists {
        let points = scene.rig.points(list, Asked::Output, Some(desk), found)?;
        if points.len() != from.len() {
            let (outputs, sockets) = (counted(from.len(), "output"), counted(points.len(), "socket"));
            let message = format!("`{}` is {outputs} and goes to {sockets}", name_of(row));
            found.push(
                Diagnostic::error("lists-unequal", list.span, message)
                    .help("name one socket for each; `and` starts another full list"),
            );
            return None;
        }
        to.push(points);
    }
    Some(Reading { row, desk: Some(desk), from, to })
}

pub(super) fn name_of(row: &Row<project::Output>) -> String {
    let node = &row.node.row;
    let numbers: Vec<String> = node
        .numbers
        .ranges
        .iter()
        .map(|range| {
            if range.first == range.last { range.first.to_string() } else { format!("{}-{}", range.first, range.last) }
        })
        .collect();
    format!("{} {}", node.bank.value, numbers.join(", "))
}

/// An act's row for a mix, or on a socket, takes the place of the house's.
fn replace(scene: &mut Scene, readings: &mut Vec<Reading>) {
    let points =
        |reading: &Reading| -> Vec<Point> { reading.from.iter().chain(reading.to.iter().flatten()).copied().collect() };
    let mut own: BTreeMap<Point, Replaced> = BTreeMap::new();
    for reading in readings.iter() {
        let Some(act) = &reading.row.act else { continue };
        let (by, at) = (format!("{act}.{}", name_of(reading.row)), reading.row.node.row.span);
        for point in points(reading) {
            let replaced = Replaced { name: String::new(), row: at, source: false, by: by.clone(), at };
            own.entry(point).or_insert(replaced);
        }
    }
    readings.retain(|reading| {
        let by = points(reading).into_iter().find_map(|point| own.get(&point)).filter(|_| reading.row.act.is_none());
        let gone = by.map(|by| Replaced { name: name_of(reading.row), row: reading.row.node.row.span, ..by.clone() });
        let stays = gone.is_none();
        scene.rows_replaced.extend(gone);
        stays
    });
}

fn output(
    scene: &mut Scene,
    reading: &Reading,
    taken: &mut BTreeMap<Point, (String, Span)>,
    found: &mut Vec<Diagnostic>,
) {
    let node = &reading.row.node.row;
    let name = name_of(reading.row);
    let place = attrs::to(&node.attrs).map(|(_, span)| span);
    let row = scene.add_row(RowFact {
        name: name.clone(),
        span: node.span,
        priority: attrs::priority(&node.attrs).map_or(Priority::Should, |(priority, _)| priority.value),
        kind: RowKind::Output,
        place,
        numbers: Some(node.numbers.span),
        desk: reading.desk,
    });
    let used_as = used_as(node.attrs.as_slice(), found);
    let stereo = attrs::stereo(&node.attrs).is_some();
    let labels = attrs::labels(&node.attrs).map(|(labels, _)| labels.as_slice()).unwrap_or_default();
    found.extend(labels::of_one_side(labels, reading.from.len(), &name));
    // A main is left and right by nature; any other pair is one only where the row says so.
    let pair = stereo || node.bank.value == "main";
    for (index, from) in reading.from.iter().enumerate() {
        let tail = match (reading.from.len(), index) {
            (1, _) => String::new(),
            (2, 0) if pair => " L".to_string(),
            (2, _) if pair => " R".to_string(),
            _ => format!(" {}", index + 1),
        };
        let label = labels::said(labels, index, &tail);
        let speaker = Speaker::of(reading.row.act.as_ref());
        let lowest = reading.to.iter().filter_map(|list| list.get(index)).min().copied();
        contents(scene, *from, lowest.unwrap_or(*from), &node.attrs, label.clone(), speaker, found);
        for list in &reading.to {
            let Some(to) = list.get(index) else { continue };
            if let Some((other, first)) = taken.get(to) {
                let message =
                    format!("two outputs in one socket: `{other}` and `{name}` in `{}`", scene.rig.point_text(*to));
                found.push(
                    Diagnostic::error("socket-used-twice", place.unwrap_or(node.span), message)
                        .label(*first, format!("`{other}` has it here"))
                        .help_with(Vacancy::Move, "send one of them to another socket")
                        .about(name.clone()),
                );
                continue;
            }
            taken.insert(*to, (name.clone(), place.unwrap_or(node.span)));
            let remarks = remarks(&node.attrs);
            scene.outputs.push(Output { from: *from, to: *to, used_as, label: label.clone(), row, stereo, remarks });
            if from != to {
                scene.wants.push(Want { end: *to, what: Target::Point(*from), via: None, kind: WantKind::Output, row });
            }
        }
    }
}

fn used_as(attrs: &[crate::syntax::ast::Attr], found: &mut Vec<Diagnostic>) -> Option<Use> {
    let (word, span) = attrs::output_use(attrs)?;
    let used_as = Use::named(&word.value);
    if used_as.is_none() {
        let near = project::nearest(&word.value, super::OUTPUT_USES.iter().map(|(name, _)| *name));
        let message = format!("no use of an output is called `{}`", word.value);
        found.push(Diagnostic::unknown(Sort::Word, word.value.clone(), span, message).near(span, near));
    }
    used_as
}

/// Notes what the row says that this mix carries.
fn contents(
    scene: &mut Scene,
    point: Point,
    to: Point,
    attrs: &[crate::syntax::ast::Attr],
    label: Option<String>,
    speaker: Speaker,
    found: &mut Vec<Diagnostic>,
) {
    if !is_origin(scene, point) {
        return;
    }
    let said = attrs::of(attrs).map(|(sources, span)| (sources.clone(), span));
    let mut of = said.as_ref().map(|(sources, span)| (scene.inputs_meant(sources, speaker, found), *span));
    if let (Some((Sources::All { .. }, _)), Some((Some(of), _))) = (&said, &mut of) {
        let hears = heard_by(scene, point.device);
        of.retain(|source| hears.contains(source));
    }
    if let (Some((_, now)), Some(before)) = (&of, scene.mixes.get(&point).and_then(|mix| mix.said)) {
        let message = format!("two rows say what `{}` carries", scene.rig.point_text(point));
        found.push(
            Diagnostic::error("mix-said-twice", *now, message).label(before, "the first one").help("keep one `of`"),
        );
        return;
    }
    let unsaid = Mix { point, of: None, said: None, but: None, label: None, label_of: None, stereo: false };
    let mix = scene.mixes.entry(point).or_insert(unsaid);
    mix.stereo |= project::attrs::stereo(attrs).is_some();
    if let Some((of, span)) = of {
        mix.of = of;
        mix.said = Some(span);
        mix.but = match said {
            Some((Sources::All { but: None, .. }, _)) => Some(" but "),
            Some((Sources::All { but: Some(_), .. }, _)) => Some(", "),
            _ => None,
        };
    }
    // A mix that two rows send goes by the label of the first socket, whatever the order of rows.
    if label.is_some() && mix.label_of.is_none_or(|of| to < of) {
        mix.label = label;
        mix.label_of = Some(to);
    }
}

fn is_origin(scene: &Scene, point: Point) -> bool {
    scene.rig.lane_at(point).is_some_and(|lane| lane.kind == LaneKind::Bank(Role::Origin))
}

/// A main carries it without being told to.
fn for_everybody(source: &Source) -> bool {
    !(source.ears_only || source.data || source.talkback)
}

/// The sources on a desk's channels, and those for which its rows keep a channel free.
fn heard_by(scene: &Scene, desk: u32) -> BTreeSet<usize> {
    let heard = scene.wants.iter().filter(|want| want.kind == WantKind::Channel && want.end.device == desk);
    let heard = heard.filter_map(|want| match want.what {
        Target::Source(source) => Some(source),
        Target::Point(_) => None,
    });
    let free = scene.sources.iter().enumerate();
    let free = free.filter(|(_, source)| source.spot == Spot::Nowhere && source.desk == Some(desk));
    heard.chain(free.map(|(index, _)| index)).collect()
}

/// Without `of`, a main carries every input on its desk's channels that is not kept out of what it feeds,
/// and neither click, data nor talkback.
fn usual_contents(scene: &mut Scene) {
    let mains: Vec<Point> = scene
        .mixes
        .values()
        .filter(|mix| mix.said.is_none() && scene.rig.lane_at(mix.point).is_some_and(|lane| lane.name == "main"))
        .map(|mix| mix.point)
        .collect();
    if mains.is_empty() {
        return;
    }
    let mut listed: BTreeMap<u32, BTreeSet<usize>> = BTreeMap::new();
    for want in scene.wants.iter().filter(|want| want.kind == WantKind::Channel) {
        if let Target::Source(source) = want.what {
            listed.entry(want.end.device).or_default().insert(source);
        }
    }
    for main in mains {
        let uses: Vec<Use> = scene.outputs.iter().filter(|o| o.from == main).filter_map(|o| o.used_as).collect();
        let kept = |source: usize| {
            scene
                .kept
                .iter()
                .any(|kept| kept.source == source && kept.uses.iter().any(|used_as| uses.contains(used_as)))
        };
        let on_its_desk = listed.get(&main.device).into_iter().flatten().copied();
        let of = on_its_desk
            .filter(|source| !kept(*source) && scene.sources.get(*source).is_some_and(for_everybody))
            .collect();
        if let Some(mix) = scene.mixes.get_mut(&main) {
            mix.of = Some(of);
        }
    }
}

/// The numbered personal-monitor feeds.
pub fn read_personal(scene: &mut Scene, patch: &Patch, found: &mut Vec<Diagnostic>) {
    let mut readings = Vec::new();
    for row in &patch.personal {
        let Some(desk) = scene.desk_of_block(row.node.desk.as_ref(), row.span, found) else { continue };
        let Some(lane) = scene.rig.model(desk).and_then(|model| model.bank("personal")) else {
            if !scene.rig.model_missing(desk) {
                let message = format!("`{}` has no personal-monitor feeds", scene.rig.device_name(desk));
                found.push(
                    Diagnostic::error("wrong-direction", row.node.row.numbers.span, message)
                        .help("a model says them as a bank: `personal 1-16 inner end`"),
                );
            }
            continue;
        };
        let size = scene.rig.model(desk).and_then(|model| model.lane(lane)).map_or(0, |lane| lane.size);
        let numbers = feeds(scene.rig.device_name(desk), size, &row.node.row.numbers, found);
        let lane = u32::try_from(lane).unwrap_or(0);
        readings.push((row, desk, lane, numbers));
    }
    let own: BTreeSet<(u32, u32)> = readings
        .iter()
        .filter(|(row, ..)| row.act.is_some())
        .flat_map(|(_, desk, _, numbers)| numbers.iter().map(|number| (*desk, *number)))
        .collect();
    readings.retain(|(row, desk, _, numbers)| row.act.is_some() || !numbers.iter().any(|n| own.contains(&(*desk, *n))));
    let mut taken: BTreeMap<(u32, u32), Span> = BTreeMap::new();
    for (row, desk, lane, numbers) in readings {
        let node = &row.node.row;
        let speaker = Speaker::of(row.act.as_ref());
        let Some(targets) = scene.targets_in_place(&node.feeds, Some(desk), speaker, found) else { continue };
        if targets.len() != numbers.len() {
            if !targets.is_empty() && !numbers.is_empty() {
                let (feeds, signals) = (counted(numbers.len(), "personal feed"), counted(targets.len(), "signal"));
                let message = format!("the row names {feeds} and {signals}");
                found.push(
                    Diagnostic::error("lists-unequal", node.feeds.span, message).help("name one signal for each feed"),
                );
            }
            continue;
        }
        let fact = scene.add_row(RowFact {
            name: format!("personal {}", numbers.first().copied().unwrap_or(0)),
            span: node.span,
            priority: Priority::Should,
            kind: RowKind::Personal,
            place: Some(node.feeds.span),
            numbers: Some(node.numbers.span),
            desk: Some(desk),
        });
        for (number, what) in numbers.into_iter().zip(targets) {
            // A source that this act's rows replaced leaves its feed empty.
            let Some(what) = what else { continue };
            if let Target::Source(source) = what
                && let Some(source) = scene.source(source).filter(|source| source.spot == Spot::Nowhere)
            {
                // Of any other row it has been said.
                if source.spare {
                    found.push(nothing_to_feed(source, number, node.feeds.span));
                }
                continue;
            }
            if let Some(first) = taken.insert((desk, number), node.numbers.span) {
                let message = format!("personal feed {number} of `{}` is given twice", scene.rig.device_name(desk));
                found.push(
                    Diagnostic::error("channel-used-twice", node.numbers.span, message)
                        .label(first, "the first one")
                        .help_with(Vacancy::Feed, "give one of them another number"),
                );
                continue;
            }
            let end = Point { device: desk, lane, number };
            scene.wants.push(Want { end, what, via: None, kind: WantKind::Personal, row: fact });
            let stereo = attrs::stereo(&node.attrs).is_some();
            scene.personal.push(Personal { feed: end, of: what, stereo, remarks: remarks(&node.attrs) });
            for hub in hubs(scene, desk, number) {
                let what = Target::Point(end);
                scene.wants.push(Want { end: hub, what, via: None, kind: WantKind::Personal, row: fact });
            }
        }
    }
}

fn nothing_to_feed(source: &Source, number: u32, at: Span) -> Diagnostic {
    let name = &source.name;
    let message = format!("personal feed {number} wants `{name}`, whose channel is only kept free");
    Diagnostic::error("source-nowhere", at, message)
        .help(format!("add `from` and the socket to the row of `{name}`"))
        .about(name.clone())
}

/// The feeds that a row names, checked against the desk before they are expanded; none where any of them is
/// not there, which has been said.
fn feeds(desk: &str, size: u32, numbers: &Numbers, found: &mut Vec<Diagnostic>) -> Vec<u32> {
    let wrong: Vec<_> = numbers.ranges.iter().filter(|range| range.first == 0 || range.last > size).collect();
    for range in &wrong {
        let message = format!("`{desk}` has personal feeds 1-{size}; there is no {}", beyond(**range, size));
        found
            .push(Diagnostic::error("no-such-point", range.span, message).help(format!("use a feed from 1 to {size}")));
    }
    if !wrong.is_empty() {
        return Vec::new();
    }
    numbers.ranges.iter().flat_map(|range| range.first..=range.last).collect()
}

/// Feed n of every personal-monitor hub that hangs on a desk.
fn hubs(scene: &Scene, desk: u32, number: u32) -> Vec<Point> {
    let rig = &scene.rig;
    let feed = |device: u32| {
        let model = rig.model(device)?;
        let lane = model.lanes.iter().position(|lane| lane.kind == LaneKind::Bank(Role::Out))?;
        let there = number <= model.lane(lane)?.size && rig.first_desk(device) == Some(desk);
        there.then_some(Point { device, lane: u32::try_from(lane).ok()?, number })
    };
    let hubs = (0u32..).zip(&rig.devices).filter(|(_, device)| device.word == DeviceWord::Hub);
    hubs.filter_map(|(device, _)| feed(device)).collect()
}
