//! What stands at a byte of a file: the statement and the row, and the points that the row names there.

use super::ground::{act_of_file, scene};
use crate::Compiled;
use crate::rig::{Asked, Point, Rig};
use crate::source::{FileId, Span};
use crate::syntax::ast::*;

/// The innermost row of a statement, where the statement has rows.
#[derive(Clone, Copy)]
pub(super) enum RowAt<'c> {
    Input(&'c InputRow),
    Output(&'c OutputRow),
    Personal(&'c PersonalRow),
    Item,
    /// The statement itself.
    Head,
}

#[derive(Clone, Copy)]
pub(super) struct Spot<'c> {
    pub statement: &'c Statement,
    pub act: Option<&'c str>,
    pub row: RowAt<'c>,
}

/// Points that a place names.
pub(super) struct PointsAt<'c> {
    pub span: Span,
    pub rig: &'c Rig,
    pub points: Vec<Point>,
}

pub(super) fn at(compiled: &Compiled, file: FileId, offset: u32) -> Option<Spot<'_>> {
    let statements = &compiled.parsed.get(&file)?.statements;
    inside(statements, offset, act_of_file(compiled, file))
}

fn inside<'c>(statements: &'c [Statement], offset: u32, act: Option<&'c str>) -> Option<Spot<'c>> {
    let statement = statements.iter().find(|statement| touches(statement.span, offset))?;
    let row = match &statement.kind {
        StatementKind::Act(own) => {
            let within = inside(&own.statements, offset, Some(&own.name.value));
            return within.or(Some(Spot { statement, act, row: RowAt::Head }));
        }
        StatementKind::Inputs { rows, .. } => rows.iter().find(|row| touches(row.span, offset)).map(RowAt::Input),
        StatementKind::Outputs { rows, .. } => rows.iter().find(|row| touches(row.span, offset)).map(RowAt::Output),
        StatementKind::Personal { rows, .. } => rows.iter().find(|row| touches(row.span, offset)).map(RowAt::Personal),
        StatementKind::Model(model) => model.items.iter().find(|item| touches(item.span, offset)).map(|_| RowAt::Item),
        _ => None,
    };
    Some(Spot { statement, act, row: row.unwrap_or(RowAt::Head) })
}

pub(super) fn touches(span: Span, offset: u32) -> bool {
    span.start <= offset && offset <= span.end
}

impl<'c> Spot<'c> {
    /// The desk whose rows these are, where it is said.
    pub fn desk(&self) -> Option<&'c Name> {
        match &self.statement.kind {
            StatementKind::Inputs { desk, .. }
            | StatementKind::Outputs { desk, .. }
            | StatementKind::Personal { desk, .. } => desk.as_ref(),
            _ => None,
        }
    }

    /// The points whose numbers stand at a byte; of an output row's mix also its name.
    pub fn points(&self, compiled: &'c Compiled, offset: u32) -> Option<PointsAt<'c>> {
        let rig = &scene(compiled, self.act)?.rig;
        let desk = match self.desk() {
            Some(name) => rig.device_named(&name.value),
            None => rig.only_desk(),
        };
        let (terms, asked) = self.terms(offset)?;
        let points = rig.points(&terms, asked, desk, &mut Vec::new())?;
        Some(PointsAt { span: terms.span, rig, points })
    }

    /// A list of the one term at a byte, with what a row asks of it there.
    fn terms(&self, offset: u32) -> Option<(Terms, Asked)> {
        match self.row {
            RowAt::Input(row) => {
                let channels = row.channels.as_ref().and_then(|numbers| numbered("channel", numbers, offset));
                let channels = channels.map(|terms| (terms, Asked::Fed));
                channels.or_else(|| in_attrs(&row.attrs, Asked::Plug, offset))
            }
            RowAt::Output(row) => {
                let bank = touches(row.bank.span, offset).then(|| all(&row.bank, &row.numbers));
                let mixes = bank.flatten().or_else(|| numbered_as(&row.bank, &row.numbers, offset));
                let mixes = mixes.map(|terms| (terms, Asked::Feeds));
                mixes.or_else(|| in_attrs(&row.attrs, Asked::Output, offset))
            }
            RowAt::Personal(row) => {
                let feeds = numbered("personal", &row.numbers, offset).map(|terms| (terms, Asked::Fed));
                feeds.or_else(|| Some((term_at(&row.feeds, offset)?, Asked::Feeds)))
            }
            RowAt::Item => None,
            RowAt::Head => self.of_statement(offset),
        }
    }

    fn of_statement(&self, offset: u32) -> Option<(Terms, Asked)> {
        let either = |one: &Terms, asked: Asked, other: &Terms, there: Asked| {
            let one = term_at(one, offset).map(|terms| (terms, asked));
            one.or_else(|| Some((term_at(other, offset)?, there)))
        };
        match &self.statement.kind {
            StatementKind::Device(device) => in_attrs(&device.attrs, Asked::RunTo, offset),
            StatementKind::Loom { from, to, .. } => either(from, Asked::RunFrom, to, Asked::RunTo),
            StatementKind::Set { to, from } => either(to, Asked::Fed, from, Asked::Feeds),
            StatementKind::Expect(Expect::Reaches { what, place, .. }) => {
                either(&one(what), Asked::Feeds, &one(place), Asked::Fed)
            }
            StatementKind::Expect(Expect::Latency { from, to, .. }) => {
                either(&one(from), Asked::Feeds, &one(to), Asked::Fed)
            }
            StatementKind::Change { what, attrs } => match what {
                What::Output(term) => {
                    let mix = term_at(&one(term), offset).map(|terms| (terms, Asked::Feeds));
                    mix.or_else(|| in_attrs(attrs, Asked::Output, offset))
                }
                What::Input(_) => in_attrs(attrs, Asked::Plug, offset),
                _ => in_attrs(attrs, Asked::RunTo, offset),
            },
            StatementKind::Without { what: What::Output(term) } => Some((term_at(&one(term), offset)?, Asked::Feeds)),
            _ => None,
        }
    }
}

fn one(term: &Term) -> Terms {
    Terms { terms: vec![term.clone()], span: term.span }
}

fn in_attrs(attrs: &[Attr], asked: Asked, offset: u32) -> Option<(Terms, Asked)> {
    let attr = attrs.iter().find(|attr| touches(attr.span, offset))?;
    let terms = match &attr.kind {
        AttrKind::From(terms) => term_at(terms, offset),
        AttrKind::To(lists) => lists.iter().find_map(|list| term_at(list, offset)),
        AttrKind::Channel(numbers) => {
            return Some((numbered("channel", numbers, offset)?, Asked::Fed));
        }
        _ => None,
    };
    Some((terms?, asked))
}

/// The term whose numbers stand there, under the bank that goes on before it.
fn term_at(terms: &Terms, offset: u32) -> Option<Terms> {
    let mut bank = None;
    for term in &terms.terms {
        bank = term.name.as_ref().or(bank);
        if let Some(range) = term.range.filter(|range| touches(range.span, offset)) {
            let term = Term { name: bank.cloned(), range: Some(range), span: term.span };
            return Some(one(&term));
        }
    }
    None
}

fn numbered(bank: &str, numbers: &Numbers, offset: u32) -> Option<Terms> {
    numbered_as(&Name::new(bank.to_string(), numbers.span), numbers, offset)
}

fn numbered_as(bank: &Name, numbers: &Numbers, offset: u32) -> Option<Terms> {
    let range = numbers.ranges.iter().find(|range| touches(range.span, offset))?;
    let name = Dotted { parts: vec![bank.clone()], span: bank.span };
    Some(one(&Term { name: Some(name), range: Some(*range), span: range.span }))
}

/// Every number of a bank's row.
fn all(bank: &Name, numbers: &Numbers) -> Option<Terms> {
    let name = Dotted { parts: vec![bank.clone()], span: bank.span };
    let term = |(at, range): (usize, &Range)| Term {
        name: (at == 0).then(|| name.clone()),
        range: Some(*range),
        span: range.span,
    };
    let terms: Vec<Term> = numbers.ranges.iter().enumerate().map(term).collect();
    Some(Terms { span: bank.span.to(numbers.span), terms })
}
