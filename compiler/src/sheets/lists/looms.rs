//! Sub-snakes, splits and looms, line by line: which socket becomes which, what goes over it, and room to tick what
//! was tested. The numbers of both ends stand on one row, since mixing them up is the usual mistake.

use super::super::known::Known;
use super::super::sheet::{Cell, Look, Row, Sheet, Table, Weight};
use super::by_act::{in_words, parts};
use super::reader::STAGE;
use super::whole::{Whole, act_title};
use super::words::{local, spoken};
use crate::plan::{Act, Cable, Points, length, point};

/// One sheet of all lines, a table a cable.
pub(super) fn sheet(whole: &Whole) -> Option<Sheet> {
    let house = whole.plan.cables.iter().map(|cable| (None, cable));
    let acts = whole.plan.acts.iter().flat_map(|act| act.cables.iter().map(move |cable| (Some(act), cable)));
    let parts = parts(house.chain(acts).filter_map(|(act, cable)| lines(whole, act, cable)));
    (!parts.is_empty()).then(|| Sheet {
        slug: "sub-snakes-and-looms".to_string(),
        title: "Sub-snakes, splits and looms".to_string(),
        reader: STAGE,
        parts,
        ..Sheet::default()
    })
}

fn lines(whole: &Whole, act: Option<&Act>, cable: &Cable) -> Option<Table> {
    let (from, to) = (Points::read(&cable.from)?, Points::read(&cable.to)?);
    let scenes = whole.scenes_of(act);
    let home = scenes.first()?;
    let columns = [
        ("line", Look::Key),
        ("to", Look::Key),
        ("carries", Look::Plain),
        ("tested", Look::Tick),
        ("fault", Look::Room),
    ];
    let metres = Some(length(cable.length_m)).filter(|metres| !metres.is_empty());
    let only = act.map(|act| format!("only {}", act_title(act)));
    let more = [metres, cable.remarks.place.clone(), cable.remarks.note.clone(), only].into_iter().flatten();
    let title = [format!("{} to {}", spoken(home, &cable.from), spoken(home, &cable.to))].into_iter().chain(more);
    let mut table = Table::new(columns).titled(title.collect::<Vec<_>>().join(", "));
    for n in from.first..=from.last {
        let here = point(from.device, from.bank, n);
        let Some(there) = to.matching(from.first, n) else { break };
        let label =
            |known: &Known| known.passing(&here).first().map(|(signal, _)| signal.label.clone()).unwrap_or_default();
        let carries = in_words(scenes, label);
        let dead = dead(home, &from, n).or_else(|| dead(home, &to, Points::read(&there)?.first));
        let passing = scenes.iter().filter_map(|known| known.passing(&here).first());
        let mut sources = passing.map(|(signal, _)| signal.source.as_str());
        let source = sources.next().filter(|first| sources.all(|other| other == *first));
        let weight = if dead.is_some() { Weight::Quiet } else { Weight::Plain };
        let end = Points::read(&there).map_or_else(|| there.clone(), |there| local(&there));
        let cells = [format!("{} {n}", from.bank), end, dead.unwrap_or(carries)];
        table.push(Row::of(cells.map(Cell::from)).about(source).at([here, there]).weighing(weight));
    }
    Some(table)
}

fn dead(known: &Known, of: &Points, line: u32) -> Option<String> {
    let device = known.device(of.device).filter(|device| device.out_of_use.contains(&line))?;
    let kept = device.kept_for.iter().find(|kept| kept.line == line);
    Some(kept.map_or_else(|| "dead line".to_string(), |kept| format!("kept for {}", kept.for_what)))
}
