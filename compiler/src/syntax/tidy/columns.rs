//! Cells of a table's rows to the places where they begin. A column is as wide as its cells, but for those
//! that are far wider than the rest: they push only what stands behind them in their own row.

use super::cell::{Cell, Role};
use rustc_hash::FxHashMap;

/// A cell this much wider than the usual one of its column makes the column no wider.
const SLACK: usize = 16;

/// A row in a column is worth this many blanks in the rows that have nothing there.
const WORTH: usize = 20;

/// The blanks that a column makes in such a row, at the least.
const HOLE: usize = 10;

/// The widest of these that is not far wider than the usual one.
pub(super) fn fit(mut widths: Vec<usize>, slack: usize) -> usize {
    widths.sort_unstable();
    let usual = widths.get(widths.len() / 2).copied().unwrap_or(0);
    widths.into_iter().rev().find(|width| *width <= usual + slack).unwrap_or(usual)
}

/// Cells one after another, from `start`.
pub(super) fn in_a_line(row: &[Cell], start: usize) -> Vec<usize> {
    one_by_one(row, |_, free| free.unwrap_or(start))
}

/// For each row of a table, where its cells begin.
pub(super) fn in_columns(rows: &mut [Vec<Cell>]) -> Vec<Vec<usize>> {
    right_align(rows);
    let columns = columns(rows);
    // where columns begin, and where the last of them ends
    let last = columns.iter().map(|column| column.start + column.width + 2).max();
    let bounds: Vec<usize> = columns.iter().filter(|column| column.stands).map(|c| c.start).chain(last).collect();
    let place = |cell: &Cell, free: Option<usize>| {
        let column = columns.iter().find(|column| column.role == cell.role);
        let at = free.unwrap_or(0).max(column.map_or(0, |column| column.start));
        match column.is_some_and(|column| column.stands) {
            true => at,
            false => bounds.iter().copied().find(|bound| *bound >= at).unwrap_or(at),
        }
    };
    rows.iter().map(|row| one_by_one(row, place)).collect()
}

/// `place` says where a cell begins, from where it may at the earliest; the first may anywhere.
fn one_by_one(row: &[Cell], place: impl Fn(&Cell, Option<usize>) -> usize) -> Vec<usize> {
    let mut end = None;
    let mut next = |cell: &Cell| {
        let at = place(cell, end.map(|end: usize| end + cell.gap));
        end = Some(at + cell.width);
        at
    };
    row.iter().map(&mut next).collect()
}

fn right_align(rows: &mut [Vec<Cell>]) {
    let mut widths: FxHashMap<Role, Vec<usize>> = FxHashMap::default();
    for cell in rows.iter().flatten() {
        if let Some((_, width)) = cell.number {
            widths.entry(cell.role).or_default().push(width);
        }
    }
    let widths: FxHashMap<Role, usize> = widths.into_iter().map(|(role, all)| (role, fit(all, SLACK))).collect();
    for cell in rows.iter_mut().flatten() {
        let to = widths.get(&cell.role).copied().unwrap_or(0);
        cell.pad_number(to);
    }
}

struct Column {
    role: Role,
    /// Too rare a role has no column: its cells stand at the next bound that is free.
    stands: bool,
    start: usize,
    width: usize,
}

fn columns(rows: &[Vec<Cell>]) -> Vec<Column> {
    let mut cells: FxHashMap<Role, Cells> = FxHashMap::default();
    for row in rows {
        for (at, cell) in row.iter().enumerate() {
            let of_role = cells.entry(cell.role).or_default();
            of_role.count += 1;
            of_role.gap = of_role.gap.max(cell.gap);
            // what ends its row pushes nothing
            if cell.role.always_stands() || at + 1 < row.len() {
                of_role.widths.push(cell.width);
            }
        }
    }
    let mut columns: Vec<Column> = Vec::new();
    // where the last column ends, and the last that is of the list
    let (mut end, mut list_end) = (None, None);
    for role in in_order(rows) {
        let Cells { count, gap, widths } = cells.remove(&role).unwrap_or_default();
        let after = |end: Option<usize>| end.map_or(0, |end| end + gap);
        let width = fit(widths, SLACK);
        let without = rows.len().saturating_sub(count);
        let stands = role.always_stands() || without * (width + 2).max(HOLE) <= count * WORTH;
        let start = after(if stands { end } else { list_end });
        columns.push(Column { role, stands, start, width: if stands { width } else { 0 } });
        // behind cells that end their rows the next column begins where they do
        if stands && width > 0 {
            end = Some(start + width);
        }
        if stands && role.is_of_the_list() {
            list_end = end;
        }
    }
    columns
}

#[derive(Default)]
struct Cells {
    count: usize,
    gap: usize,
    widths: Vec<usize>,
}

/// The roles in the order in which most rows have them.
fn in_order(rows: &[Vec<Cell>]) -> Vec<Role> {
    let mut before: FxHashMap<(Role, Role), usize> = FxHashMap::default();
    let mut left: Vec<Role> = Vec::new();
    for row in rows {
        for (at, cell) in row.iter().enumerate() {
            if !left.contains(&cell.role) {
                left.push(cell.role);
            }
            for earlier in row.iter().take(at) {
                *before.entry((earlier.role, cell.role)).or_default() += 1;
            }
        }
    }
    left.sort();
    let rows_with = |first: Role, then: Role| before.get(&(first, then)).copied().unwrap_or(0);
    let mut out = Vec::with_capacity(left.len());
    while !left.is_empty() {
        let to_come = |role: Role| left.iter().filter(|one| rows_with(**one, role) > rows_with(role, **one)).count();
        let next = left.iter().enumerate().min_by_key(|(_, role)| to_come(**role)).map_or(0, |(at, _)| at);
        out.push(left.remove(next));
    }
    out
}
