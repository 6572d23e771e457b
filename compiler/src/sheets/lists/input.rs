//! The input list of a desk by channel: what each channel carries, where that is plugged in, and what is set for it.
//! Free channels stand between, up to the last one in use, so that a block of eight can be seen.

use super::super::known::Known;
use super::super::sheet::{Cell, Look, Part, Row, Sheet, Table, Weight};
use super::by_act::{Line, Said, all_day, held, parts, tables};
use super::reader::Readers;
use super::whole::Whole;
use super::words::{headed, local, mic, notes, phantom, spoken, stand};
use crate::plan::{Bank, Device, End, Points, Remarks, Role, Signal, plain, point, range};

const COLUMNS: [(&str, Look); 14] = [
    ("channel", Look::Key),
    ("source", Look::Key),
    ("mic or DI", Look::Plain),
    ("48 V", Look::Plain),
    ("stand", Look::Plain),
    ("place", Look::Plain),
    ("box, socket", Look::Plain),
    ("plugged in at", Look::Plain),
    ("track", Look::Number),
    ("who", Look::Plain),
    ("polarity", Look::Plain),
    ("pad", Look::Plain),
    ("gain", Look::Number),
    ("notes", Look::Plain),
];

/// Of each desk one list, or one for each act and a table of all acts side by side.
pub(super) fn sheets(whole: &Whole) -> Vec<Sheet> {
    let readers = Readers::of(whole);
    let mut sheets = Vec::new();
    for gear in whole.gear().iter().filter(|gear| gear.device.role == "desk") {
        let desk = gear.device;
        let reader = readers.at(&desk.name);
        let lists = held(gear, |known| Some(sheet(reader, desk, list(known, desk)?)));
        if lists.len() > 1 {
            sheets.extend(side_by_side(whole, reader, desk));
        }
        sheets.extend(lists);
    }
    sheets
}

fn sheet(reader: &'static str, desk: &Device, table: Table) -> Sheet {
    Sheet {
        slug: format!("input-list-{}", desk.name),
        title: format!("Input list: {}", headed(desk)),
        reader,
        parts: vec![Part::Table(table.without_empty_columns())],
        ..Sheet::default()
    }
}

/// The channels of a desk: its first bank inside at which something can end.
pub(super) fn channels<'p>(known: &Known<'p>, desk: &Device) -> Option<&'p Bank> {
    known.banks(&desk.name).iter().find(|bank| bank.role == Role::Inner && bank.end)
}

/// The last channel that somebody asked for.
fn last_in_use(known: &Known, desk: &Device, bank: &Bank) -> Option<u32> {
    (1..=bank.size).rev().find(|n| known.asked(&point(&desk.name, &bank.bank, *n)).is_some())
}

fn list(known: &Known, desk: &Device) -> Option<Table> {
    let bank = channels(known, desk)?;
    let block = block_of(known, desk, bank);
    let mut table = Table::new(COLUMNS);
    for n in 1..=last_in_use(known, desk, bank)? {
        let at = point(&desk.name, &bank.bank, n);
        if block > 1 && (n - 1) % block == 0 {
            table.push(Row::group(of_block(known, desk, bank, n, block)));
        }
        match known.asked(&at) {
            Some((signal, end)) => {
                let cells = std::iter::once(Cell::from(n.to_string())).chain(strip(known, desk, signal, end));
                table.push(Row::of(cells).about(Some(&signal.source)).at([at]));
            }
            None => {
                let along = known.ending(&at).next().map(|(signal, _)| format!("{} comes along", signal.label));
                let mut cells = vec![Cell::default(); COLUMNS.len()];
                let ends = [n.to_string().into(), "free".into()];
                cells.splice(0..2, ends);
                cells.pop();
                cells.push(along.unwrap_or_default().into());
                table.push(Row::of(cells).at([at]).weighing(Weight::Quiet));
            }
        }
    }
    Some(table)
}

/// So many channels are routed together; 1 where each goes its own way.
fn block_of(known: &Known, desk: &Device, bank: &Bank) -> u32 {
    let model = known.plan.models.get(&desk.model);
    let routes = model.map(|model| model.wiring.routes.as_slice()).unwrap_or_default();
    let own = routes.iter().filter(|route| route.bank == bank.bank);
    own.filter_map(|route| route.block).max().unwrap_or(1).max(1)
}

/// `9-16 from portA 9-16`
fn of_block(known: &Known, desk: &Device, bank: &Bank, first: u32, block: u32) -> String {
    let at = Points { device: &desk.name, bank: &bank.bank, first, last: first };
    let last = first.saturating_add(block - 1).min(bank.size);
    let from = known.setting("route", &at).and_then(|setting| setting.from.as_deref());
    let own = |from: &str| Points::read(from).map_or_else(|| from.to_string(), |from| local(&from));
    let from = from.map(|from| format!(" from {}", own(from))).unwrap_or_default();
    format!("{}{from}", range(first, last))
}

/// What stands beside the number of a channel.
fn strip(known: &Known, desk: &Device, signal: &Signal, end: &End) -> [Cell; 13] {
    let (inputs, plug) = (known.inputs_on(&end.path), end.path.first().and_then(|at| known.plug(at)));
    let (preamp, source) = (inputs.last(), known.source(&signal.source));
    let at = preamp.and_then(|at| Points::read(at));
    let own = source.map(|source| &source.remarks);
    let again = source.and_then(|source| source.again.iter().find(|again| again.desk == desk.name));
    let said = |of: fn(&Remarks) -> &Option<String>| {
        let here = again.and_then(|again| of(&again.remarks).clone());
        here.or_else(|| own.and_then(|own| of(own).clone())).unwrap_or_default()
    };
    let mut told = source.map(notes).unwrap_or_default();
    told.extend(again.and_then(|again| again.remarks.note.clone()));
    let set = |set| at.as_ref().map(|at| set_at(known, set, at, desk)).unwrap_or_default();
    let (polarity, before) = (plug.is_some_and(|plug| plug.polarity_inverted), inputs.len().saturating_sub(1));
    let first = inputs.iter().take(before).map(|at| spoken(known, at)).collect::<Vec<_>>();
    [
        signal.label.clone().into(),
        mic(plug).into(),
        at.map(|at| phantom(known, &at, Some(&signal.source))).unwrap_or_default(),
        stand(plug).into(),
        said(|remarks| &remarks.place).into(),
        preamp.copied().or(end.path.first().map(String::as_str)).map(|at| spoken(known, at)).unwrap_or_default().into(),
        first.join(", ").into(),
        tracks(known, desk, signal).into(),
        said(|remarks| &remarks.who).into(),
        if polarity { "inverted" } else { "" }.into(),
        set("pad").into(),
        set("gain").into(),
        told.join(", ").into(),
    ]
}

/// `32 dB`, `pad`, and which desk sets it where that is another one.
fn set_at(known: &Known, set: &str, at: &Points, desk: &Device) -> String {
    let Some(setting) = known.setting(set, at).filter(|setting| setting.value != Some(false.into())) else {
        return String::new();
    };
    let value = if set == "gain" { format!("{} dB", plain(setting.value.as_ref())) } else { set.to_string() };
    let owner = setting.owner.as_ref().filter(|owner| **owner != desk.name);
    owner.map_or_else(|| value.clone(), |owner| format!("{value}, set from {}", known.called(owner)))
}

/// The tracks that take a source: `7`, or `recorder 7` of another device.
fn tracks(known: &Known, desk: &Device, signal: &Signal) -> String {
    let tracks = signal.ends.iter().filter(|end| end.asked).filter_map(|end| Points::read(&end.end));
    let tracks =
        tracks.filter(|at| at.bank == "track").filter(|at| at.device == desk.name || !is_desk(known, at.device));
    let said = tracks.map(|at| match at.device == desk.name {
        true => at.first.to_string(),
        false => format!("{} {}", known.called(at.device), at.first),
    });
    said.collect::<Vec<_>>().join(", ")
}

fn is_desk(known: &Known, device: &str) -> bool {
    known.device(device).is_some_and(|device| device.role == "desk")
}

/// What holds all day, then the other channels by acts in the running order: what each act has there and where it is
/// plugged in.
fn side_by_side(whole: &Whole, reader: &'static str, desk: &Device) -> Option<Sheet> {
    let scenes = whole.scenes();
    let bank = channels(scenes.first()?, desk)?;
    let last = scenes.iter().filter_map(|known| last_in_use(known, desk, bank)).max()?;
    let columns = [
        ("channel", Look::Key),
        ("source", Look::Key),
        ("mic or DI", Look::Plain),
        ("48 V", Look::Plain),
        ("plugged in at", Look::Plain),
    ];
    let (mut day, mut lines) = (Table::new(columns).titled("all day"), Vec::new());
    for n in 1..=last {
        let at = point(&desk.name, &bank.bank, n);
        let in_acts: Vec<Stands> = scenes.iter().map(|known| Stands::of(known, &at)).collect();
        if !all_day(&in_acts) {
            let said = in_acts.iter().map(Stands::said).collect();
            lines.push(Line { head: vec![n.to_string().into()], said, points: vec![at] });
        } else if let Some(Stands { source: Some(source), cells }) = in_acts.into_iter().next() {
            let cells = std::iter::once(Cell::from(n.to_string())).chain(cells);
            day.push(Row::of(cells).about(Some(&source)).at([at]));
        }
    }
    let by_act = tables(whole, "by act", &[("channel", Look::Key)], &lines);
    Some(Sheet {
        slug: format!("festival-patch-{}", desk.name),
        title: format!("Festival patch: {}", headed(desk)),
        reader,
        parts: parts(std::iter::once(day).chain(by_act)),
        ..Sheet::default()
    })
}

/// What stands on a channel in one act: label, microphone, 48 V, socket.
#[derive(Default, PartialEq)]
struct Stands {
    source: Option<String>,
    cells: [Cell; 4],
}

impl Stands {
    fn of(known: &Known, at: &str) -> Stands {
        let Some((signal, end)) = known.asked(at) else { return Stands::default() };
        let plug = end.path.first().and_then(|at| known.plug(at));
        let preamp = known.inputs_on(&end.path).last().and_then(|at| Points::read(at));
        let cells = [
            signal.label.clone().into(),
            mic(plug).into(),
            preamp.map(|at| phantom(known, &at, Some(&signal.source))).unwrap_or_default(),
            end.path.first().map(|at| spoken(known, at)).unwrap_or_default().into(),
        ];
        Stands { source: Some(signal.source.clone()), cells }
    }

    fn said(&self) -> Said {
        let text = self.cells.iter().map(|cell| cell.text.as_str()).filter(|text| !text.is_empty());
        let sign = self.cells.iter().find_map(|cell| cell.sign);
        Said { source: self.source.clone(), cell: Cell { text: text.collect::<Vec<_>>().join(", "), sign } }
    }
}
