//! The stage patch: for each box, sub-snake and split what is plugged into which socket, and what comes out of it.
//! Sorted by box and socket, since that is how a stage hand reads it.

use super::super::known::Known;
use super::super::sheet::{Cell, Look, Part, Row, Sheet, Sign, Table, Weight};
use super::cautions;
use crate::plan::{Bank, Device, Points, Role, point};

/// One sheet for each piece of gear on stage that has sockets.
pub(super) fn sheets(known: &Known) -> Vec<Sheet> {
    let on_stage = known.devices.iter().filter(|device| matches!(device.role.as_str(), "box" | "snake" | "split"));
    on_stage.map(|device| sheet(known, device)).filter(|sheet| !sheet.parts.is_empty()).collect()
}

fn sheet(known: &Known, device: &Device) -> Sheet {
    let banks = known.banks(&device.name).iter();
    let inputs = banks.clone().filter(|bank| bank.role == Role::In).map(|bank| plugged(known, device, bank));
    let outputs = banks.filter(|bank| bank.role == Role::Out && bank.end).map(|bank| leaving(known, device, bank));
    let tables = inputs.chain(outputs).filter(|table| !table.rows.is_empty());
    Sheet {
        slug: format!("stage-patch-{}", device.name),
        title: format!("Stage patch: {}", known.called(&device.name)),
        reader: "stage crew",
        act: known.act.map(|act| act.act.clone()),
        large: true,
        cautions: vec![cautions::PHANTOM],
        parts: tables.map(|table| Part::Table(table.without_empty_columns())).collect(),
    }
}

/// Every socket, the free ones too: a free socket is looked for in the dark as well.
fn plugged(known: &Known, device: &Device, bank: &Bank) -> Table {
    let columns = [
        ("socket", Look::Key),
        ("source", Look::Key),
        ("mic or DI", Look::Plain),
        ("stand", Look::Plain),
        ("48 V", Look::Plain),
        ("place", Look::Plain),
        ("done", Look::Tick),
    ];
    let mut table = Table::new(columns).titled(format!("{}: plug in", bank.bank));
    for n in 1..=bank.size {
        let at = point(&device.name, &bank.bank, n);
        let Some(source) = known.arriving(&at) else {
            table.push(Row::of([n.to_string().into()]).weighing(Weight::Quiet));
            continue;
        };
        let (plug, row) = (known.plug(&at), known.source(source));
        let spot = Points { device: &device.name, bank: &bank.bank, first: n, last: n };
        let mic = plug.and_then(|plug| plug.mic.clone()).unwrap_or_default();
        let stand = plug.and_then(|plug| plug.stand.clone()).filter(|stand| stand != "none").unwrap_or_default();
        let place = row.and_then(|row| row.remarks.place.clone()).unwrap_or_default();
        let on = known.is_on("phantom", &spot);
        let phantom = if on { Cell { text: "48 V".into(), sign: Some(Sign::Phantom) } } else { Cell::default() };
        let cells = [n.to_string().into(), known.label(source).into(), mic.into(), stand.into(), phantom, place.into()];
        table.push(Row::of(cells).about(Some(source)).at([at]));
    }
    table
}

fn leaving(known: &Known, device: &Device, bank: &Bank) -> Table {
    let columns = [("socket", Look::Key), ("carries", Look::Key), ("to", Look::Plain), ("done", Look::Tick)];
    let mut table = Table::new(columns).titled(format!("{}: comes out", bank.bank));
    for n in 1..=bank.size {
        let at = point(&device.name, &bank.bank, n);
        let arriving = known.passing(&at).iter().find(|(_, end)| end.end == at && end.asked);
        let Some((signal, end)) = arriving else { continue };
        let used_as = end.used_as.clone().unwrap_or_default();
        let cells = [n.to_string().into(), signal.label.clone().into(), used_as.into()];
        table.push(Row::of(cells).about(Some(&signal.source)).at([at]));
    }
    table
}
