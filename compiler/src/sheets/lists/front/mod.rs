//! The front page: which show this is, what is unusual about it, what is otherwise than before, how much of everything
//! there is, who is who, and which sheet is for whom. All of it is taken from the plan.

mod totals;
mod unusual;

use super::super::sheet::{Look, Part, Row, Sheet, Table};
use super::whole::{Whole, act_title, times};
use super::{cautions, changed, reader, reminders};
use crate::compare::Comparison;
use crate::plan::{Plan, Remarks};
use std::collections::BTreeMap;

/// `sheets` are all others, in the order of the book.
pub(super) fn sheet(whole: &Whole, changed: Option<&Comparison>, sheets: &[Sheet]) -> Sheet {
    let changed = changed.map(changed::briefly).unwrap_or_default();
    let tables = [show(whole), unusual::table(whole), allowed(whole), changes(whole.plan)];
    let filled = tables.into_iter().chain([totals::table(whole), contacts(whole), contents(sheets)]);
    let mut parts: Vec<Part> = filled.filter(|table| !table.rows.is_empty()).map(Part::Table).collect();
    parts.splice(1..1, changed);
    parts.push(reminders::to_tick("Before it is handed out", &[reminders::SAME_MARK, reminders::UNUSUAL]));
    Sheet {
        slug: "front".into(),
        title: "Front page".into(),
        reader: reader::EVERYBODY,
        cautions: vec![
            cautions::PHANTOM,
            cautions::PHANTOM_EARS,
            cautions::HEARING,
            cautions::EARTH,
            cautions::MAINS,
            cautions::OVERHEAD,
        ],
        parts,
        ..Sheet::default()
    }
}

fn show(whole: &Whole) -> Table {
    let plan = whole.plan;
    let mut table = Table::new([("what", Look::Plain), ("is", Look::Key)]).titled("This show");
    let mut say = |what: &str, is: Option<String>| {
        if let Some(is) = is {
            table.push(Row::of([what.into(), is.into()]));
        }
    };
    say("show", Some(plan.show.title.clone()));
    say("venue", plan.show.venue.clone());
    say("date", plan.show.date.clone());
    say("rate", Some(format!("{} kHz", f64::from(plan.rate_hz) / 1000.0)));
    say("clock", Some(plan.clock.as_ref().map_or_else(|| "nobody said which".into(), |clock| whole.called(clock))));
    say("mark", Some(whole.mark.to_string()));
    for act in &plan.acts {
        say("act", Some(format!("{} {}", act_title(act), times(act)).trim_end().to_string()));
    }
    table
}

/// What a rule speaks against and the show says is meant: who has not made it reads here that it is no mistake.
fn allowed(whole: &Whole) -> Table {
    let columns = [("what is so", Look::Key), ("because", Look::Plain), ("in act", Look::Plain), ("rule", Look::Plain)];
    let mut table = Table::new(columns).titled("Allowed in this show");
    for one in &whole.plan.allowed {
        let act = whole.acts_called(&one.act.iter().map(String::as_str).collect());
        for said in &one.said {
            let cells = [said.replace('`', ""), one.because.clone(), act.clone(), one.rule.clone()];
            table.push(Row::of(cells.map(Into::into)));
        }
    }
    table.without_empty_columns()
}

/// What a `change` made otherwise than in the files that the show took over.
fn changes(plan: &Plan) -> Table {
    let columns = [("changed", Look::Key), ("now", Look::Key), ("in file", Look::Plain), ("was", Look::Plain)];
    let columns = columns.into_iter().chain([("in its file", Look::Plain), ("in act", Look::Plain)]);
    let mut table = Table::new(columns).titled("Changed for this show");
    for change in &plan.changes {
        let said = |text: &Option<String>| text.clone().unwrap_or_default().into();
        let (was, was_in, act) = (said(&change.was), said(&change.was_in), said(&change.act));
        let cells =
            [change.thing.clone().into(), change.now.clone().into(), change.now_in.clone().into(), was, was_in, act];
        table.push(Row::of(cells));
    }
    table.without_empty_columns()
}

/// Everybody whom a row names, with what for.
fn contacts(whole: &Whole) -> Table {
    let mut people: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut add = |remarks: &Remarks, what: String| {
        if let Some(who) = &remarks.who {
            let of = people.entry(who.clone()).or_default();
            if !of.contains(&what) {
                of.push(what);
            }
        }
    };
    for lists in whole.lists() {
        lists.devices.iter().for_each(|device| add(&device.remarks, whole.called(&device.name)));
        lists.sources.iter().for_each(|source| add(&source.remarks, source.label.clone()));
        for output in lists.outputs {
            add(&output.remarks, output.label.clone().unwrap_or_else(|| whole.spot(&output.from)));
        }
        lists.personal.iter().for_each(|feed| add(&feed.remarks, whole.spot(&feed.feed)));
        lists.cables.iter().for_each(|cable| add(&cable.remarks, format!("cable {} to {}", cable.from, cable.to)));
    }
    let mut table =
        Table::new([("who", Look::Key), ("what", Look::Plain), ("how to reach", Look::Room)]).titled("Who is who");
    people.into_iter().for_each(|(who, of)| table.push(Row::of([who.into(), of.join(", ").into()])));
    table
}

/// Whom each sheet is for; sheets of several acts by one name stand there once.
fn contents(sheets: &[Sheet]) -> Table {
    let mut readers: Vec<(&str, Vec<&str>)> = Vec::new();
    for sheet in sheets {
        let title = sheet.act.as_ref().and_then(|_| Some(sheet.title.rsplit_once(": ")?.0)).unwrap_or(&sheet.title);
        let at = readers.iter().position(|(reader, _)| *reader == sheet.reader).unwrap_or(readers.len());
        if at == readers.len() {
            readers.push((sheet.reader, Vec::new()));
        }
        if let Some((_, titles)) = readers.get_mut(at)
            && !titles.contains(&title)
        {
            titles.push(title);
        }
    }
    let mut table =
        Table::new([("for", Look::Key), ("sheets", Look::Plain), ("handed out", Look::Tick)]).titled("Sheets");
    readers.into_iter().for_each(|(reader, titles)| table.push(Row::of([reader.into(), titles.join(" · ").into()])));
    table
}
