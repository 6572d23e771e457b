//! The order of switching gear on, and off in reverse, as the plan has it. It says in which turn, and nothing of how
//! mains are laid: that is for licensed people.

use super::super::sheet::{Cell, Look, Part, Row, Sheet, Table, Weight};
use super::whole::Whole;
use super::{cautions, reader, reminders};
use crate::plan::{Points, PowerStep, ranges};
use std::collections::BTreeSet;

/// Nothing where there is nothing to order.
pub(super) fn sheet(whole: &Whole) -> Option<Sheet> {
    let steps = &whole.plan.power;
    if steps.len() < 2 {
        return None;
    }
    Some(Sheet {
        slug: "power".into(),
        title: "Power on, power off".into(),
        reader: reader::STAGE,
        act: None,
        large: true,
        cautions: vec![cautions::MAINS, cautions::EARTH, cautions::HEARING, cautions::PHANTOM_EARS],
        parts: vec![
            Part::Words("Outputs muted. A step at a time, some seconds between.".into()),
            Part::Table(on(whole, steps)),
            reminders::to_tick("Then, at each desk", &[reminders::LOOK_FOR_BOXES]),
            Part::Table(off(whole, steps)),
        ],
    })
}

fn on(whole: &Whole, steps: &[PowerStep]) -> Table {
    let columns = [
        ("step", Look::Key),
        ("switch on", Look::Key),
        ("what", Look::Plain),
        ("place", Look::Plain),
        ("supply", Look::Plain),
        ("on", Look::Tick),
    ];
    let mut table = Table::new(columns).titled("On");
    for (number, step) in (1..).zip(steps) {
        table.push(Row::group(format!("Step {number}: {}", step.why)));
        for row in rows(whole, step) {
            let cells = std::iter::once(Cell::from(number.to_string())).chain(row.cells);
            table.push(Row { cells: cells.collect(), ..row });
        }
    }
    table.without_empty_columns()
}

fn off(whole: &Whole, steps: &[PowerStep]) -> Table {
    let mut table = Table::new([("turn", Look::Key), ("switch off", Look::Key), ("off", Look::Tick)]).titled("Off");
    for (turn, step) in (1..).zip(steps.iter().rev()) {
        let first = |row: Row| row.cells.into_iter().next().map(|cell| cell.text);
        let names: Vec<String> = rows(whole, step).into_iter().filter_map(first).collect();
        table.push(Row::of([Cell::from(format!("{turn}")), names.join(", ").into()]));
    }
    table
}

/// Of a step: name, what it is, place, supply. Sources share a row, and so do the sockets of a device.
fn rows(whole: &Whole, step: &PowerStep) -> Vec<Row> {
    let mut rows = Vec::new();
    if !step.sources.is_empty() {
        let labels: Vec<String> = step.sources.iter().map(|source| whole.label(source)).collect();
        rows.push(Row::of([labels.join(", ").into(), "sources with a switch of their own".into()]));
    }
    for powered in &step.devices {
        let device = whole.devices().find(|device| device.name == powered.device);
        let model = device.map(|device| whole.model(device)).unwrap_or_default();
        let place = device.and_then(|device| device.remarks.place.clone()).unwrap_or_default();
        let supply = powered.supply.clone().unwrap_or_default();
        rows.push(Row::of([whole.called(&powered.device).into(), model.into(), place.into(), supply.into()]));
    }
    rows.extend(hanging(whole, &step.outputs));
    rows
}

/// What hangs on the sockets of each device.
fn hanging(whole: &Whole, outputs: &[String]) -> Vec<Row> {
    let mut banks: Vec<(Points, BTreeSet<u32>)> = Vec::new();
    for at in outputs.iter().filter_map(|output| Points::read(output)) {
        match banks.last_mut() {
            Some((bank, numbers)) if (bank.device, bank.bank) == (at.device, at.bank) => numbers.extend([at.first]),
            _ => banks.push((at, BTreeSet::from([at.first]))),
        }
    }
    let row = |(bank, numbers): (Points, BTreeSet<u32>)| {
        let name = format!("what hangs on {} {} {}", whole.called(bank.device), bank.bank, ranges(&numbers));
        let points = numbers.iter().map(|n| crate::plan::point(bank.device, bank.bank, *n));
        let row = Row::of([name.into(), "amplifiers, powered loudspeakers, senders".into()]);
        row.at(points.collect::<Vec<_>>()).weighing(Weight::Danger)
    };
    banks.into_iter().map(row).collect()
}
