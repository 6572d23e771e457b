//! The line check: every line in the order in which it is walked, with boxes to tick at each desk and recorder, and
//! the way back from the outputs: which mix is heard in which place. A sheet of each for each act.

use super::super::known::Known;
use super::super::sheet::{Cell, Look, Part, Row, Sheet, Table};
use super::by_act::of_act;
use super::whole::{Whole, times};
use super::words::{never_phantom, phantom_on};
use super::{cautions, reader, reminders};
use crate::plan::{Device, End, PersonalFeed, Points, Role, Signal};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

/// Where nothing is to be seen.
const NONE: &str = "–";

pub(super) fn sheets(whole: &Whole, known: &Known) -> Vec<Sheet> {
    [inputs(whole, known), outputs(whole, known)].into_iter().flatten().collect()
}

fn headed(known: &Known, slug: &str, title: &str, reader: &'static str) -> Sheet {
    of_act(Sheet { slug: slug.into(), title: title.into(), reader, ..Sheet::default() }, known.act)
}

fn inputs(whole: &Whole, known: &Known) -> Option<Sheet> {
    let listeners = Listener::all(whole, known);
    let tables = lines(whole, known, &listeners);
    if tables.is_empty() {
        return None;
    }
    let times = known.act.map(times).filter(|times| !times.is_empty()).map(|times| Part::Words(format!("{times}.")));
    let each = [reminders::SAY_THE_NAME, reminders::GATES_OFF];
    let faults = [reminders::CONTROL_LOST, reminders::ALL_LINES_CLIP];
    let mut parts = vec![reminders::to_tick("Each line", &each)];
    parts.extend(tables.into_iter().map(Part::Table));
    parts.splice(0..0, times);
    parts.push(reminders::to_tick("Where several lines fail at once", &faults));
    if listeners.iter().any(|one| one.records) {
        parts.push(reminders::to_tick("Recorders", &[reminders::PLAY_BACK]));
    }
    let sheet = headed(known, "line-check", "Line check", reader::EVERYBODY);
    Some(Sheet { cautions: vec![cautions::PHANTOM, cautions::HEARING], parts, ..sheet })
}

/// Who sees a line arrive: the channels of a desk, its tracks, a recorder, what stands outside.
struct Listener {
    /// The device's place in the order of dialling, and the bank's in its model.
    place: (usize, usize),
    column: String,
    records: bool,
    /// Where each source arrives, its first place: `3` of channel 3.
    heard: BTreeMap<String, (u32, String)>,
}

impl Listener {
    /// In the order of devices, each bank for itself. Personal feeds are checked from the outputs.
    fn all(whole: &Whole, known: &Known) -> Vec<Listener> {
        let mut found: BTreeMap<(usize, usize), Listener> = BTreeMap::new();
        let place: BTreeMap<&str, usize> =
            known.devices.iter().zip(0..).map(|(one, at)| (one.name.as_str(), at)).collect();
        for (signal, end, at) in ends(known) {
            let Some((device, place)) = known.device(at.device).zip(place.get(at.device)) else { continue };
            let Some((bank, word)) = listens(known, device, &at) else { continue };
            let place = (*place, bank);
            let listener = found.entry(place).or_insert_with(|| Listener {
                place,
                column: format!("{} {word}", whole.called(at.device)),
                records: word != "seen",
                heard: BTreeMap::new(),
            });
            let here = (at.first, end.end.clone());
            let first = listener.heard.entry(signal.source.clone()).or_insert_with(|| here.clone());
            if here.0 < first.0 {
                *first = here;
            }
        }
        found.into_values().collect()
    }
}

fn ends<'k>(known: &'k Known) -> impl Iterator<Item = (&'k Signal, &'k End, Points<'k>)> {
    let signals = known.view.signals.iter().copied();
    let ends = signals.flat_map(|signal| signal.ends.iter().map(move |end| (signal, end)));
    ends.filter(|(_, end)| end.asked).filter_map(|(signal, end)| Some((signal, end, Points::read(&end.end)?)))
}

/// The bank's place in the model, and what is to be seen there.
fn listens(known: &Known, device: &Device, at: &Points) -> Option<(usize, &'static str)> {
    let place = known.banks(at.device).iter().position(|bank| bank.bank == at.bank && bank.end)?;
    let bank = known.banks(at.device).get(place)?;
    let inner = known.banks(at.device).iter().position(|bank| bank.role == Role::Inner && bank.end);
    let word = match (device.role.as_str(), bank.role) {
        ("recorder", Role::Inner) => "recorded",
        ("desk", Role::Inner) if inner == Some(place) => "seen",
        ("desk", Role::Inner) if bank.bank == "track" => "recorded",
        ("outside", Role::In) => "seen",
        _ => return None,
    };
    Some((place, word))
}

/// By channel of the first desk, then what only others hear, then what nobody hears: a table each, with a column for
/// whoever hears any of it.
fn lines(whole: &Whole, known: &Known, listeners: &[Listener]) -> Vec<Table> {
    let mut hearing: BTreeMap<&str, Vec<&Listener>> = BTreeMap::new();
    for listener in listeners {
        let plugged = listener.heard.keys().filter(|source| known.plug_of(source).is_some());
        plugged.for_each(|source| hearing.entry(source).or_default().push(listener));
    }
    let mut tables = Vec::new();
    let mut done: BTreeSet<&str> = BTreeSet::new();
    for listener in listeners {
        let new = listener.heard.iter().filter(|(source, _)| hearing.contains_key(source.as_str()));
        let mut order: Vec<(u32, &str)> = new.map(|(source, (number, _))| (*number, source.as_str())).collect();
        order.retain(|(_, source)| done.insert(source));
        order.sort_unstable();
        let heard = order.iter().filter_map(|(_, source)| hearing.get(source)).flatten();
        let by: BTreeMap<(usize, usize), &Listener> = heard.map(|one| (one.place, *one)).collect();
        let by: Vec<&Listener> = by.into_values().collect();
        let rows = order.into_iter().map(|(number, source)| line(whole, known, &by, source, number.to_string()));
        let title = tables.is_empty().then(String::new).unwrap_or_else(|| format!("Only {}", listener.column));
        tables.push(table(&title, &by, rows.collect()));
    }
    let plugged = known.view.plugs.iter().map(|plug| plug.source.as_str());
    let silent: BTreeSet<&str> = plugged.filter(|source| !hearing.contains_key(source)).collect();
    let rows = silent.into_iter().map(|source| line(whole, known, &[], source, String::new()));
    tables.push(table("Plugged in and seen nowhere", &[], rows.collect()));
    tables.retain(|table| !table.rows.is_empty());
    tables
}

fn table(title: &str, listeners: &[&Listener], rows: Vec<Row>) -> Table {
    let mut columns: Vec<(Cow<'static, str>, Look)> =
        vec![("line".into(), Look::Key), ("name".into(), Look::Key), ("heard".into(), Look::Room)];
    columns.extend([("socket".into(), Look::Plain), ("48 V".into(), Look::Plain)]);
    columns.extend(listeners.iter().map(|one| (one.column.clone().into(), Look::Tick)));
    columns.extend([("polarity".into(), Look::Tick), ("quiet".into(), Look::Tick)]);
    columns.push(("fault and fix".into(), Look::Room));
    let mut table = Table::new(columns);
    table.title = Some(title.to_string()).filter(|title| !title.is_empty());
    rows.into_iter().for_each(|row| table.push(row));
    table.without_empty_columns()
}

fn line(whole: &Whole, known: &Known, listeners: &[&Listener], source: &str, number: String) -> Row {
    let plug = known.plug_of(source);
    let at = plug.map(|plug| plug.at.clone()).unwrap_or_default();
    let row = known.source(source);
    let phantom = match row.and_then(|row| whole.plan.kind_of(row)) {
        _ if plug.is_some_and(|plug| plug.phantom) => phantom_on(),
        Some(kind) if kind.phantom == "never" => never_phantom(),
        _ => Cell::default(),
    };
    let seen = |one: &&Listener| match one.heard.contains_key(source) {
        true => Cell::default(),
        false => NONE.into(),
    };
    let turned = plug.is_some_and(|plug| plug.polarity_inverted);
    let polarity = if turned { "inverted".into() } else { Cell::default() };
    let spare = if row.is_some_and(|row| row.spare) { " (spare)" } else { "" };
    let name = format!("{}{spare}", known.label(source));
    let mut cells = vec![number.into(), name.into(), Cell::default(), whole.spot(&at).into(), phantom];
    cells.extend(listeners.iter().map(seen));
    cells.extend([polarity, Cell::default(), Cell::default()]);
    let places = listeners.iter().filter_map(|one| one.heard.get(source)).map(|(_, end)| end.clone());
    Row::of(cells).about(Some(source)).at(std::iter::once(at).chain(places))
}

fn outputs(whole: &Whole, known: &Known) -> Option<Sheet> {
    let columns = [
        ("mix", Look::Key),
        ("name", Look::Key),
        ("place", Look::Key),
        ("who", Look::Plain),
        ("what hangs there", Look::Plain),
        ("socket", Look::Plain),
        ("heard from where", Look::Room),
        ("right place", Look::Tick),
        ("quiet", Look::Tick),
        ("fault and fix", Look::Room),
    ];
    let mut table = Table::new(columns);
    for output in &known.view.outputs {
        let name = output.label.clone().unwrap_or_else(|| known.label(&output.from));
        let said = |what: &Option<String>| Cell::from(what.clone().unwrap_or_default());
        let remarks = &output.remarks;
        let mix =
            Points::read(&output.from).map_or_else(|| output.from.clone(), |at| format!("{} {}", at.bank, at.first));
        let (place, who, used_as) = (said(&remarks.place), said(&remarks.who), said(&output.used_as));
        let cells = [mix.into(), name.into(), place, who, used_as, whole.spot(&output.to).into()];
        table.push(Row::of(cells).about(Some(&output.from)).at([output.from.clone(), output.to.clone()]));
    }
    let personal = known.plan.personal.iter().chain(known.act.into_iter().flat_map(|act| &act.personal));
    let personal: Vec<&PersonalFeed> = personal.collect();
    if !personal.is_empty() {
        table.push(Row::group("Personal feeds"));
    }
    for feed in personal {
        let number =
            Points::read(&feed.feed).map_or_else(|| feed.feed.clone(), |at| format!("{} {}", at.bank, at.first));
        let who = feed.remarks.who.clone().unwrap_or_default();
        let place = feed.remarks.place.clone().unwrap_or_default();
        let cells = [number.into(), known.label(&feed.of).into(), place.into(), who.into(), "personal feed".into()];
        table.push(Row::of(cells).about(Some(&feed.of)).at([feed.feed.clone()]));
    }
    if table.rows.is_empty() {
        return None;
    }
    let parts = vec![
        Part::Words("Start low. Speak into one mix at a time; nobody wears a pack yet.".into()),
        reminders::to_tick("Each mix", &[reminders::SPEAK_INTO_MIXES]),
        Part::Table(table.without_empty_columns()),
    ];
    let sheet = headed(known, "line-check-outputs", "Line check from the outputs", reader::MONITORS);
    Some(Sheet { cautions: vec![cautions::HEARING], parts, ..sheet })
}
