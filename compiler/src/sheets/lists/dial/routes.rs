//! What feeds what, bank by bank, blocks as blocks, with what each point then shows.

use super::super::super::known::Known;
use super::super::super::sheet::{Cell, Look, Row, Table};
use super::super::words::headed;
use crate::plan::{Device, Points, Run, Setting, point, range, runs, unlike_points};
use std::collections::BTreeMap;

/// `scenes` are all in which these settings hold.
pub(super) fn table(known: &Known, scenes: &[Known], device: &Device, own: &[&Setting]) -> Table {
    let columns = [
        ("bank", Look::Key),
        ("numbers", Look::Key),
        ("from", Look::Key),
        ("done", Look::Tick),
        ("then shows", Look::Plain),
        ("seen", Look::Tick),
    ];
    let mut table = Table::new(columns);
    for run in runs(own) {
        let shows = Shows::of(scenes, device, &run);
        let cells = [
            bank(known, device, run.bank),
            range(run.first, run.last),
            from(known, device, &run.from),
            String::new(),
            shows.in_words(),
        ];
        let points = (run.first..=run.last).map(|n| point(&device.name, run.bank, n));
        table.push(Row::of(cells.map(Cell::from)).about(shows.only()).at(points));
    }
    table
}

/// Routes that hold all day and over which an act shows something of its own: nothing to dial, something to see.
pub(super) fn not_dialled(known: &Known, scenes: &[Known], device: &Device, stays: &[&Setting]) -> Table {
    let columns = [("bank", Look::Key), ("numbers", Look::Key), ("shows here", Look::Plain), ("seen", Look::Tick)];
    let title = format!("{}: nothing to dial, but look", headed(device));
    let mut table = Table::new(columns).titled(title);
    for run in runs(stays).into_iter().filter(|run| !is_port(known, device, run.bank)) {
        if Shows::of(scenes, device, &run).by_act {
            let here = Shows::of(std::slice::from_ref(known), device, &run);
            let cells = [bank(known, device, run.bank), range(run.first, run.last), here.in_words()];
            let points = (run.first..=run.last).map(|n| point(&device.name, run.bank, n));
            table.push(Row::of(cells.map(Cell::from)).about(here.only()).at(points));
        }
    }
    table
}

/// What the points of a run then show.
struct Shows<'p> {
    one_point: bool,
    /// Number, source and label, of what is the same in all scenes.
    same: Vec<(u32, &'p str, String)>,
    /// Some of it is not.
    by_act: bool,
}

impl<'p> Shows<'p> {
    fn of(scenes: &[Known<'p>], device: &Device, run: &Run) -> Self {
        let mut shows = Shows { one_point: run.first == run.last, same: Vec::new(), by_act: false };
        let mut all = scenes.iter().map(|known| arriving(known, device, run));
        let first = all.next().unwrap_or_default();
        let others: Vec<BTreeMap<u32, (&str, String)>> = all.collect();
        shows.by_act = others.iter().any(|other| *other != first);
        let same = |n: &u32, one: &(&str, String)| others.iter().all(|other| other.get(n) == Some(one));
        let kept = first.into_iter().filter(|(n, one)| same(n, one));
        shows.same = kept.map(|(n, (source, label))| (n, source, label)).collect();
        shows
    }

    /// `1 Kick In, 2 Kick Out`; where a run is one point, its label alone.
    fn in_words(&self) -> String {
        let mut said: Vec<String> = match (self.one_point, self.same.as_slice()) {
            (true, [(_, _, label)]) => vec![label.clone()],
            (_, same) => same.iter().map(|(n, _, label)| format!("{n} {label}")).collect(),
        };
        match (self.by_act, said.is_empty()) {
            (true, true) => said.push("by act".to_string()),
            (true, false) => said.push("the rest by act".to_string()),
            (false, true) => said.push("nothing".to_string()),
            (false, false) => {}
        }
        said.join(", ")
    }

    fn only(&self) -> Option<&'p str> {
        let (_, first, _) = self.same.first()?;
        self.same.iter().all(|(_, source, _)| source == first).then_some(*first)
    }
}

/// What comes to each point by this route: its source, and how people call it. Silent ones are left out.
fn arriving<'p>(known: &Known<'p>, device: &Device, run: &Run) -> BTreeMap<u32, (&'p str, String)> {
    // A mix without a name goes by its number.
    let own = format!("{}.", device.name);
    let one = |(n, feed): (u32, String)| {
        let at = known.in_paths(&point(&device.name, run.bank, n));
        let feed = known.in_paths(&feed);
        let by = |path: &[String]| path.windows(2).any(|two| two.first() == Some(&feed) && two.last() == Some(&at));
        let (signal, _) = known.passing(&at).iter().find(|(_, end)| by(&end.path))?;
        let label = signal.label.strip_prefix(&own).unwrap_or(&signal.label);
        Some((n, (signal.source.as_str(), label.to_string())))
    };
    (run.first..=run.last).zip(feeds(known, device, run)).filter_map(one).collect()
}

fn is_port(known: &Known, device: &Device, bank: &str) -> bool {
    let model = known.plan.models.get(&device.model);
    model.is_some_and(|model| model.wiring.ports.iter().any(|port| port.port == bank))
}

/// `channel`, `into portA`
fn bank(known: &Known, device: &Device, bank: &str) -> String {
    if is_port(known, device, bank) { format!("into {bank}") } else { bank.to_string() }
}

/// `portA 1-8`, `extras (aux-out 1-4, cue 1-2)`
fn from(known: &Known, device: &Device, from: &str) -> String {
    let own = from.strip_prefix(&device.name).and_then(|rest| rest.strip_prefix('.')).unwrap_or(from);
    let wiring = known.plan.models.get(&device.model).map(|model| &model.wiring);
    format!("{own}{}", unlike_points(wiring, own))
}

/// The points that feed the run, in order.
fn feeds(known: &Known, device: &Device, run: &Run) -> Vec<String> {
    if let Some(from) = Points::read(&run.from)
        && is_bank(known, &from)
    {
        return (from.first..=from.last).map(|n| point(from.device, from.bank, n)).collect();
    }
    let own = run.from.strip_prefix(&device.name).and_then(|rest| rest.strip_prefix('.')).unwrap_or(&run.from);
    let (name, numbers) = own.rsplit_once(' ').unwrap_or((own, ""));
    let model = known.plan.models.get(&device.model);
    let blocks = model.map(|model| model.wiring.blocks.as_slice()).unwrap_or_default();
    let Some(block) = blocks.iter().find(|block| block.block == name) else { return Vec::new() };
    let points = block.points.iter().flat_map(|range| {
        let (bank, numbers) = range.rsplit_once(' ').unwrap_or((range, ""));
        let (first, last) = ends(numbers).unwrap_or((1, 0));
        (first..=last).map(move |n| point(&device.name, bank, n))
    });
    match ends(numbers) {
        Some((first, last)) => {
            let (skip, take) = (first.saturating_sub(1), (last - first).saturating_add(1));
            points.skip(skip as usize).take(take as usize).collect()
        }
        None => points.collect(),
    }
}

/// A bank or a port, and not a block with a name of its own.
fn is_bank(known: &Known, at: &Points) -> bool {
    let model = known.device(at.device).and_then(|device| known.plan.models.get(&device.model));
    model.is_some_and(|model| !model.wiring.blocks.iter().any(|block| block.block == at.bank))
}

fn ends(numbers: &str) -> Option<(u32, u32)> {
    let (first, last) = numbers.split_once('-').unwrap_or((numbers, numbers));
    let (first, last) = (first.parse().ok()?, last.parse().ok()?);
    (first <= last).then_some((first, last))
}
