//! The preamps of a device, socket by socket: 48 V, gain, pad, and the desk that may change them.

use super::super::super::known::Known;
use super::super::super::sheet::{Cell, Look, Row, Table};
use super::super::words::phantom_on;
use crate::plan::{Device, Setting, plain, point, range};
use std::collections::BTreeMap;

/// What is set at the same sockets.
#[derive(Default)]
struct Preamp {
    phantom: Cell,
    gain: String,
    pad: String,
}

pub(super) fn table(known: &Known, device: &Device, own: &[&Setting]) -> Table {
    let columns = [
        ("bank", Look::Key),
        ("numbers", Look::Key),
        ("source", Look::Plain),
        ("48 V", Look::Key),
        ("gain", Look::Number),
        ("pad", Look::Plain),
        ("set from", Look::Plain),
        ("done", Look::Tick),
    ];
    let mut table = Table::new(columns);
    for ((index, first, last, owner), preamp) in gathered(known, device, own) {
        let Some(bank) = known.banks(&device.name).get(index).map(|bank| &bank.bank) else { continue };
        let points: Vec<String> = (first..=last).map(|n| point(&device.name, bank, n)).collect();
        let sources: Vec<&str> = points.iter().filter_map(|at| known.arriving(at)).collect();
        let labels: Vec<String> = sources.iter().map(|source| known.label(source)).collect();
        let owner = owner.map(|owner| known.called(owner)).unwrap_or_default();
        let cells = [
            bank.clone().into(),
            range(first, last).into(),
            labels.join(", ").into(),
            preamp.phantom,
            preamp.gain.into(),
            preamp.pad.into(),
            owner.into(),
        ];
        let source = if let [only] = sources.as_slice() { Some(*only) } else { None };
        table.push(Row::of(cells).about(source).at(points));
    }
    table
}

/// By bank, first and last socket, and who may change it.
type Key<'p> = (usize, u32, u32, Option<&'p str>);

fn gathered<'p>(known: &Known, device: &Device, own: &[&'p Setting]) -> BTreeMap<Key<'p>, Preamp> {
    let mut all: BTreeMap<Key, Preamp> = BTreeMap::new();
    for setting in own {
        let index = known.banks(&device.name).iter().position(|bank| bank.bank == setting.bank);
        let (Some(index), Some(first)) = (index, setting.first) else { continue };
        let last = setting.last.unwrap_or(first);
        let key = (index, first, last, setting.owner.as_deref());
        let on = setting.is_on();
        match setting.set.as_str() {
            "phantom" if on => all.entry(key).or_default().phantom = phantom_on(),
            "phantom" => all.entry(key).or_default().phantom = Cell::from("off"),
            "gain" => all.entry(key).or_default().gain = format!("{} dB", plain(setting.value.as_ref())),
            "pad" => all.entry(key).or_default().pad = if on { "on" } else { "off" }.to_string(),
            _ => {}
        }
    }
    all
}
