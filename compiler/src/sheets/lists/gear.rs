//! The gear list: microphones and DIs, stands, boxes, cables, spares, and what each act brings or adds. Every count is a
//! count of rows of the plan.

use super::super::known::Known;
use super::super::sheet::{Look, Part, Row, Sheet, Table};
use super::whole::{Lists, Whole, act_title};
use super::{cables, cautions};
use crate::plan::{Device, Plug};
use std::collections::{BTreeMap, BTreeSet};

/// What a row says no microphone for.
const UNSAID: &str = "not said";

pub(super) fn sheet(whole: &Whole) -> Option<Sheet> {
    let of_devices = devices(whole, whole.plan.devices.iter());
    let tables = [
        counted(whole, "Microphones, DIs and what else is plugged in", "what", mic),
        counted(whole, "Stands", "stand", stand),
        of_devices.titled("Boxes, desks, snakes"),
        cables::totals(whole),
        spares(whole),
        acts(whole),
    ];
    let filled: Vec<Part> = tables.into_iter().filter(|table| !table.rows.is_empty()).map(Part::Table).collect();
    (!filled.is_empty()).then(|| Sheet {
        slug: "gear".into(),
        title: "Gear".into(),
        reader: "whoever packs",
        cautions: vec![cautions::MAINS, cautions::OVERHEAD],
        parts: filled,
        ..Sheet::default()
    })
}

/// A source in two sockets has one microphone.
type Counts = BTreeMap<(String, String), BTreeSet<String>>;

/// What of a plug is counted, and what is said beside it.
type Of = fn(&Known, &Plug) -> Option<(String, String)>;

fn counts(lists: Lists, of: Of) -> Counts {
    let mut counts = Counts::new();
    for plug in lists.plugs {
        if let Some(what) = of(lists.known, plug) {
            counts.entry(what).or_default().insert(plug.source.clone());
        }
    }
    counts
}

/// The label, and the kind where the label is another word.
fn mic(known: &Known, plug: &Plug) -> Option<(String, String)> {
    let label = plug.mic.clone().unwrap_or_else(|| UNSAID.to_string());
    let kind = known.source(&plug.source).and_then(|source| source.kind.clone());
    let kind = kind.filter(|kind| *kind != label && plug.mic.is_some()).unwrap_or_default();
    Some((label, kind))
}

fn stand(_: &Known, plug: &Plug) -> Option<(String, String)> {
    plug.stand.clone().filter(|stand| stand != "none").map(|stand| (stand, String::new()))
}

/// How many all day, and how many at once in the act that needs most.
fn counted(whole: &Whole, title: &'static str, what: &'static str, of: Of) -> Table {
    let columns = [(what, Look::Key), ("kind", Look::Plain), ("count", Look::Number)];
    let in_acts = [("all day", Look::Number), ("most in", Look::Plain)].into_iter().filter(|_| !whole.acts.is_empty());
    let columns = columns.into_iter().chain(in_acts).chain([("packed", Look::Tick)]);
    let mut table = Table::new(columns).titled(title);
    let mut most: BTreeMap<(String, String), (usize, usize, String)> = BTreeMap::new();
    for lists in whole.lists() {
        for (what, sources) in counts(lists, of) {
            let (all_day, in_act, where_most) = most.entry(what).or_default();
            match lists.act {
                None => *all_day = sources.len(),
                Some(act) if sources.len() > *in_act => (*in_act, *where_most) = (sources.len(), act_title(act)),
                Some(_) => {}
            }
        }
    }
    for ((what, kind), (all_day, in_act, where_most)) in most {
        let cells = [what.into(), kind.into(), (all_day + in_act).to_string().into()];
        let by_act = [all_day.to_string().into(), where_most.into()].into_iter().filter(|_| !whole.acts.is_empty());
        table.push(Row::of(cells.into_iter().chain(by_act)));
    }
    table.without_empty_columns()
}

fn devices<'p>(whole: &Whole<'_, 'p>, devices: impl Iterator<Item = &'p Device>) -> Table {
    let mut models: BTreeMap<(&str, String), Vec<&Device>> = BTreeMap::new();
    for device in devices {
        models.entry((&device.role, whole.model(device))).or_default().push(device);
    }
    let columns = [("model", Look::Key), ("what", Look::Plain), ("count", Look::Number), ("names", Look::Plain)];
    let mut table = Table::new(columns.into_iter().chain([("packed", Look::Tick)]));
    for ((role, model), devices) in models {
        let names: Vec<String> = devices.iter().map(|device| whole.called(&device.name)).collect();
        table.push(Row::of([model.into(), role.into(), devices.len().to_string().into(), names.join(", ").into()]));
    }
    table
}

/// Sources that stand in for others. They are counted above too.
fn spares(whole: &Whole) -> Table {
    let columns = [("spare", Look::Key), ("mic or DI", Look::Plain), ("for", Look::Plain), ("plugged at", Look::Plain)];
    let columns = columns.into_iter().chain([("in act", Look::Plain)]);
    let mut table = Table::new(columns).titled("Spares among them");
    let mut acts: BTreeMap<(&str, [String; 4]), Vec<String>> = BTreeMap::new();
    for lists in whole.lists() {
        for source in lists.sources.iter().filter(|source| source.spare) {
            let plug = lists.known.plug_of(&source.source);
            let of: Vec<String> = source.spare_for.iter().map(|of| whole.label(of)).collect();
            let at = plug.map_or_else(|| "not plugged in".to_string(), |plug| whole.spot(&plug.at));
            let mic = plug.and_then(|plug| plug.mic.clone()).unwrap_or_default();
            let said = [source.label.clone(), mic, of.join(", "), at];
            acts.entry((&source.source, said)).or_default().extend(lists.act.map(act_title));
        }
    }
    for ((source, said), acts) in acts {
        let cells = said.into_iter().chain([acts.join(", ")]).map(Into::into);
        table.push(Row::of(cells).about(Some(source)));
    }
    table.without_empty_columns()
}

/// What each act needs beside what stands all day: its own boxes and cables, and what is plugged in for it.
fn acts(whole: &Whole) -> Table {
    let columns = [("act", Look::Key), ("own gear", Look::Key), ("adds", Look::Plain), ("stands", Look::Plain)];
    let mut table = Table::new(columns).titled("What each act adds");
    for lists in whole.lists() {
        let Some(act) = lists.act else { continue };
        let own =
            lists.devices.iter().map(|device| format!("{} ({})", whole.called(&device.name), whole.model(device)));
        let own: Vec<String> = own.collect();
        let said = |of| {
            let counts = counts(lists, of).into_iter();
            counts.map(|((what, _), sources)| format!("{} {what}", sources.len())).collect::<Vec<_>>().join(", ")
        };
        let cells = [act_title(act).into(), own.join(", ").into(), said(mic).into(), said(stand).into()];
        table.push(Row::of(cells));
    }
    table.without_empty_columns()
}
