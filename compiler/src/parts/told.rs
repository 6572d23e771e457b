//! What all parts say becomes what the whole says: each thing once, at its place in the file, as quiet as
//! the whole would be.

use super::Parts;
use super::part::Part;
use crate::diagnostics::{self, Diagnostic, Edit, Severity};
use crate::project::Allow;
use crate::rules::{self, Told, allow};
use crate::source::{FileId, Span};

/// `None` where only the whole can tell. Without `notes` they are left out.
pub(super) fn told(parts: &Parts, notes: bool) -> Option<Vec<Diagnostic>> {
    if parts.all().any(|part| part.not_proven) {
        return None;
    }
    let settled = parts.all().all(|part| part.settled);
    let advised = advised(parts)?;
    let mut allows = Vec::new();
    for allow in parts.all().next().into_iter().flat_map(|part| &part.allows) {
        allows.push(Placed { parts, part: parts.all().next()?, number: 0 }.allow(allow)?);
    }
    let mut found: Vec<Diagnostic> = Vec::new();
    for (number, one) in said(parts, settled, advised) {
        // Whether a note is allowed is asked of all.
        if notes || one.severity != Severity::Note || !allows.is_empty() || one.missed.is_some() {
            let placed = Placed { parts, part: parts.part(number)?, number };
            found.extend(placed.diagnostic(one, &found)?);
        }
    }
    diagnostics::names_once(&mut found);
    let (mut found, _) = allow::apply(&allows, found);
    found.retain(|one| notes || one.severity != Severity::Note);
    diagnostics::sort(&mut found);
    Some(found)
}

/// Everything that is told, with the number of the part that tells it, in the order of the phases.
fn said(parts: &Parts, settled: bool, advised: Option<usize>) -> Vec<(usize, &Diagnostic)> {
    let mut said: Vec<(usize, &Diagnostic)> = Vec::new();
    let mut by_check: Vec<Vec<(usize, &Vec<Diagnostic>)>> = vec![Vec::new(); rules::count()];
    let mut told = Told::default();
    let routed = parts.all().all(|part| part.routed);
    for (number, part) in parts.all().enumerate() {
        told.join(&part.told);
        if advised == Some(number) {
            said.extend(part.advised(&parts.root).iter().map(|one| (number, one)));
        } else {
            said.extend(part.found.iter().map(|one| (number, one)));
        }
        if routed {
            told.add(&part.silences);
            said.extend(part.silences.iter().map(|one| (number, one)));
        }
        for (check, found) in part.said(settled) {
            if let Some(list) = by_check.get_mut(*check) {
                list.push((number, found));
            }
        }
    }
    for (check, list) in by_check.iter().enumerate().filter(|(_, list)| !list.is_empty()) {
        if !told.lets(check, settled) {
            continue;
        }
        for (number, found) in list {
            told.add(found);
            if advised != Some(*number) {
                said.extend(found.iter().map(|one| (*number, one)));
            }
        }
    }
    said
}

/// The one part whose rows cannot hold together: nothing else may be wrong, also once that is mended, so that
/// what it says by itself is what the whole says. The outer `None`: only the whole can tell.
fn advised(parts: &Parts) -> Option<Option<usize>> {
    let mut asking = parts.all().enumerate().filter(|(_, part)| part.wants_advice);
    let Some((number, _)) = asking.next() else { return Some(None) };
    let mut others = Told::default();
    for (_, part) in parts.all().enumerate().filter(|(other, _)| *other != number) {
        if part.wants_advice || part.has_errors() {
            return None;
        }
        others.join(&part.told);
        others.add(&part.silences);
        part.if_settled.iter().chain(&part.if_not).for_each(|(_, said)| others.add(said));
    }
    (!others.quiets()).then_some(Some(number))
}

/// A part at its place in the file.
struct Placed<'p> {
    parts: &'p Parts,
    part: &'p Part,
    number: usize,
}

impl Placed<'_> {
    fn root(&self) -> FileId {
        self.parts.file
    }

    /// `None` for what spans chunks that stand apart.
    fn span(&self, span: Span) -> Option<Span> {
        if span.file != self.root() {
            return Some(span);
        }
        let (start, end) = (span.start as usize, span.end as usize);
        let (chunk, within) = self.part.chunk_at(start)?;
        let at = self.parts.start_of(self.number, chunk)? + within;
        let inside = end <= *self.part.starts.get(chunk + 1)?;
        inside.then(|| Span::new(span.file, at, at + (end - start)))
    }

    /// What is written at the end of a part is written at the end of the file.
    fn edit(&self, edit: &Edit) -> Option<Edit> {
        let end = *self.part.starts.last()?;
        if edit.span.file != self.root() || (edit.span.start as usize) < end {
            return Some(Edit { span: self.span(edit.span)?, text: edit.text.clone() });
        }
        let at = *self.parts.starts.last()?;
        let before = if self.parts.ends_a_line() { "" } else { "\n" };
        let text = format!("{before}{}", edit.text.trim_start_matches('\n'));
        Some(Edit { span: Span::new(self.root(), at, at), text })
    }

    fn allow(&self, allow: &Allow) -> Option<Allow> {
        let mut placed = allow.clone();
        placed.span = self.span(allow.span)?;
        placed.rule.span = self.span(allow.rule.span)?;
        Some(placed)
    }

    /// The inner `None` for what the first part says too, which has all that stands everywhere.
    fn diagnostic(&self, one: &Diagnostic, before: &[Diagnostic]) -> Option<Option<Diagnostic>> {
        let mut placed = one.clone();
        placed.span = self.span(one.span)?;
        for label in &mut placed.labels {
            label.span = self.span(label.span)?;
        }
        for fix in &mut placed.fixes {
            for edit in &mut fix.edits {
                *edit = self.edit(edit)?;
            }
        }
        let (chunk, _) = self.part.chunk_at(one.span.start as usize)?;
        let everywhere = one.span.file != self.root() || self.part.is_everywhere(chunk);
        Some((!everywhere || !before.contains(&placed)).then_some(placed))
    }
}
