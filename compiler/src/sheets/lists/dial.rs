//! What to dial in, device by device, in the order of dialling: where banks ride, then what feeds what, then the
//! preamps. Every setting of the plan stands on one row, and beside a route what the device then shows. What an act
//! sets beside that stands on a sheet of its own.

mod preamps;
mod routes;

use super::super::known::Known;
use super::super::sheet::{Cell, Look, Part, Row, Sheet, Table};
use super::by_act::parts;
use super::cautions;
use super::reader::{Readers, STAGE};
use super::whole::{Whole, act_title};
use super::words::headed;
use crate::plan::{Device, Setting, plain};
use rustc_hash::FxHashMap;

type ByDevice<'p> = FxHashMap<&'p str, Vec<&'p Setting>>;

/// A sheet for each device that is set to something, then one for each act.
pub(super) fn sheets(whole: &Whole) -> Vec<Sheet> {
    let readers = Readers::of(whole);
    let house = whole.house;
    let all_day = by_device(&house.view.settings);
    let mut sheets = Vec::new();
    for device in &house.devices {
        let own = all_day.get(device.name.as_str());
        sheets.extend(own.map(|own| all_day_sheet(whole, &readers, device, own)));
    }
    sheets.extend(whole.acts.iter().filter_map(|known| act_sheet(whole, known, &all_day)));
    sheets
}

fn by_device<'p>(settings: &[&'p Setting]) -> ByDevice<'p> {
    let mut by_device = ByDevice::default();
    for setting in settings {
        by_device.entry(&setting.device).or_default().push(setting);
    }
    by_device
}

fn all_day_sheet(whole: &Whole, readers: &Readers, device: &Device, own: &[&Setting]) -> Sheet {
    let more = if whole.acts.is_empty() { "" } else { ", all day" };
    Sheet {
        slug: format!("dial-in-{}", device.name),
        title: format!("Dial in: {}{more}", headed(device)),
        reader: if device.role == "desk" { readers.at(&device.name) } else { STAGE },
        cautions: cautions_for(own),
        parts: tables(whole.house, whole.scenes(), device, own, ""),
        ..Sheet::default()
    }
}

/// What one act sets beside what holds all day, and what it changes without a hand on the desk.
fn act_sheet(whole: &Whole, known: &Known, all_day: &ByDevice) -> Option<Sheet> {
    let act = known.act?;
    let of_act = by_device(&act.settings.iter().collect::<Vec<_>>());
    let mut parts = Vec::new();
    for device in &known.devices {
        let own = of_act.get(device.name.as_str()).map(Vec::as_slice).unwrap_or_default();
        let name = format!("{}, ", headed(device));
        parts.extend(tables(known, whole.scenes_of(Some(act)), device, own, &name));
        let stays = all_day.get(device.name.as_str()).map(Vec::as_slice).unwrap_or_default();
        parts.extend(self::parts([routes::not_dialled(known, whole.scenes(), device, stays)]));
    }
    (!parts.is_empty()).then(|| Sheet {
        slug: format!("dial-in-{}", act.act),
        title: format!("Dial in: {}, beside what holds all day", act_title(act)),
        reader: super::reader::HOUSE,
        act: Some(act.act.clone()),
        cautions: cautions_for(&act.settings.iter().collect::<Vec<_>>()),
        parts,
        ..Sheet::default()
    })
}

fn cautions_for(settings: &[&Setting]) -> Vec<&'static str> {
    let phantom = settings.iter().any(|setting| setting.set == "phantom");
    if phantom { vec![cautions::PHANTOM, cautions::PHANTOM_EARS] } else { Vec::new() }
}

fn tables(known: &Known, scenes: &[Known], device: &Device, own: &[&Setting], name: &str) -> Vec<Part> {
    parts([
        places(own).titled(format!("{name}first: where banks begin, and modes")),
        routes::table(known, scenes, device, own).titled(format!("{name}then: what feeds what")),
        preamps::table(known, device, own).titled(format!("{name}then: preamps")),
    ])
}

/// Offsets, slots and modes.
fn places(own: &[&Setting]) -> Table {
    let columns =
        [("bank", Look::Key), ("set", Look::Plain), ("to", Look::Key), ("done", Look::Tick), ("means", Look::Plain)];
    let mut table = Table::new(columns);
    for setting in own.iter().filter(|setting| matches!(setting.set.as_str(), "offset" | "slot" | "mode")) {
        let value = plain(setting.value.as_ref());
        let means = match setting.set.as_str() {
            "offset" => format!("{} 1 takes slot {value} of its link, and so on", setting.bank),
            "slot" => format!("{} 1 rides on slot {value} of its link, and so on", setting.bank),
            _ => String::new(),
        };
        let cells = [setting.bank.clone(), setting.set.clone(), value, String::new(), means];
        table.push(Row::of(cells.map(Cell::from)));
    }
    table
}
