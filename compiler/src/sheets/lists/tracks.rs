//! What is recorded where: a row a track, the unused ones too, since days later nobody knows whether a silent track
//! failed.

use super::super::known::Known;
use super::super::sheet::{Cell, Look, Part, Row, Sheet, Table, Weight};
use super::by_act::held;
use super::reader::RECORDIST;
use super::reminders;
use super::whole::Whole;
use super::words::{headed, local, spoken};
use crate::plan::{Bank, Device, End, Points, Role, Signal, point, range};

/// The bank that a row of the language records to.
const TRACKS: &str = "track";

/// One sheet for each device that records something.
pub(super) fn sheets(whole: &Whole) -> Vec<Sheet> {
    whole.gear().iter().flat_map(|gear| held(gear, |known| sheet(known, gear.device))).collect()
}

fn sheet(known: &Known, device: &Device) -> Option<Sheet> {
    let bank = known.banks(&device.name).iter().find(|bank| bank.bank == TRACKS && bank.role == Role::Inner)?;
    let table = tracks(known, device, bank)?;
    let runs = known.plan.recordings.iter().filter(|one| one.device == device.name);
    let said = runs.map(|one| {
        let minutes = one.seconds / 60.0;
        Part::Words(format!("{} tracks for {minutes} min: {:.1} GB at 24 bit.", one.tracks, one.bytes / 1e9))
    });
    let space = device.space_bytes.map(|bytes| Part::Words(format!("Free on its disk: {:.1} GB.", bytes / 1e9)));
    let check = reminders::to_tick("Before doors", &[reminders::PLAY_BACK]);
    let parts = said.chain(space).chain([Part::Table(table.without_empty_columns()), check]);
    Some(Sheet {
        slug: format!("tracks-{}", device.name),
        title: format!("Recorder tracks: {}", headed(device)),
        reader: RECORDIST,
        parts: parts.collect(),
        ..Sheet::default()
    })
}

fn tracks(known: &Known, device: &Device, bank: &Bank) -> Option<Table> {
    let at = |n| point(&device.name, &bank.bank, n);
    let columns = [
        ("track", Look::Key),
        ("label", Look::Key),
        ("source", Look::Plain),
        ("taken from", Look::Plain),
        ("plugged in at", Look::Plain),
        ("armed", Look::Tick),
        ("played back", Look::Tick),
        ("notes", Look::Room),
    ];
    let mut table = Table::new(columns);
    let mut unused: Option<(u32, u32)> = None;
    let mut any = false;
    for n in 1..=bank.size {
        let Some((signal, end)) = known.asked(&at(n)) else {
            unused = Some(unused.map_or((n, n), |(first, _)| (first, n)));
            continue;
        };
        any = true;
        say_unused(&mut table, unused.take());
        table.push(row(known, device, n, signal, end));
    }
    say_unused(&mut table, unused);
    any.then_some(table)
}

fn say_unused(table: &mut Table, run: Option<(u32, u32)>) {
    if let Some((first, last)) = run {
        table.push(Row::of([range(first, last).into(), Cell::from("unused")]).weighing(Weight::Quiet));
    }
}

fn row(known: &Known, device: &Device, n: u32, signal: &Signal, end: &End) -> Row {
    let before = end.path.iter().rev().nth(1).and_then(|at| Points::read(at));
    let taken = before.map(|at| match at.device == device.name {
        true => local(&at),
        false => spoken(known, &point(at.device, at.bank, at.first)),
    });
    let source =
        if Points::read(&signal.source).is_some() { spoken(known, &signal.source) } else { signal.source.clone() };
    let plugged = end.path.first().filter(|at| **at != signal.source).map(|at| spoken(known, at));
    let cells = [n.to_string(), signal.label.clone(), source, taken.unwrap_or_default(), plugged.unwrap_or_default()];
    Row::of(cells.map(Cell::from)).about(Some(&signal.source)).at([end.end.clone()])
}
