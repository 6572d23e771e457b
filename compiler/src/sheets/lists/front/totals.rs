//! How much of everything the show has, counted in the plan: what holds all day, and the act that has most beside it.

use super::super::super::sheet::{Look, Row, Table};
use super::super::whole::{Lists, Whole, act_title};
use crate::plan::{End, Points, Role};
use std::collections::{BTreeMap, BTreeSet};

/// What is counted, and how.
type Count = (&'static str, fn(&Lists) -> usize);

pub(super) fn table(whole: &Whole) -> Table {
    let columns = [("how many", Look::Key), ("all day", Look::Number)];
    let by_act = [("most in one act", Look::Number), ("which", Look::Plain)];
    let mut table = Table::new(columns.into_iter().chain(by_act)).titled("Totals");
    let counts: [Count; 6] = [
        ("inputs plugged in", |lists| lists.plugs.len()),
        ("lines with 48 V", |lists| lists.plugs.iter().filter(|plug| plug.phantom).count()),
        ("outputs", |lists| lists.outputs.len()),
        ("personal feeds", |lists| lists.personal.len()),
        ("boxes, snakes and splits", boxes),
        ("cables laid", |lists| lists.cables.len()),
    ];
    for (what, count) in counts {
        count_into(&mut table, whole, what, count);
    }
    let mut own = |what: &str, count: usize| {
        if count > 0 {
            table.push(Row::of([what.into(), count.to_string().into()]));
        }
    };
    own("mixes that leave", mixes(whole));
    own("tracks", tracks(whole));
    for (carrier, metres) in metres(whole) {
        table.push(Row::of([format!("metres of {carrier}").into(), metres.to_string().into()]));
    }
    table.without_empty_columns()
}

fn count_into(table: &mut Table, whole: &Whole, what: &str, count: fn(&Lists) -> usize) {
    let (mut all_day, mut most) = (0, (0, String::new()));
    for lists in whole.lists() {
        match lists.act {
            None => all_day = count(&lists),
            Some(act) if count(&lists) > most.0 => most = (count(&lists), act_title(act)),
            Some(_) => {}
        }
    }
    if all_day + most.0 > 0 {
        let more = if most.0 > 0 { format!("+ {}", most.0) } else { String::new() };
        table.push(Row::of([what.into(), all_day.to_string().into(), more.into(), most.1.into()]));
    }
}

fn boxes(lists: &Lists) -> usize {
    lists.devices.iter().filter(|device| matches!(device.role.as_str(), "box" | "snake" | "split")).count()
}

/// Origins that some output row sends out, in any act.
fn mixes(whole: &Whole) -> usize {
    whole.lists().flat_map(|lists| lists.outputs).map(|output| &output.from).collect::<BTreeSet<_>>().len()
}

/// Tracks that record something, in any act.
fn tracks(whole: &Whole) -> usize {
    let mut found = BTreeSet::new();
    for known in whole.scenes() {
        let ends = known.view.signals.iter().flat_map(|signal| &signal.ends).filter(|end| end.asked);
        let is_track = |end: &&End| {
            let bank = Points::read(&end.end).and_then(|at| known.bank(&at));
            bank.is_some_and(|bank| bank.bank == "track" && bank.role == Role::Inner && bank.end)
        };
        found.extend(ends.filter(is_track).map(|end| end.end.as_str()));
    }
    found.len()
}

/// Of each type of cable, all acts together; spares for themselves.
fn metres(whole: &Whole) -> BTreeMap<String, f64> {
    let mut of: BTreeMap<String, f64> = BTreeMap::new();
    for lists in whole.lists() {
        let cables = lists.cables.iter().map(|cable| (cable.carrier.as_str(), cable.length_m));
        let spare = lists.spare_cables.iter().map(|cable| ("spare cable", cable.length_m));
        for (carrier, length) in cables.chain(spare) {
            *of.entry(carrier.to_string()).or_default() += length.unwrap_or(0.0);
        }
    }
    of.retain(|_, metres| *metres > 0.0);
    of
}
