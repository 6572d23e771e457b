//! Rows that stand next to each other, on channels and in the sockets of one bank, and so move best
//! together: the second box of a desk that takes blocks.

use super::candidates::{Candidate, Moving, channel_facts, channels, fed_blocks, range};
use crate::diagnostics::Edit;
use crate::rig::Point;
use crate::route::Unit;
use crate::wants::RowKind;

/// Places to try for one run.
const PLACES: usize = 24;

/// At least two rows, in the order of channels.
pub struct Run<'a> {
    rows: Vec<Part<'a>>,
    desk: u32,
}

#[derive(Clone)]
struct Part<'a> {
    row: Moving<'a>,
    first: u32,
    count: u32,
    socket: Point,
}

impl Part<'_> {
    /// Whether `next` goes on where this one ends, on channels and in sockets.
    fn leads_to(&self, next: &Part) -> bool {
        let bank = (self.socket.device, self.socket.lane) == (next.socket.device, next.socket.lane);
        bank && self.first + self.count == next.first && self.socket.number + self.count == next.socket.number
    }
}

/// The run that a row is a part of.
pub fn around<'a>(row: &Moving<'a>) -> Option<Run<'a>> {
    let desk = row.fact.desk?;
    let mut parts: Vec<Part> = (0..row.scene.rows.len()).filter_map(|index| part(row, index, desk)).collect();
    parts.sort_by_key(|part| part.first);
    let own = parts.iter().position(|part| part.row.row == row.row)?;
    let joined = |at: usize| matches!(parts.get(at..at + 2), Some([one, next]) if one.leads_to(next));
    let start = (0..own).rev().take_while(|at| joined(*at)).last().unwrap_or(own);
    let end = (own..parts.len()).find(|at| !joined(*at))?;
    let rows = parts.get(start..=end)?.to_vec();
    (rows.len() > 1).then_some(Run { rows, desk })
}

fn part<'a>(like: &Moving<'a>, index: usize, desk: u32) -> Option<Part<'a>> {
    let fact = like.scene.rows.get(index).filter(|row| row.kind == RowKind::Input && row.desk == Some(desk))?;
    let row = Moving { fact, row: index, ..*like };
    let sockets = row.own_sockets();
    let channels: Vec<u32> = channels(row.scene, desk, |of| of == index).into_iter().collect();
    let in_turn = |numbers: &[u32]| numbers.windows(2).all(|two| matches!(two, [a, b] if a + 1 == *b));
    let numbers: Vec<u32> = sockets.iter().map(|socket| socket.number).collect();
    let socket = *sockets.first()?;
    let one_bank = sockets.iter().all(|other| (other.device, other.lane) == (socket.device, socket.lane));
    let whole = channels.len() == sockets.len() && one_bank && in_turn(&channels) && in_turn(&numbers);
    whole.then_some(Part { row, first: *channels.first()?, count: u32::try_from(channels.len()).ok()?, socket })
}

impl Run<'_> {
    /// Whether all these rows are of the run.
    pub fn has(&self, scene: &crate::wants::Scene, units: &[Unit], number: usize) -> bool {
        let own = |row: usize| self.rows.iter().any(|part| std::ptr::eq(part.row.scene, scene) && part.row.row == row);
        units.iter().all(|unit| unit.scene == number && own(unit.row))
    }

    /// The whole run on other channels, first where its sockets keep their place in the block, and in blocks
    /// that take these sockets already.
    pub fn candidates(&self) -> Vec<Candidate> {
        let Some((one, last)) = self.rows.first().zip(self.rows.last()) else { return Vec::new() };
        let scene = one.row.scene;
        let Some((size, block)) = channel_facts(&scene.rig, self.desk) else { return Vec::new() };
        let own: Vec<usize> = self.rows.iter().map(|part| part.row.row).collect();
        let others = channels(scene, self.desk, |row| !own.contains(&row));
        let count = last.first + last.count - one.first;
        let free = |start: &u32| *start != one.first && (*start..*start + count).all(|n| !others.contains(&n));
        let mut starts: Vec<u32> = (1..=(size + 1).saturating_sub(count)).filter(free).collect();
        let fed = fed_blocks(scene, self.desk, one.socket, &own, block);
        let in_step = |start: u32| start % block == one.socket.number % block;
        starts.sort_by_key(|start| (!in_step(*start), !fed.contains(&((start - 1) / block)), *start));
        starts.into_iter().take(PLACES).filter_map(|start| self.moved(start, count)).collect()
    }

    fn moved(&self, start: u32, count: u32) -> Option<Candidate> {
        let first = self.rows.first()?;
        let edits = self.rows.iter().map(|part| {
            let numbers = range(part.first - first.first + start, part.count);
            part.row.rewrite(part.row.fact.numbers?, &numbers, &format!("channel {numbers}"))
        });
        let edits = together(edits.collect::<Option<Vec<Edit>>>()?);
        let label = format!("list {} on channels {}", self.name(), range(start, count));
        Some(Candidate::new(label, edits, &first.row.fact.name))
    }

    /// `guitar` … `fiddle`
    fn name(&self) -> String {
        let name = |part: Option<&Part>| format!("`{}`", part.map_or("", |part| part.row.fact.name.as_str()));
        let between = if self.rows.len() == 2 { "and" } else { "…" };
        format!("{} {between} {}", name(self.rows.first()), name(self.rows.last()))
    }
}

/// Lines that are written at one place become one edit.
fn together(edits: Vec<Edit>) -> Vec<Edit> {
    let mut joined: Vec<Edit> = Vec::new();
    for edit in edits {
        match joined.iter_mut().find(|known| known.span == edit.span) {
            Some(known) => known.text.push_str(edit.text.trim_start_matches('\n')),
            None => joined.push(edit),
        }
    }
    joined
}
