//! The 48 V list: every line that gets it, from which preamp and over which copper, what hangs on the same switch, and
//! what must never get it. One sheet for what holds all day, one for what each act adds.

use super::super::sheet::{Cell, Look, Part, Row, Sheet, Table, Weight};
use super::by_act::of_act;
use super::whole::{Lists, Whole};
use super::words::{never_phantom, phantom_on};
use super::{cautions, reader, reminders};
use crate::plan::{Changeover, Plug, Points, Role, Setting, Source, point, range};
use rustc_hash::FxHashMap;

pub(super) fn sheets(whole: &Whole) -> Vec<Sheet> {
    whole.lists().filter_map(|lists| sheet(whole, lists)).collect()
}

fn sheet(whole: &Whole, lists: Lists) -> Option<Sheet> {
    let off = lists.act.map(|act| off(whole, &Changeover::to(whole.plan, act))).unwrap_or_default();
    let (on, never) = (on(whole, lists), never(whole, lists));
    let tables: Vec<Table> = [off, on, never].into_iter().filter(|table| !table.rows.is_empty()).collect();
    if tables.is_empty() {
        return None;
    }
    let order = "Mute the outputs or pull the faders down. Plug. Switch on. Wait about 10 s. Open up. \
                 To unplug: mute, switch off, wait, unplug.";
    let parts = std::iter::once(Part::Words(order.into())).chain(tables.into_iter().map(Part::Table));
    let all_day = lists.act.is_none() && !whole.acts.is_empty();
    let sheet = Sheet {
        slug: "48-volts".into(),
        title: if all_day { "48 V, all day".into() } else { "48 V".into() },
        reader: reader::EVERYBODY,
        cautions: vec![cautions::PHANTOM, cautions::PHANTOM_EARS],
        parts: parts.chain([reminders::to_tick("Before doors", &[reminders::BEFORE_PACKS])]).collect(),
        ..Sheet::default()
    };
    Some(of_act(sheet, lists.act))
}

/// What the act before had on and this one has not.
fn off(whole: &Whole, changeover: &Changeover) -> Table {
    let columns = [("preamp", Look::Key), ("on in", Look::Plain), ("off", Look::Tick)];
    let mut table = Table::new(columns).titled("Switch off first, wait, then unplug");
    for off in &changeover.off {
        let at = point(off.device, off.bank, off.number);
        table.push(Row::of([whole.spot(&at).into(), whole.acts_called(&off.acts).into()]).at([at]));
    }
    table
}

/// A line a row, by preamp. What only a switch tells stands in its place.
fn on(whole: &Whole, lists: Lists) -> Table {
    let columns = [
        ("preamp", Look::Key),
        ("48 V", Look::Plain),
        ("source", Look::Key),
        ("mic or DI", Look::Plain),
        ("plugged at", Look::Plain),
        ("over", Look::Plain),
        ("one switch", Look::Plain),
        ("also on it", Look::Plain),
        ("who switches", Look::Plain),
        ("on", Look::Tick),
        ("meter seen", Look::Tick),
    ];
    let mut table = Table::new(columns).titled("Gets 48 V");
    let mut lines = Lines::of(lists);
    for setting in lists.settings.iter().filter(|setting| setting.set == "phantom" && setting.is_on()) {
        let own: Vec<&Plug> = points(setting).filter_map(|at| lines.at.remove(&at)).flatten().collect();
        match own.as_slice() {
            [] => table.push(switched(whole, setting)),
            own => own.iter().for_each(|plug| table.push(line(whole, lists, plug, Some(setting)))),
        }
    }
    // Their switches are on in every act, whatever is plugged there.
    let rest = lists.plugs.iter().filter(|plug| lines.at.contains_key(preamp(plug)));
    rest.for_each(|plug| table.push(line(whole, lists, plug, None)));
    table.without_empty_columns()
}

/// The lines that ask for 48 V, by the preamp that gives it.
struct Lines<'p> {
    at: FxHashMap<String, Vec<&'p Plug>>,
}

impl<'p> Lines<'p> {
    fn of(lists: Lists<'_, 'p>) -> Self {
        let mut at: FxHashMap<String, Vec<&Plug>> = FxHashMap::default();
        for plug in lists.plugs.iter().filter(|plug| plug.phantom) {
            at.entry(preamp(plug).to_string()).or_default().push(plug);
        }
        Lines { at }
    }
}

fn preamp(plug: &Plug) -> &str {
    plug.phantom_path.last().unwrap_or(&plug.at)
}

fn points(setting: &Setting) -> impl Iterator<Item = String> {
    let first = setting.first.unwrap_or(1);
    let name = |n| point(&setting.device, &setting.bank, n);
    (first..=setting.last.unwrap_or(first)).map(name)
}

fn line(whole: &Whole, lists: Lists, plug: &Plug, setting: Option<&Setting>) -> Row {
    let known = lists.known;
    let at = Points::read(preamp(plug));
    let setting = setting.or_else(|| at.and_then(|at| known.setting("phantom", &at)));
    let over: Vec<String> = plug.phantom_path.iter().skip(1).rev().skip(1).rev().map(|at| whole.spot(at)).collect();
    let cells = [
        whole.spot(preamp(plug)).into(),
        phantom_on(),
        whole.label(&plug.source).into(),
        plug.mic.clone().unwrap_or_default().into(),
        whole.spot(&plug.at).into(),
        over.join(", ").into(),
        setting.map(group).unwrap_or_default().into(),
        setting.map(|setting| others(whole, lists, setting, &plug.source)).unwrap_or_default().into(),
        setting.and_then(|setting| setting.owner.as_ref()).map(|owner| whole.called(owner)).unwrap_or_default().into(),
    ];
    Row::of(cells).about(Some(&plug.source)).at(plug.phantom_path.clone())
}

/// A switch that is on all day, for a source of each act.
fn switched(whole: &Whole, setting: &Setting) -> Row {
    let all: Vec<String> = points(setting).collect();
    let first = all.first().map(|at| whole.spot(at)).unwrap_or_default();
    let cells = [first.into(), phantom_on(), "by act".into(), Cell::default(), Cell::default(), Cell::default()];
    Row::of(cells.into_iter().chain([group(setting).into()])).at(all)
}

/// `in 1-8`, where one switch is for several sockets.
fn group(setting: &Setting) -> String {
    let (first, last) = (setting.first.unwrap_or(1), setting.last.or(setting.first).unwrap_or(1));
    if first == last { String::new() } else { format!("{} {}", setting.bank, range(first, last)) }
}

fn others(whole: &Whole, lists: Lists, setting: &Setting, source: &str) -> String {
    let name = |at: String| {
        let other = lists.known.arriving(&at).filter(|other| *other != source)?;
        Some(format!("{} ({})", whole.label(other), Points::read(&at)?.first))
    };
    let shared = setting.last.is_some_and(|last| Some(last) != setting.first);
    points(setting).filter(|_| shared).filter_map(name).collect::<Vec<_>>().join(", ")
}

/// What is plugged in and must not get it, with every preamp on its way that could give it.
fn never(whole: &Whole, lists: Lists) -> Table {
    let columns = [
        ("source", Look::Key),
        ("48 V", Look::Key),
        ("what", Look::Plain),
        ("why", Look::Plain),
        ("plugged at", Look::Plain),
        ("stays off at", Look::Key),
        ("off", Look::Tick),
    ];
    let mut table = Table::new(columns).titled("Must never get 48 V");
    for plug in lists.plugs {
        let Some(source) = lists.known.source(&plug.source) else { continue };
        let Some(why) = why_never(whole, source) else { continue };
        let kind = source.kind.clone().unwrap_or_default();
        let what = plug.mic.clone().unwrap_or_else(|| kind.clone());
        let what = if what == kind { what } else { format!("{what} ({kind})") };
        let preamps = preamps(lists, plug);
        let spots: Vec<String> = preamps.iter().map(|at| whole.spot(at)).collect();
        let cells = [
            source.label.clone().into(),
            never_phantom(),
            what.into(),
            why.into(),
            whole.spot(&plug.at).into(),
            spots.join(", ").into(),
        ];
        table.push(Row::of(cells).about(Some(&plug.source)).at(preamps).weighing(Weight::Danger));
    }
    table.without_empty_columns()
}

fn why_never(whole: &Whole, source: &Source) -> Option<&'static str> {
    let kind = whole.plan.kind_of(source).filter(|kind| kind.phantom == "never")?;
    Some(if kind.signal == "mic" { "48 V can break it" } else { "an output, not a microphone" })
}

/// The sockets on its ways that have a switch for 48 V.
fn preamps(lists: Lists, plug: &Plug) -> Vec<String> {
    let gives = |at: &&String| {
        let bank = Points::read(at).and_then(|at| lists.known.bank(&at));
        bank.is_some_and(|bank| bank.role == Role::In && bank.phantom > 0)
    };
    let ends = lists.known.signal(&plug.source).map(|signal| signal.ends.as_slice()).unwrap_or_default();
    let mut found: Vec<String> = Vec::new();
    for at in std::iter::once(&plug.at).chain(ends.iter().flat_map(|end| &end.path)).filter(gives) {
        if !found.contains(at) {
            found.push(at.clone());
        }
    }
    found
}
