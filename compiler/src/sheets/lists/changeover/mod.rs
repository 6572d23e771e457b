//! What is done between the acts: the running order on a page, and for each act what is unplugged, moved and plugged
//! after the acts that may have played before. 48 V goes off first and on last.

mod page;
mod steps;

use super::super::known::Known;
use super::super::sheet::{Look, Part, Row, Sheet, Table};
use super::whole::{Whole, act_title};
use super::{cautions, reader};
use rustc_hash::FxHashMap;
use steps::{Do, Turn};

/// The running order, then a page an act. Nothing where there are no acts.
pub(super) fn sheets(whole: &Whole) -> Vec<Sheet> {
    if whole.acts.is_empty() {
        return Vec::new();
    }
    let by_name: FxHashMap<&str, &Known> =
        whole.acts.iter().filter_map(|known| Some((known.act?.act.as_str(), known))).collect();
    let turns: Vec<Turn> = whole.acts.iter().filter_map(|known| Turn::of(whole, known, &by_name)).collect();
    let mut sheets = vec![running_order(whole, &turns)];
    sheets.extend(turns.iter().map(|turn| page::sheet(whole, turn)));
    sheets
}

fn running_order(whole: &Whole, turns: &[Turn]) -> Sheet {
    let columns = [
        ("from", Look::Key),
        ("to", Look::Plain),
        ("act", Look::Key),
        ("minutes before", Look::Number),
        ("plug or move", Look::Number),
        ("unplug", Look::Number),
        ("48 V off", Look::Number),
        ("brings", Look::Plain),
        ("ready", Look::Tick),
    ];
    let mut table = Table::new(columns);
    for turn in turns {
        let act = turn.act;
        let brings: Vec<String> = act.devices.iter().map(|device| whole.called(&device.name)).collect();
        let cells = [
            act.from.clone().unwrap_or_default().into(),
            act.to.clone().unwrap_or_default().into(),
            act_title(act).into(),
            turn.minutes().map(|minutes| minutes.to_string()).unwrap_or_default().into(),
            turn.to_do(Do::Plug).count().to_string().into(),
            turn.to_do(Do::Unplug).count().to_string().into(),
            turn.changeover.off.len().to_string().into(),
            brings.join(", ").into(),
        ];
        table.push(Row::of(cells));
    }
    Sheet {
        slug: "running-order".into(),
        title: "Running order".into(),
        reader: reader::EVERYBODY,
        large: true,
        cautions: vec![cautions::HEARING],
        parts: vec![Part::Table(table.without_empty_columns())],
        ..Sheet::default()
    }
}
