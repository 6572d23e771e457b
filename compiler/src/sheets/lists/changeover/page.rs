//! The page of one changeover: only what moves, box by box, in an order that is safe. What stays stands behind.

use super::super::super::sheet::{Cell, Look, Part, Row, Sheet, Sign, Table, Weight};
use super::super::whole::{Whole, act_title, times};
use super::super::words::{local, never_phantom, phantom_on, stand};
use super::super::{cautions, reader, reminders};
use super::steps::{Do, Step, Turn, same};
use crate::plan::{Plug, Points, point, ranges};
use rustc_hash::FxHashSet;
use std::collections::BTreeSet;

pub(super) fn sheet(whole: &Whole, turn: &Turn) -> Sheet {
    let act = turn.act;
    let tables = [
        off(whole, turn),
        unplug_first(whole, turn),
        unplug(whole, turn),
        plug(whole, turn),
        on(whole, turn),
        brings(whole, turn),
    ];
    let filled = |table: &Table| !table.rows.is_empty();
    let tables = tables.into_iter().filter(filled).map(Part::Table);
    let stays = Some(stays(whole, turn)).filter(filled).map(Part::Table);
    let last = reminders::to_tick("Last", &[reminders::BEFORE_PACKS]);
    Sheet {
        slug: format!("changeover-{}", act.act),
        title: format!("Changeover to {}", act_title(act)),
        reader: reader::STAGE,
        act: Some(act.act.clone()),
        large: true,
        cautions: vec![cautions::PHANTOM, cautions::HEARING],
        parts: std::iter::once(Part::Words(when(turn))).chain(tables).chain([last]).chain(stays).collect(),
    }
}

/// `18:10 to 19:00. After Kestrel Field. 30 minutes.`
fn when(turn: &Turn) -> String {
    let before: Vec<String> = turn.changeover.before.iter().map(|act| act_title(act)).collect();
    let after = match before.as_slice() {
        [] => "The first of the day.".to_string(),
        [one] => format!("After {one}."),
        many => format!("No time is said: any of {} may have played before.", many.join(", ")),
    };
    let times = Some(times(turn.act)).filter(|times| !times.is_empty()).map(|times| format!("{times}."));
    let minutes = turn.minutes().map(|minutes| format!("{minutes} minutes."));
    [times, Some(after), minutes].into_iter().flatten().collect::<Vec<_>>().join(" ")
}

/// Device, bank, what to do, the acts that had it on.
type Bank<'a> = (&'a str, &'a str, &'a str, String);

/// What the act has not on, and what is plugged anew while the act has it on: a bank a row.
fn off(whole: &Whole, turn: &Turn) -> Table {
    let mut banks: Vec<(Bank, BTreeSet<u32>)> = Vec::new();
    let mut listed: FxHashSet<(&str, &str, u32)> = FxHashSet::default();
    let mut push = |(device, bank, number), word, acts: &BTreeSet<&str>| {
        if !listed.insert((device, bank, number)) {
            return;
        }
        let key = (device, bank, word, whole.acts_called(acts));
        match banks.iter_mut().find(|(known, _)| *known == key) {
            Some((_, numbers)) => drop(numbers.insert(number)),
            None => banks.push((key, BTreeSet::from([number]))),
        }
    };
    for off in &turn.changeover.off {
        push((off.device, off.bank, off.number), "off", &off.acts);
    }
    for (acts, gone) in [Do::Unplug, Do::Plug].into_iter().flat_map(|what| turn.to_do(what)).flat_map(|step| &step.gone)
    {
        if let Some(at) = gone.phantom_path.last().and_then(|preamp| Points::read(preamp)) {
            push((at.device, at.bank, at.first), "off while plugs change", acts);
        }
    }
    let columns = [("socket", Look::Key), ("48 V", Look::Plain), ("was on in", Look::Plain), ("off", Look::Tick)];
    let mut table = Table::new(columns).titled("First: mutes on, 48 V off, wait");
    for ((device, bank, word, acts), numbers) in banks {
        let cells = [format!("{} {bank} {}", whole.called(device), ranges(&numbers)), word.to_string(), acts];
        table.push(Row::of(cells.map(Cell::from)).at(numbers.iter().map(|number| point(device, bank, *number))));
    }
    table
}

fn unplug_first(whole: &Whole, turn: &Turn) -> Table {
    let columns = [("socket", Look::Key), ("unplug first", Look::Key), ("then", Look::Plain), ("gone", Look::Tick)];
    let mut table = Table::new(columns).titled("Before any 48 V goes on: what it can break is gone");
    for step in &turn.changeover.unplug {
        let at = point(step.device, step.bank, step.number);
        let then = step.next.map(|next| format!("plug {}, then 48 V", whole.label(next))).unwrap_or_default();
        let gone = Cell { text: format!("{} (NEVER 48 V)", whole.label(step.gone)), sign: Some(Sign::NeverPhantom) };
        table.push(Row::of([whole.spot(&at).into(), gone, then.into()]).at([at]).weighing(Weight::Danger));
    }
    table
}

/// Rows by box, under its name and its place.
fn by_box<'s, 'p: 's>(
    whole: &Whole,
    table: &mut Table,
    steps: impl Iterator<Item = &'s Step<'p>>,
    row: impl Fn(&Step<'p>) -> Row,
) {
    let mut boxes: Vec<(&str, Vec<Row>)> = Vec::new();
    for step in steps {
        let device = Points::read(step.at).map_or(step.at, |at| at.device);
        let row = row(step).at([step.at.to_string()]);
        match boxes.iter_mut().find(|(known, _)| *known == device) {
            Some((_, rows)) => rows.push(row),
            None => boxes.push((device, vec![row])),
        }
    }
    for (device, rows) in boxes {
        let place = whole.devices().find(|one| one.name == device).and_then(|one| one.remarks.place.clone());
        let name = std::iter::once(whole.called(device)).chain(place).collect::<Vec<_>>().join(", ");
        table.push(Row::group(name));
        rows.into_iter().for_each(|row| table.push(row));
    }
}

/// `in 3`, under the name of its box.
fn socket(step: &Step) -> String {
    Points::read(step.at).map_or_else(|| step.at.to_string(), |at| local(&at))
}

fn unplug(whole: &Whole, turn: &Turn) -> Table {
    let columns = [("socket", Look::Key), ("what goes", Look::Key), ("mic or DI", Look::Plain), ("then", Look::Plain)];
    let mut table = Table::new(columns.into_iter().chain([("gone", Look::Tick)])).titled("Then: unplug");
    let many = turn.changeover.before.len() > 1;
    by_box(whole, &mut table, turn.to_do(Do::Unplug), |step| {
        let (mut what, mut mics, mut then) = (Vec::new(), Vec::new(), Vec::new());
        for (acts, gone) in &step.gone {
            let acts = if many { format!(" ({})", whole.acts_called(acts)) } else { String::new() };
            what.push(format!("{}{acts}", whole.label(&gone.source)));
            mics.extend(gone.mic.clone());
            let next = turn.act.plugs.iter().find(|plug| plug.source == gone.source);
            then.extend(next.map(|next| format!("moves to {}", whole.spot(&next.at))));
        }
        mics.dedup();
        Row::of([socket(step).into(), what.join(", ").into(), mics.join(", ").into(), then.join(", ").into()])
    });
    table.without_empty_columns()
}

fn plug(whole: &Whole, turn: &Turn) -> Table {
    let columns = columns().into_iter().chain([("instead of", Look::Plain), ("done", Look::Tick)]);
    let mut table = Table::new(columns).titled("Then: plug");
    by_box(whole, &mut table, turn.to_do(Do::Plug), |step| {
        let row = standing(whole, turn, step);
        Row { cells: row.cells.into_iter().chain([instead_of(whole, turn, step).into()]).collect(), ..row }
    });
    table.without_empty_columns()
}

/// What an act before had there too, for who looks for something that is not right.
fn stays(whole: &Whole, turn: &Turn) -> Table {
    let mut table = Table::new(columns()).titled("Stays as it is");
    by_box(whole, &mut table, turn.to_do(Do::Nothing), |step| standing(whole, turn, step).weighing(Weight::Quiet));
    table.without_empty_columns()
}

fn columns() -> [(&'static str, Look); 6] {
    [
        ("socket", Look::Key),
        ("source", Look::Key),
        ("mic or DI", Look::Plain),
        ("stand", Look::Plain),
        ("place", Look::Plain),
        ("48 V", Look::Plain),
    ]
}

/// What the act has at a socket.
fn standing(whole: &Whole, turn: &Turn, step: &Step) -> Row {
    let Some(next) = step.next else { return Row::default() };
    let source = turn.known.source(&next.source);
    let phantom = match source {
        _ if next.phantom => phantom_on(),
        Some(source) if whole.plan.phantom_hurts(source) => never_phantom(),
        _ => Cell::default(),
    };
    let cells = [
        socket(step).into(),
        whole.label(&next.source).into(),
        next.mic.clone().unwrap_or_default().into(),
        stand(Some(next)).into(),
        source.and_then(|source| source.remarks.place.clone()).unwrap_or_default().into(),
        phantom,
    ];
    Row::of(cells).about(Some(&next.source))
}

/// What may stand there, with several acts in which; and from where it comes that moves here.
fn instead_of(whole: &Whole, turn: &Turn, step: &Step) -> String {
    let Some(next) = step.next else { return String::new() };
    let many = turn.changeover.before.len() > 1;
    let gone = step.gone.iter().map(|(acts, gone)| {
        let acts = if many { format!("{}: ", whole.acts_called(acts)) } else { String::new() };
        format!("{acts}{}", was(whole, gone, next))
    });
    let from = step.from.map(|from| format!("moves from {}", whole.spot(from)));
    gone.chain(from).collect::<Vec<_>>().join("; ")
}

/// What stood there, and of the same source only what is otherwise.
fn was(whole: &Whole, gone: &Plug, next: &Plug) -> String {
    if same(gone, next) {
        return "stands here".to_string();
    }
    if gone.source != next.source {
        return whole.label(&gone.source);
    }
    let mic = gone.mic.clone().filter(|_| gone.mic != next.mic);
    let stand = Some(stand(Some(gone))).filter(|stand| !stand.is_empty() && gone.stand != next.stand);
    mic.into_iter().chain(stand).collect::<Vec<_>>().join(", ")
}

/// Lines whose 48 V was not on, or where something else stood.
fn on(whole: &Whole, turn: &Turn) -> Table {
    let columns = [("preamp", Look::Key), ("48 V", Look::Plain), ("source", Look::Key), ("on", Look::Tick)];
    let mut table = Table::new(columns.into_iter().chain([("meter seen", Look::Tick)]));
    table.title = Some("Last: 48 V on, wait about 10 s, open up".into());
    for plug in turn.to_do(Do::Plug).filter_map(|step| step.next).filter(|plug| plug.phantom) {
        let preamp = plug.phantom_path.last().unwrap_or(&plug.at);
        let on = Cell { text: "48 V on".into(), sign: Some(Sign::Phantom) };
        let cells = [whole.spot(preamp).into(), on, whole.label(&plug.source).into()];
        table.push(Row::of(cells).about(Some(&plug.source)).at(plug.phantom_path.clone()));
    }
    table
}

/// Gear of its own, and who stands at which source.
fn brings(whole: &Whole, turn: &Turn) -> Table {
    let columns = [("who", Look::Key), ("brings or plays", Look::Plain), ("where", Look::Plain), ("there", Look::Tick)];
    let mut table = Table::new(columns).titled("Who brings what");
    for device in &turn.act.devices {
        let who = device.remarks.who.clone().unwrap_or_else(|| act_title(turn.act));
        let what = format!("{}: {}", whole.called(&device.name), whole.model(device));
        let to = turn.act.cables.iter().filter_map(|cable| {
            let own = |end: &str| end.strip_prefix(device.name.as_str()).is_some_and(|rest| rest.starts_with('.'));
            own(&cable.from).then(|| cable.to.clone()).or_else(|| own(&cable.to).then(|| cable.from.clone()))
        });
        let spots: Vec<String> =
            to.map(|end| if Points::read(&end).is_some() { whole.spot(&end) } else { end }).collect();
        let place = device.remarks.place.clone().into_iter().chain(spots).collect::<Vec<_>>().join(", ");
        table.push(Row::of([who.into(), what.into(), place.into()]));
    }
    for source in &turn.act.sources {
        let Some(who) = source.remarks.who.clone() else { continue };
        let place = source.remarks.place.clone().unwrap_or_default();
        table.push(Row::of([who.into(), source.label.clone().into(), place.into()]).about(Some(&source.source)));
    }
    table.without_empty_columns()
}
