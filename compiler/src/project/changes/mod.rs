//! `change` and `without`: what they name is found, what contradicts is told, then changes apply, those of
//! a file after those of the files that it includes. The order of lines and of unrelated files never
//! matters.

mod conflicts;
mod edit;
mod targets;

pub(super) use conflicts::Reach;
pub(super) use targets::{part_of_act, starts_with_act};

use super::show::{Changed, Patch, Removed, Row};
use crate::diagnostics::Diagnostic;
use crate::quantity::Quantity;
use crate::source::{At, FileId, Span};
use crate::syntax::ast::{Attr, Name, What};
use std::collections::{BTreeMap, BTreeSet};
use targets::{Finder, Target};

/// One `change` (with attributes) or `without` (with none), as written.
#[derive(Clone, Debug)]
pub(super) struct Op {
    pub file: FileId,
    pub act: Option<String>,
    pub span: Span,
    pub what: What,
    pub attrs: Option<Vec<Attr>>,
}

/// What changes apply to: the house, or one act with the house's rows.
pub(super) struct Ground<'a> {
    pub patch: &'a mut Patch,
    pub rate: &'a mut Option<At<Quantity>>,
    pub clock: &'a mut Option<Name>,
    pub act: Option<&'a str>,
}

/// What every ground shares.
pub(super) struct Context<'a> {
    pub reach: &'a Reach,
    /// Words of rows that could not be read, and whether a file is missing: then nobody complains
    /// about a name that is not there.
    pub broken: &'a BTreeSet<String>,
    pub incomplete: bool,
    /// The sources that acts declare, each with its acts.
    pub in_acts: &'a BTreeMap<String, Vec<String>>,
    /// Names taken out of the house, for a change that comes too late.
    pub taken_out: &'a [Taken],
}

/// A name that `without` took out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Taken {
    pub name: String,
    pub span: Span,
    pub device: bool,
}

/// What came of the changes.
#[derive(Default)]
pub(super) struct Outcome {
    pub taken: Vec<Taken>,
    pub changed: Vec<Changed>,
    pub removed: Vec<Removed>,
    pub diagnostics: Vec<Diagnostic>,
}

/// Applies `ops`, which stand in the order of their files, included files first.
pub(super) fn apply(ops: &[&Op], ground: &mut Ground<'_>, context: &Context<'_>) -> Outcome {
    let mut outcome = Outcome::default();
    if ops.is_empty() {
        return outcome;
    }
    let found = find_all(ops, ground, context, &mut outcome);
    let late = conflicts::tell(ops, &found, context.reach, &mut outcome.diagnostics);
    let mut removed: BTreeMap<Target, Span> = BTreeMap::new();
    for (at, (op, targets)) in ops.iter().zip(&found).enumerate() {
        match &op.attrs {
            None => {
                for target in targets {
                    removed.entry(*target).or_insert(op.span);
                }
            }
            Some(attrs) if !late.contains(&at) => {
                for target in targets {
                    edit::change(ground, *target, op, attrs, &mut outcome);
                }
            }
            Some(_) => {}
        }
    }
    let row = |(target, by): (&Target, &Span)| {
        let act = ground.act.map(str::to_string);
        Some(Removed { row: row_of(ground.patch, *target)?, by: *by, act })
    };
    outcome.removed = removed.iter().filter_map(row).collect();
    remove(ground.patch, &removed, &mut outcome.taken);
    outcome
}

fn row_of(patch: &Patch, target: Target) -> Option<Span> {
    match target {
        Target::Input(at) => patch.inputs.get(at).map(|row| row.span),
        Target::Output(at) => patch.outputs.get(at).map(|row| row.span),
        Target::Personal(at) => patch.personal.get(at).map(|row| row.span),
        Target::Device(at) => patch.devices.get(at).map(|row| row.span),
        Target::Link(at) => patch.links.get(at).map(|row| row.span),
        Target::Loom(at) => patch.looms.get(at).map(|row| row.span),
        Target::Group(at) => patch.groups.get(at).map(|row| row.span),
        Target::Record(at) => patch.records.get(at).map(|row| row.span),
        Target::Rate | Target::Clock => None,
    }
}

fn find_all(ops: &[&Op], ground: &Ground<'_>, context: &Context<'_>, outcome: &mut Outcome) -> Vec<Vec<Target>> {
    let finder = Finder::new(ground, context);
    let mut all = Vec::with_capacity(ops.len());
    for op in ops {
        match finder.find(op) {
            Ok(targets) => all.push(targets),
            Err(told) => {
                all.push(Vec::new());
                outcome.diagnostics.extend(told.map(|told| *told));
            }
        }
    }
    all
}

/// Takes rows out. Names are listed once, in the alphabet's order.
fn remove(patch: &mut Patch, removed: &BTreeMap<Target, Span>, taken: &mut Vec<Taken>) {
    if removed.is_empty() {
        return;
    }
    let mut names: BTreeMap<String, Taken> = BTreeMap::new();
    let mut note = |name: &Name, span: Span, device: bool| {
        names.entry(name.value.clone()).or_insert_with(|| Taken { name: name.value.clone(), span, device });
    };
    for (target, span) in removed {
        match target {
            Target::Input(at) => {
                // Only what declares a source takes its name away; a second want leaves it.
                let row = patch.inputs.get(*at).map(|row| &row.node.row);
                if let Some(row) = row.filter(|row| super::attrs::declares(row)) {
                    note(&row.name, *span, false);
                }
            }
            Target::Device(at) => {
                if let Some(row) = patch.devices.get(*at) {
                    note(&row.node.name, *span, true);
                }
            }
            Target::Group(at) => {
                if let Some(row) = patch.groups.get(*at) {
                    note(&row.node.name, *span, false);
                }
            }
            _ => {}
        }
    }
    taken.extend(names.into_values());
    drop_rows(&mut patch.inputs, |at| removed.contains_key(&Target::Input(at)));
    drop_rows(&mut patch.outputs, |at| removed.contains_key(&Target::Output(at)));
    drop_rows(&mut patch.personal, |at| removed.contains_key(&Target::Personal(at)));
    drop_rows(&mut patch.devices, |at| removed.contains_key(&Target::Device(at)));
    drop_rows(&mut patch.links, |at| removed.contains_key(&Target::Link(at)));
    drop_rows(&mut patch.looms, |at| removed.contains_key(&Target::Loom(at)));
    drop_rows(&mut patch.groups, |at| removed.contains_key(&Target::Group(at)));
    drop_rows(&mut patch.records, |at| removed.contains_key(&Target::Record(at)));
}

fn drop_rows<T>(rows: &mut Vec<Row<T>>, gone: impl Fn(usize) -> bool) {
    let mut at = 0;
    rows.retain(|_| {
        at += 1;
        !gone(at - 1)
    });
}
