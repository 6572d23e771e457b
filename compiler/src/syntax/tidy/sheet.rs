//! What stands on each line: which rows, at which depth, in which table, and which lines are left alone.

use super::super::ParsedRows;
use super::super::rows::{Block, Body, Item};
use super::super::significant::Spanned;
use super::super::tokens::TokenKind;
use super::cell::{Cell, Role};
use super::cuts::{Among, Cuts};
use super::lines::Line;
use std::ops::Range;

pub(super) struct Sheet {
    /// One for each line.
    pub lines: Vec<Stands>,
    pub tables: Vec<Table>,
}

pub(super) enum Stands {
    /// It does not read, or belongs to what does not: not a byte of it changes.
    Left,
    Blank,
    /// A comment of its own, in a block as deep as that.
    Comment(usize),
    Code(Code),
}

pub(super) struct Code {
    pub depth: usize,
    pub cells: Vec<Cell>,
    pub table: Option<usize>,
    /// It begins inside a row.
    pub goes_on: bool,
}

#[derive(Default)]
pub(super) struct Table {
    /// Statements; otherwise the rows of a block.
    pub of_statements: bool,
    pub lines: Vec<usize>,
}

/// From where a list goes on, for a row that has no columns.
const HANG: usize = 4;

pub(super) fn sheet(lines: &[Line], read: &ParsedRows<'_>, cuts: &Cuts) -> Sheet {
    let mut walk = Walk::new(lines, &read.sigs, cuts);
    walk.statements(&read.items);
    let left = walk.left(lines, read);
    let depths = walk.depths();
    let mut tables: Vec<Table> =
        walk.tables.iter().map(|of_statements| Table { of_statements: *of_statements, lines: Vec::new() }).collect();
    let mut out = Vec::with_capacity(lines.len());
    for (at, line) in lines.iter().enumerate() {
        let is_left = |line: usize| left.get(line).copied().unwrap_or(false);
        let depth = depths.get(line.sigs.start).copied().unwrap_or(0);
        let next = walk.line_of.get(line.sigs.start).copied();
        out.push(match line.is_blank {
            _ if is_left(at) => Stands::Left,
            true => Stands::Blank,
            false if !line.sigs.is_empty() => Stands::Code(walk.code(line, depth)),
            false if next.is_some_and(is_left) => Stands::Left,
            false => Stands::Comment(depth),
        });
        if let Some(Stands::Code(Code { table: Some(table), .. })) = out.last() {
            if let Some(table) = tables.get_mut(*table) {
                table.lines.push(at);
            }
        }
    }
    Sheet { lines: out, tables }
}

struct Row {
    sigs: Range<usize>,
    table: Option<usize>,
}

struct Walk<'s, 't> {
    sigs: &'s [Spanned<'t>],
    cuts: &'s Cuts,
    /// For each token its line, and for each line how many blank ones are above.
    line_of: Vec<usize>,
    blanks_above: Vec<usize>,
    /// In order.
    rows: Vec<Row>,
    /// Braces of blocks: the one that opens, and the block's last token.
    blocks: Vec<(usize, usize)>,
    /// Whether each is of statements.
    tables: Vec<bool>,
}

impl<'s, 't> Walk<'s, 't> {
    fn new(lines: &[Line], sigs: &'s [Spanned<'t>], cuts: &'s Cuts) -> Self {
        let line_of = lines.iter().enumerate().flat_map(|(at, line)| line.sigs.clone().map(move |_| at)).collect();
        let blanks_above = lines.iter().scan(0, |blanks, line| {
            *blanks += usize::from(line.is_blank);
            Some(*blanks)
        });
        let blanks_above = blanks_above.collect();
        Walk { sigs, cuts, line_of, blanks_above, rows: Vec::new(), blocks: Vec::new(), tables: Vec::new() }
    }

    fn line(&self, sig: usize) -> usize {
        self.line_of.get(sig).copied().unwrap_or(0)
    }

    fn among(&self, sig: usize) -> Option<Among> {
        let (_, span) = self.sigs.get(sig)?;
        self.cuts.rows.get(&span.start).copied()
    }

    fn is(&self, sig: usize, kind: TokenKind) -> bool {
        self.sigs.get(sig).is_some_and(|(sig, _)| sig.kind == kind)
    }

    fn table(&mut self, of_statements: bool) -> usize {
        self.tables.push(of_statements);
        self.tables.len() - 1
    }

    /// Statements of one kind that follow one another share a table, up to a blank line.
    fn statements(&mut self, items: &[Item]) {
        let mut kin: Option<(&'static str, usize)> = None;
        let mut above = None;
        for item in items {
            let end = item.block.as_ref().map_or(item.head.end, |block| block.end);
            let (first, last) = (self.line(item.head.start), self.line(end.saturating_sub(1)));
            let blanks = |line: Option<usize>| line.and_then(|line| self.blanks_above.get(line));
            if blanks(above) != blanks(Some(first)) {
                kin = None;
            }
            above = Some(last);
            let Some(among) = self.among(item.head.start) else { continue };
            let on_one_line = item.block.is_none() || first == last;
            let (sigs, name) = match (&item.block, among) {
                (None, Among::Kin(name)) => (item.head.clone(), Some(name)),
                (_, Among::Records(name)) if on_one_line => (item.head.start..end, Some(name)),
                (Some(block), _) => (item.head.start..block.open + 1, None),
                (None, _) => (item.head.clone(), None),
            };
            kin = name.map(|name| match kin {
                Some((before, table)) if before == name => (name, table),
                _ => (name, self.table(true)),
            });
            self.rows.push(Row { sigs, table: kin.map(|(_, table)| table) });
            if let (Some(block), None) = (&item.block, name) {
                self.block(block, among);
            }
        }
    }

    fn block(&mut self, block: &Block, among: Among) {
        self.blocks.push((block.open, block.end.saturating_sub(1)));
        match &block.body {
            Body::Items(items) => self.statements(items),
            Body::Rows(rows) => {
                let table = self.table(false);
                for row in rows {
                    let among = match (self.among(row.tokens.start), among) {
                        (None, Among::Records(_)) => Among::None,
                        (Some(among), _) => among,
                        (None, _) => continue,
                    };
                    let table = (among == Among::Block).then_some(table);
                    self.rows.push(Row { sigs: row.tokens.clone(), table });
                }
            }
        }
    }

    /// How many blocks are open before each token.
    fn depths(&self) -> Vec<usize> {
        let mut steps = vec![0_isize; self.sigs.len() + 2];
        let mut step = |at: usize, by: isize| {
            if let Some(step) = steps.get_mut(at) {
                *step += by;
            }
        };
        for (open, last) in &self.blocks {
            step(open + 1, 1);
            step(last + 1, -1);
        }
        let sum = |depth: &mut isize, step: isize| {
            *depth += step;
            Some(usize::try_from(*depth).unwrap_or(0))
        };
        steps.into_iter().scan(0, sum).collect()
    }

    /// Lines on which something does not read, and all lines of the rows that they are part of.
    fn left(&self, lines: &[Line], read: &ParsedRows<'_>) -> Vec<bool> {
        let mut left = vec![false; lines.len()];
        let mut leave = |from: usize, to: usize| {
            let last = lines.len().saturating_sub(1);
            left.get_mut(from.min(last)..=to.min(last)).into_iter().flatten().for_each(|left| *left = true);
        };
        let line_at = |offset: u32| lines.partition_point(|line| line.end <= offset as usize);
        for told in &read.parsed.diagnostics {
            leave(line_at(told.span.start), line_at(told.span.end.saturating_sub(1).max(told.span.start)));
        }
        for sig in self.unread() {
            leave(self.line(sig), self.line(sig));
        }
        let mut together = |row: &Row| {
            let rows_lines = self.line(row.sigs.start)..=self.line(row.sigs.end.saturating_sub(1));
            if let Some(of_row) = left.get_mut(rows_lines) {
                if of_row.contains(&true) {
                    of_row.fill(true);
                }
            }
        };
        self.rows.iter().for_each(&mut together);
        self.rows.iter().rev().for_each(&mut together);
        left
    }

    /// Tokens that stand in no row that was read.
    fn unread(&self) -> Vec<usize> {
        let mut read = vec![false; self.sigs.len()];
        for row in &self.rows {
            read.get_mut(row.sigs.clone()).into_iter().flatten().for_each(|read| *read = true);
        }
        for (_, last) in self.blocks.iter().filter(|(_, last)| self.is(*last, TokenKind::BlockClose)) {
            read.get_mut(*last).into_iter().for_each(|read| *read = true);
        }
        let unread = read.into_iter().enumerate().filter(|(sig, read)| !read && !self.is(*sig, TokenKind::Semicolon));
        unread.map(|(sig, _)| sig).collect()
    }

    fn code(&self, line: &Line, depth: usize) -> Code {
        let first = line.sigs.start;
        let closes = self.is(first, TokenKind::BlockClose);
        let rows = self.rows.partition_point(|row| row.sigs.start < first);
        let before = rows.checked_sub(1).and_then(|row| self.rows.get(row));
        let goes_on = before.is_some_and(|row| first < row.sigs.end);
        let more = self.rows.get(rows..).unwrap_or(&[]);
        let starting = more.iter().take_while(|row| row.sigs.start < line.sigs.end).take(2).count();
        let row = match (goes_on, starting) {
            (true, 0) => before,
            (false, 1) => more.first().filter(|row| row.sigs.start == first),
            _ => None,
        };
        let table = row.and_then(|row| row.table);
        Code {
            depth: depth.saturating_sub(usize::from(closes)),
            cells: self.cells(line, table.is_some()),
            table: table.filter(|_| !goes_on),
            goes_on,
        }
    }

    /// The line's tokens, in cells where it stands in a table.
    fn cells(&self, line: &Line, in_table: bool) -> Vec<Cell> {
        let tokens = self.sigs.get(line.sigs.clone()).unwrap_or(&[]);
        let start = |at: usize| tokens.get(at).map_or(u32::MAX, |(_, span)| span.start);
        if !in_table {
            return vec![Cell { list: HANG, ..Cell::new(Role::Head, 0, tokens) }];
        }
        let cuts = self.cuts.cuts.get(self.cuts.cuts.partition_point(|cut| cut.at < start(0))..).unwrap_or(&[]);
        let mut cells = Vec::with_capacity(8);
        let (mut from, mut role, mut gap) = (0, Role::Head, 0);
        for cut in cuts.iter().take_while(|cut| cut.at <= start(tokens.len() - 1)) {
            let to = tokens.partition_point(|(_, span)| span.start < cut.at);
            if from < to {
                cells.push(Cell::new(role, gap, tokens.get(from..to).unwrap_or(&[])));
            }
            (from, role, gap) = (to, cut.role, cut.gap);
        }
        cells.push(Cell::new(role, gap, tokens.get(from..).unwrap_or(&[])));
        cells
    }
}
