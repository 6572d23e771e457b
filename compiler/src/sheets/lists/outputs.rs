//! The output list: what leaves each desk, for whom, and where it comes out. What one act adds stands apart.

use super::super::known::Known;
use super::super::sheet::{Cell, Look, Row, Sheet, Table};
use super::by_act::{in_words, parts};
use super::reader::HOUSE;
use super::whole::{Whole, act_title};
use super::words::{at_the_end, local, made, spoken};
use super::{cautions, reminders};
use crate::plan::{Act, Output, Points, Role};
use std::collections::BTreeMap;

const COLUMNS: [(&str, Look); 9] = [
    ("leaves", Look::Key),
    ("name", Look::Key),
    ("for", Look::Plain),
    ("stereo", Look::Plain),
    ("who", Look::Plain),
    ("place", Look::Plain),
    ("desk output", Look::Plain),
    ("box, socket", Look::Key),
    ("amplifier or sender, notes", Look::Room),
];

pub(super) fn sheet(whole: &Whole) -> Option<Sheet> {
    let mut tables = by_desk(whole, &whole.plan.outputs, None);
    for act in &whole.plan.acts {
        tables.extend(by_desk(whole, &act.outputs, Some(act)));
    }
    let mut parts = parts(tables);
    if parts.is_empty() {
        return None;
    }
    // Here stands what a guest's file must not take over.
    parts.push(reminders::to_tick("When a guest's show file is loaded on a house desk", &[reminders::GUEST_FILE]));
    Some(Sheet {
        slug: "output-list".to_string(),
        title: "Output list".to_string(),
        reader: HOUSE,
        cautions: vec![cautions::HEARING],
        parts,
        ..Sheet::default()
    })
}

/// A table a desk, in the order of the plan.
fn by_desk(whole: &Whole, outputs: &[Output], act: Option<&Act>) -> Vec<Table> {
    let mut desks: BTreeMap<&str, Vec<&Output>> = BTreeMap::new();
    for output in outputs {
        let desk = Points::read(&output.from).map_or(output.from.as_str(), |at| at.device);
        desks.entry(desk).or_default().push(output);
    }
    let only = act.map(|act| format!(", only {}", act_title(act))).unwrap_or_default();
    let scenes = whole.scenes_of(act);
    let table = |(desk, outputs): (&str, Vec<&Output>)| {
        let mut table = Table::new(COLUMNS).titled(format!("{}{only}", whole.called(desk)));
        outputs.iter().for_each(|output| table.push(row(scenes, output)));
        table
    };
    desks.into_iter().map(table).collect()
}

fn row(scenes: &[Known], output: &Output) -> Row {
    let remarks = &output.remarks;
    let label = output.label.clone().unwrap_or_default();
    let side = match (output.stereo, label.ends_with(" L"), label.ends_with(" R")) {
        (true, true, _) => "left",
        (true, _, true) => "right",
        (true, ..) => "stereo",
        (false, ..) => "",
    };
    let by = in_words(scenes, |known| desk_output(known, output));
    let cells = [
        made(&output.from),
        label,
        at_the_end(output.used_as.as_deref()),
        side.to_string(),
        remarks.who.clone().unwrap_or_default(),
        remarks.place.clone().unwrap_or_default(),
        by,
        scenes.first().map(|known| spoken(known, &output.to)).unwrap_or_default(),
        remarks.note.clone().unwrap_or_default(),
    ];
    Row::of(cells.map(Cell::from)).about(Some(&output.from)).at([output.from.clone(), output.to.clone()])
}

/// `out 5`: the desk's own socket on the way, else the slot of its link.
fn desk_output(known: &Known, output: &Output) -> String {
    let Some(desk) = Points::read(&output.from) else { return String::new() };
    let end = known.signal(&output.from).and_then(|signal| signal.ends.iter().find(|end| end.end == output.to));
    let way = end.map(|end| end.path.as_slice()).unwrap_or_default().iter().skip(1);
    let mut own = way.filter(|at| Points::read(at).is_some_and(|at| at.device == desk.device));
    let out = own.clone().find(|at| known.role(at) == Some(Role::Out));
    let at = out.or_else(|| own.next_back()).and_then(|at| Points::read(at));
    at.map(|at| local(&at)).unwrap_or_default()
}
