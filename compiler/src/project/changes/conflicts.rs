//! Changes that contradict each other: one attribute twice in a file, or in two files of which neither
//! includes the other; and what is both changed and taken out. A file that includes both decides, and
//! nothing is told.

use super::super::attrs::word;
use super::Op;
use super::targets::{Target, thing_text};
use crate::diagnostics::Diagnostic;
use crate::source::{FileId, Span};
use crate::syntax::ast::AttrKind;
use std::collections::{BTreeMap, BTreeSet};

/// Which file includes which, through others too.
#[derive(Default)]
pub(in super::super) struct Reach {
    pub below: BTreeMap<FileId, BTreeSet<FileId>>,
}

impl Reach {
    pub fn includes(&self, upper: FileId, lower: FileId) -> bool {
        self.below.get(&upper).is_some_and(|below| below.contains(&lower))
    }
}

/// One place that says an attribute of a row.
#[derive(Clone, Copy)]
struct Said {
    file: FileId,
    op: usize,
    span: Span,
}

/// Tells contradictions; gives the changes that come too late, to something taken out before.
pub(super) fn tell(ops: &[&Op], found: &[Vec<Target>], reach: &Reach, out: &mut Vec<Diagnostic>) -> BTreeSet<usize> {
    let mut said: BTreeMap<(Target, String), Vec<Said>> = BTreeMap::new();
    let mut removals: BTreeMap<Target, Vec<usize>> = BTreeMap::new();
    for (at, (op, targets)) in ops.iter().zip(found).enumerate() {
        for target in targets {
            match &op.attrs {
                None => removals.entry(*target).or_default().push(at),
                Some(attrs) => {
                    for attr in attrs {
                        let place = Said { file: op.file, op: at, span: attr.span };
                        let repeats = matches!(attr.kind, AttrKind::Reserved { .. });
                        let places = said.entry((*target, word(&attr.kind).to_string())).or_default();
                        if !(repeats && places.last().is_some_and(|last| last.op == at)) {
                            places.push(place);
                        }
                    }
                }
            }
        }
    }
    for ((target, attribute), places) in &said {
        if !removals.contains_key(target) {
            tell_attribute(ops, attribute, places, reach, out);
        }
    }
    tell_removals(ops, found, &removals, reach, out)
}

fn tell_attribute(ops: &[&Op], attribute: &str, places: &[Said], reach: &Reach, out: &mut Vec<Diagnostic>) {
    let thing = |said: &Said| ops.get(said.op).map(|op| thing_text(&op.what)).unwrap_or_default();
    let mut first_in: BTreeMap<FileId, &Said> = BTreeMap::new();
    for said in places {
        match first_in.get(&said.file) {
            None => {
                first_in.insert(said.file, said);
            }
            Some(first) => {
                let message = format!("this file changes `{attribute}` of `{}` twice", thing(said));
                let told = Diagnostic::error("changed-twice", said.span, message);
                out.push(told.label(first.span, "first changed here").help("keep the one that holds"));
            }
        }
    }
    let decided = |said: &&&Said| !first_in.keys().any(|file| reach.includes(*file, said.file));
    let mut last: Vec<&Said> = first_in.values().filter(decided).copied().collect();
    let Some(told_at) = last.pop().filter(|_| !last.is_empty()) else { return };
    let message =
        format!("`{attribute}` of `{}` is changed by two files, and neither includes the other", thing(told_at));
    let told = Diagnostic::error("changed-by-two-files", told_at.span, message)
        .help("take one of them out, or say in the file that includes both which one holds");
    out.push(last.iter().fold(told, |told, other| told.label(other.span, "changed here too")));
}

/// A row taken out in a file that includes the change's file is settled; else one of them is too much.
fn tell_removals(
    ops: &[&Op],
    found: &[Vec<Target>],
    removals: &BTreeMap<Target, Vec<usize>>,
    reach: &Reach,
    out: &mut Vec<Diagnostic>,
) -> BTreeSet<usize> {
    let mut late = BTreeSet::new();
    for (at, (op, targets)) in ops.iter().zip(found).enumerate() {
        let by = targets.iter().filter_map(|target| removals.get(target)).flatten().copied();
        let Some(removal) = by.filter(|by| *by < at || op.attrs.is_some()).find_map(|by| Some((by, *ops.get(by)?)))
        else {
            continue;
        };
        let (by, removal) = removal;
        if by == at || reach.includes(removal.file, op.file) {
            continue;
        }
        late.insert(at);
        let thing = thing_text(&op.what);
        let told = match (&op.attrs, reach.includes(op.file, removal.file)) {
            (Some(_), true) => {
                Diagnostic::error("change-of-nothing", op.span, format!("`{thing}` has been taken out already"))
                    .help("leave it in there, or take out this line")
            }
            (Some(_), false) => Diagnostic::error(
                "changed-and-taken-out",
                op.span,
                format!("`{thing}` is changed here and taken out elsewhere"),
            )
            .help("keep one of the two lines"),
            (None, below) if below || op.file == removal.file => {
                let message = format!("`{thing}` has been taken out already");
                Diagnostic::warning("change-without-effect", op.span, message).help("take out this line")
            }
            (None, _) => continue,
        };
        out.push(told.label(removal.span, "taken out here"));
    }
    late
}
