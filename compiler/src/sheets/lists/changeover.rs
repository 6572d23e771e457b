//! What is done between the acts: the running order on a page, and for each act what is unplugged, moved and plugged
//! after the acts that may have played before. 48 V goes off first and on last.

use super::super::known::Known;
use super::super::sheet::{Cell, Look, Part, Row, Sheet, Sign, Table, Weight};
use super::whole::{Whole, act_title, times};
use super::words::{never_phantom, phantom_on};
use super::{cautions, reader, reminders};
use crate::plan::{Act, Changeover, Plug, Points, point};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::{BTreeMap, BTreeSet};

/// The running order, then a page an act. Nothing where there are no acts.
pub(super) fn sheets(whole: &Whole) -> Vec<Sheet> {
    if whole.acts.is_empty() {
        return Vec::new();
    }
    let by_name: FxHashMap<&str, &Known> =
        whole.acts.iter().filter_map(|known| Some((known.act?.act.as_str(), known))).collect();
    let turns: Vec<Turn> = whole.acts.iter().filter_map(|known| Turn::of(whole, known, &by_name)).collect();
    let mut sheets = vec![running_order(whole, &turns)];
    sheets.extend(turns.iter().map(|turn| page(whole, turn)));
    sheets
}

/// One act and what leads to it.
struct Turn<'k, 'p> {
    act: &'p Act,
    known: &'k Known<'p>,
    changeover: Changeover<'p>,
    steps: Vec<Step<'p>>,
}

/// What a stage hand does at one socket.
struct Step<'p> {
    at: &'p str,
    /// What stood there, by the acts that had it so.
    gone: Vec<(BTreeSet<&'p str>, &'p Plug)>,
    next: Option<&'p Plug>,
    /// Where the next one stood before.
    from: Option<&'p str>,
}

impl<'k, 'p> Turn<'k, 'p> {
    fn of(whole: &Whole<'_, 'p>, known: &'k Known<'p>, by_name: &FxHashMap<&str, &'k Known<'p>>) -> Option<Self> {
        let act = known.act?;
        let changeover = Changeover::to(whole.plan, act);
        let before = changeover.before.iter().filter_map(|act| by_name.get(act.act.as_str()).copied());
        let before: Vec<&Known> = before.collect();
        Some(Turn { act, known, steps: steps(act, &before), changeover })
    }
}

/// By socket, in the plan's order: first what only goes, then what this act plugs. House rows hold in every act.
fn steps<'p>(act: &'p Act, before: &[&Known<'p>]) -> Vec<Step<'p>> {
    let next: FxHashMap<&str, &Plug> = act.plugs.iter().map(|plug| (plug.at.as_str(), plug)).collect();
    let stood: FxHashMap<&str, &str> = before
        .iter()
        .filter_map(|known| known.act)
        .flat_map(|act| act.plugs.iter().map(|plug| (plug.source.as_str(), plug.at.as_str())))
        .collect();
    let mut order: Vec<&str> = act.plugs.iter().map(|plug| plug.at.as_str()).collect();
    let mut seen: FxHashSet<&str> = order.iter().copied().collect();
    let mut gone: FxHashMap<&str, Vec<(BTreeSet<&str>, &Plug)>> = FxHashMap::default();
    for (name, plugs) in before.iter().filter_map(|known| known.act).map(|act| (act.act.as_str(), &act.plugs)) {
        for plug in plugs {
            if seen.insert(&plug.at) {
                order.push(&plug.at);
            }
            let there = gone.entry(&plug.at).or_default();
            match there.iter_mut().find(|(_, other)| same(other, plug)) {
                Some((acts, _)) => drop(acts.insert(name)),
                None => there.push((BTreeSet::from([name]), plug)),
            }
        }
    }
    let step = |at| {
        let next = next.get(at).copied();
        let from = next.and_then(|next| stood.get(next.source.as_str()).copied()).filter(|from| *from != at);
        Step { at, gone: gone.remove(at).unwrap_or_default(), next, from }
    };
    let mut steps: Vec<Step> = order.into_iter().map(step).collect();
    steps.sort_by_key(|step| step.next.is_some());
    steps
}

fn same(one: &Plug, other: &Plug) -> bool {
    (&one.source, &one.mic, &one.stand) == (&other.source, &other.mic, &other.stand)
}

impl Step<'_> {
    /// What to do, in a word; `None` where all stays as it is.
    fn word(&self, acts_before: usize) -> Option<&'static str> {
        let Some(next) = self.next else { return Some("unplug") };
        let had: usize = self.gone.iter().map(|(acts, _)| acts.len()).sum();
        let stays = had == acts_before && self.gone.iter().all(|(_, gone)| same(gone, next));
        let is_swap = self.gone.iter().any(|(_, gone)| gone.source != next.source);
        match (self.gone.is_empty(), self.from) {
            _ if stays && acts_before > 0 => None,
            (_, Some(_)) => Some("move here"),
            (true, None) => Some("plug"),
            (false, None) if is_swap => Some("swap"),
            (false, None) if self.gone.iter().all(|(_, gone)| same(gone, next)) => Some("plug, or leave"),
            (false, None) => Some("change"),
        }
    }
}

fn running_order(whole: &Whole, turns: &[Turn]) -> Sheet {
    let columns = [
        ("from", Look::Key),
        ("to", Look::Plain),
        ("act", Look::Key),
        ("minutes before", Look::Number),
        ("plug or move", Look::Number),
        ("unplug", Look::Number),
        ("48 V off", Look::Number),
        ("brings", Look::Plain),
        ("ready", Look::Tick),
    ];
    let mut table = Table::new(columns);
    for turn in turns {
        let act = turn.act;
        let before = turn.changeover.before.len();
        let words: Vec<&str> = turn.steps.iter().filter_map(|step| step.word(before)).collect();
        let unplug = words.iter().filter(|word| **word == "unplug").count();
        let brings: Vec<String> = act.devices.iter().map(|device| whole.called(&device.name)).collect();
        let cells = [
            act.from.clone().unwrap_or_default().into(),
            act.to.clone().unwrap_or_default().into(),
            act_title(act).into(),
            minutes(turn).map(|minutes| minutes.to_string()).unwrap_or_default().into(),
            (words.len() - unplug).to_string().into(),
            unplug.to_string().into(),
            turn.changeover.off.len().to_string().into(),
            brings.join(", ").into(),
        ];
        table.push(Row::of(cells));
    }
    Sheet {
        slug: "running-order".into(),
        title: "Running order".into(),
        reader: reader::EVERYBODY,
        large: true,
        cautions: vec![cautions::HEARING],
        parts: vec![Part::Table(table.without_empty_columns())],
        ..Sheet::default()
    }
}

/// The time for the changeover, past midnight too.
fn minutes(turn: &Turn) -> Option<u32> {
    const DAY: u32 = 24 * 60;
    let clock = |time: &str| {
        let (hours, minutes) = time.split_once(':')?;
        hours.parse::<u32>().ok()?.checked_mul(60)?.checked_add(minutes.parse().ok()?)
    };
    let [before] = turn.changeover.before.as_slice() else { return None };
    let (from, until) = (clock(turn.act.from.as_deref()?)?, clock(before.to.as_deref()?)?);
    Some((from % DAY + DAY - until % DAY) % DAY)
}

fn page(whole: &Whole, turn: &Turn) -> Sheet {
    let act = turn.act;
    let before: Vec<String> = turn.changeover.before.iter().map(|act| act_title(act)).collect();
    let after = match before.as_slice() {
        [] => "The first of the day.".to_string(),
        [one] => format!("After {one}."),
        many => format!("No time is said: any of {} may have played before.", many.join(", ")),
    };
    let time = minutes(turn).map(|minutes| format!("{minutes} minutes."));
    let words =
        [Some(times(act)).filter(|times| !times.is_empty()).map(|times| format!("{times}.")), Some(after), time];
    let words = words.into_iter().flatten().collect::<Vec<_>>().join(" ");
    let tables =
        [off(whole, turn), unplug_first(whole, turn), patch(whole, turn), on(whole, turn), brings(whole, turn)];
    let tables = tables.into_iter().filter(|table| !table.rows.is_empty()).map(Part::Table);
    let checks = [reminders::BEFORE_PACKS];
    Sheet {
        slug: format!("changeover-{}", act.act),
        title: format!("Changeover to {}", act_title(act)),
        reader: reader::STAGE,
        act: Some(act.act.clone()),
        large: true,
        cautions: vec![cautions::PHANTOM, cautions::HEARING],
        parts: std::iter::once(Part::Words(words)).chain(tables).chain([reminders::to_tick("Last", &checks)]).collect(),
    }
}

/// What the act has not on, and what is plugged anew while the act has it on.
fn off(whole: &Whole, turn: &Turn) -> Table {
    let columns = [("socket", Look::Key), ("48 V", Look::Plain), ("was on in", Look::Plain), ("off", Look::Tick)];
    let mut table = Table::new(columns).titled("First: mutes on, 48 V off, wait");
    let mut listed: FxHashSet<String> = FxHashSet::default();
    let mut push = |at: String, word: &str, acts: &BTreeSet<&str>| {
        let acts = whole.acts_called(acts);
        if listed.insert(at.clone()) {
            table.push(Row::of([whole.spot(&at).into(), word.into(), acts.into()]).at([at]));
        }
    };
    for off in &turn.changeover.off {
        push(point(off.device, off.bank, off.number), "off", &off.acts);
    }
    let before = turn.changeover.before.len();
    for (acts, gone) in turn.steps.iter().filter(|step| step.word(before).is_some()).flat_map(|step| &step.gone) {
        if let Some(preamp) = gone.phantom_path.last() {
            push(preamp.clone(), "off while plugs change", acts);
        }
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

/// A socket a row.
fn patch(whole: &Whole, turn: &Turn) -> Table {
    let columns = [
        ("socket", Look::Key),
        ("do", Look::Key),
        ("source", Look::Key),
        ("mic or DI", Look::Plain),
        ("stand", Look::Plain),
        ("place", Look::Plain),
        ("48 V", Look::Plain),
        ("was", Look::Plain),
        ("done", Look::Tick),
    ];
    let mut table = Table::new(columns).titled("Then: unplug, move, plug");
    let before = turn.changeover.before.len();
    let hurt = |plug: &Plug| turn.known.source(&plug.source).is_some_and(|source| whole.plan.phantom_hurts(source));
    for step in &turn.steps {
        let word = step.word(before);
        let said = |plug: &Plug| plug.mic.clone().unwrap_or_default();
        let next = step.next;
        let place = next.and_then(|next| turn.known.source(&next.source)).and_then(|row| row.remarks.place.clone());
        let stand = next.and_then(|next| next.stand.clone()).filter(|stand| stand != "none");
        let phantom = match next {
            Some(next) if next.phantom => phantom_on(),
            Some(next) if hurt(next) => never_phantom(),
            _ => Cell::default(),
        };
        let cells = [
            whole.spot(step.at).into(),
            word.unwrap_or("stays").into(),
            next.map(|next| whole.label(&next.source)).unwrap_or_default().into(),
            next.map(said).unwrap_or_default().into(),
            stand.unwrap_or_default().into(),
            place.unwrap_or_default().into(),
            phantom,
            was(whole, step, before).into(),
        ];
        let source = next.map(|next| next.source.as_str());
        let weight = if word.is_none() { Weight::Quiet } else { Weight::Plain };
        table.push(Row::of(cells).about(source).at([step.at.to_string()]).weighing(weight));
    }
    table.without_empty_columns()
}

/// What stood there; with several acts, in which. Where it stood that moves here.
fn was(whole: &Whole, step: &Step, acts_before: usize) -> String {
    let gone = step.gone.iter().map(|(acts, plug)| {
        let mic = plug.mic.as_ref().map(|mic| format!(" ({mic})")).unwrap_or_default();
        let acts = whole.acts_called(acts);
        let acts = if acts_before > 1 { format!("{acts}: ") } else { String::new() };
        format!("{acts}{}{mic}", whole.label(&plug.source))
    });
    let from = step.from.map(|from| format!("moves from {}", whole.spot(from)));
    gone.chain(from).collect::<Vec<_>>().join("; ")
}

/// Lines whose 48 V was not on, or where something else stood.
fn on(whole: &Whole, turn: &Turn) -> Table {
    let columns = [("preamp", Look::Key), ("48 V", Look::Plain), ("source", Look::Key), ("on", Look::Tick)];
    let mut table = Table::new(columns.into_iter().chain([("meter seen", Look::Tick)]));
    table.title = Some("Last: 48 V on, wait about 10 s, open up".into());
    let before = turn.changeover.before.len();
    let lines: BTreeMap<&str, &Step> =
        turn.steps.iter().filter_map(|step| Some((step.next?.at.as_str(), step))).collect();
    for plug in turn.act.plugs.iter().filter(|plug| plug.phantom) {
        if lines.get(plug.at.as_str()).is_some_and(|step| step.word(before).is_none()) {
            continue;
        }
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
