//! How a sheet says what differs by act: beside what holds all day a table with a column an act, where a row is one
//! place; else a sheet an act, or one for all acts where they say the same.

use super::super::known::Known;
use super::super::sheet::{Cell, Look, Part, Row, Sheet, Table};
use super::whole::{Gear, Whole, act_title};
use crate::plan::Act;
use std::borrow::Cow;

/// So many acts stand side by side on a page.
const ACTS: usize = 4;

/// What stands at one place in one act.
#[derive(Clone, Default, PartialEq)]
pub(super) struct Said {
    pub source: Option<String>,
    pub cell: Cell,
}

/// One place, with what stands there in each act.
pub(super) struct Line {
    pub head: Vec<Cell>,
    pub said: Vec<Said>,
    pub points: Vec<String>,
}

impl Line {
    /// The source of the row, where it is one in all acts.
    fn source(&self) -> Option<&str> {
        let mut all = self.said.iter().filter_map(|said| said.source.as_deref());
        let first = all.next()?;
        all.all(|other| other == first).then_some(first)
    }
}

/// Whether all scenes say the same.
pub(super) fn all_day<T: PartialEq>(said: &[T]) -> bool {
    said.windows(2).all(|two| two.first() == two.last())
}

/// `Kestrel Field 23:20`
fn column_of(known: &Known) -> String {
    let title = known.act.map(act_title).unwrap_or_default();
    let from = known.act.and_then(|act| act.from.clone());
    from.map_or_else(|| title.clone(), |from| format!("{title} {from}"))
}

/// A column for each act; of many acts several tables. For lines that do not hold all day.
pub(super) fn tables(whole: &Whole, title: &str, head: &[(&'static str, Look)], lines: &[Line]) -> Vec<Table> {
    let mut tables = Vec::new();
    for (nth, acts) in whole.acts.chunks(ACTS).enumerate() {
        let own = head.iter().map(|(name, look)| (Cow::from(*name), *look));
        let of_acts = acts.iter().map(|act| (Cow::from(column_of(act)), Look::Plain));
        let mut table = Table::new(own.chain(of_acts)).titled(title);
        for line in lines {
            let said = line.said.iter().skip(nth * ACTS).take(ACTS);
            if said.clone().any(|said| !said.cell.text.is_empty()) {
                let cells = line.head.iter().cloned().chain(said.map(|said| said.cell.clone()));
                table.push(Row::of(cells).about(line.source()).at(line.points.iter().cloned()));
            }
        }
        tables.push(table);
    }
    tables
}

/// A sheet for each scene in which a device is there; one for all of them where they say the same.
pub(super) fn held<'p>(gear: &Gear<'_, 'p>, make: impl Fn(&Known<'p>) -> Option<Sheet>) -> Vec<Sheet> {
    let mut sheets: Vec<Option<Sheet>> = gear.scenes.iter().map(make).collect();
    let parts: Vec<_> = sheets.iter().map(|sheet| sheet.as_ref().map(|sheet| &sheet.parts)).collect();
    let alike = gear.act.is_none() && all_day(&parts);
    if alike {
        sheets.truncate(1);
        return sheets.into_iter().flatten().collect();
    }
    let named = gear.scenes.iter().zip(sheets).filter_map(|(known, sheet)| Some(of_act(sheet?, known.act)));
    named.collect()
}

/// The same sheet as one of an act.
pub(super) fn of_act(mut sheet: Sheet, act: Option<&Act>) -> Sheet {
    if let Some(act) = act {
        sheet.slug = format!("{}-{}", sheet.slug, act.act);
        sheet.title = format!("{}, {}", sheet.title, act_title(act));
        sheet.act = Some(act.act.clone());
    }
    sheet
}

/// What a scene says, where all say the same; else each with the acts that say it: `out 9 (Kestrel Field)`.
pub(super) fn in_words<'p>(scenes: &[Known<'p>], say: impl Fn(&Known<'p>) -> String) -> String {
    let mut said: Vec<(String, Vec<String>)> = Vec::new();
    for known in scenes {
        let (text, act) = (say(known), known.act.map(act_title).unwrap_or_default());
        match said.iter_mut().find(|(other, _)| *other == text) {
            Some((_, acts)) => acts.push(act),
            None => said.push((text, vec![act])),
        }
    }
    if let [(text, _)] = said.as_slice() {
        return text.clone();
    }
    let parts = said.iter().filter(|(text, _)| !text.is_empty());
    parts.map(|(text, acts)| format!("{text} ({})", acts.join(", "))).collect::<Vec<_>>().join("; ")
}

/// The tables that hold something, as parts.
pub(super) fn parts(tables: impl IntoIterator<Item = Table>) -> Vec<Part> {
    let filled = tables.into_iter().filter(|table| !table.rows.is_empty());
    filled.map(|table| Part::Table(table.without_empty_columns())).collect()
}
