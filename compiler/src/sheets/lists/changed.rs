//! What changed since an earlier plan: what can go wrong, what became of each thing, what each crew does about it and in
//! which order, and which sheets in people's hands no longer hold. Every word of it is the comparison's.

use super::super::sheet::{Look, Part, Row, Sheet, Table, Weight};
use super::{cautions, reader};
use crate::compare::{self, Comparison, Paper, Work};

pub(in crate::sheets) const SLUG: &str = "changed";

/// So many changes the front page tells itself.
const FEW: usize = 8;

/// For the front page.
pub(super) fn briefly(comparison: &Comparison) -> Vec<Part> {
    if comparison.is_empty() {
        return vec![Part::Words("Nothing changed since the earlier plan.".into())];
    }
    let mut parts = filled(risks(comparison));
    let rows = comparison.rows();
    let count = rows.len();
    if count <= FEW {
        parts.extend(filled(changes(rows)));
    } else {
        parts.push(Part::Words(format!("{count} changes since the earlier plan stand on the sheet “What changed”.")));
    }
    parts
}

/// Nothing where nothing changed. Which paper no longer holds is known when the pack is whole.
pub(super) fn sheet(comparison: &Comparison) -> Option<Sheet> {
    if comparison.is_empty() {
        return None;
    }
    let mut parts = filled(risks(comparison));
    parts.extend(filled(changes(comparison.rows())));
    let first = comparison.work.iter().filter_map(Work::first).max_by_key(|first| first.len());
    parts.extend(first.map(Part::Words));
    for work in &comparison.work {
        for (who, lines) in work.by_crew() {
            let columns = [("step", Look::Key), ("do", Look::Plain), ("done", Look::Tick)];
            let mut table = Table::new(columns).titled(format!("To do: {who}{}", comparison.in_acts(&work.acts)));
            for line in lines {
                let phantom = line.says.starts_with("48 V");
                let row = Row::of([line.numbers().into(), line.says.into()]);
                table.push(if phantom { row.weighing(Weight::Danger) } else { row });
            }
            parts.push(Part::Table(table));
        }
    }
    Some(Sheet {
        slug: SLUG.into(),
        title: "What changed".into(),
        reader: reader::EVERYBODY,
        cautions: vec![cautions::PHANTOM, cautions::HEARING],
        parts,
        ..Sheet::default()
    })
}

fn filled(table: Table) -> Vec<Part> {
    if table.rows.is_empty() { Vec::new() } else { vec![Part::Table(table.without_empty_columns())] }
}

fn risks(comparison: &Comparison) -> Table {
    let columns = [("risk", Look::Key), ("what", Look::Key), ("says", Look::Plain), ("in act", Look::Plain)];
    let mut table = Table::new(columns).titled("Risks of what changed");
    for risk in comparison.risk_rows() {
        let row = Row::of([risk.verb, risk.what, risk.now, risk.acts.join(", ")].map(Into::into));
        table.push(row.weighing(Weight::Danger));
    }
    table
}

fn changes(rows: Vec<compare::Row>) -> Table {
    let columns = [("changed", Look::Key), ("what", Look::Key), ("now", Look::Key), ("was", Look::Plain)];
    let columns = columns.into_iter().chain([("in act", Look::Plain), ("for", Look::Plain)]);
    let mut table = Table::new(columns).titled("Changed since the earlier plan");
    for row in rows {
        let cells = [row.verb, row.what, row.now, row.was, row.acts.join(", "), row.who.join(", ")];
        table.push(Row::of(cells.map(Into::into)).about(row.source.as_deref()));
    }
    table
}

/// For the end of the sheet.
pub(in crate::sheets) fn paper(stale: Vec<Paper>) -> Vec<Part> {
    let columns = [("sheet", Look::Key), ("for", Look::Plain), ("do", Look::Plain), ("done", Look::Tick)];
    let mut table = Table::new(columns).titled("Paper that no longer holds");
    stale.into_iter().for_each(|one| table.push(Row::of([one.title.into(), one.reader.into(), one.how.into()])));
    filled(table)
}
