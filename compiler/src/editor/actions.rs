//! What an editor offers to do about a place: the changes that diagnostics carry, all safe ones at once, and
//! allowing what is meant.

use crate::Compiled;
use crate::diagnostics::{Diagnostic, Edit, Fix, Severity};
use crate::rules;
use crate::source::{FileId, Span};
use crate::syntax::ast::{Statement, StatementKind};
use std::ops::Range;

/// One thing to do.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Action {
    pub fix: Fix,
    pub what: What,
    /// Which of the show's diagnostics it answers.
    pub answers: Vec<usize>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum What {
    /// A change that the diagnostic proposes.
    Mend,
    /// `allow … because "…"`, with a reason to fill in.
    Allow,
    /// Every safe change of the file.
    MendAll,
}

/// What the reason says until somebody fills it in.
pub const REASON: &str = "say why";

/// What can be done about the diagnostics that touch these bytes of a file.
pub fn actions(compiled: &Compiled, file: FileId, bytes: Range<u32>) -> Vec<Action> {
    let touches = |span: Span| span.file == file && span.start <= bytes.end && bytes.start <= span.end;
    let here = compiled.diagnostics.iter().enumerate().filter(|(_, one)| touches(one.span));
    let mut found: Vec<Action> = Vec::new();
    let mut allows: Vec<Action> = Vec::new();
    for (at, diagnostic) in here {
        let mends = diagnostic.fixes.iter();
        found.extend(mends.map(|fix| Action { fix: fix.clone(), what: What::Mend, answers: vec![at] }));
        allows.extend(allow(compiled, diagnostic).map(|fix| Action { fix, what: What::Allow, answers: vec![at] }));
    }
    found.extend(allows);
    found.extend(mend_all(compiled, file));
    found
}

/// Every safe change of a file that does not overlap one before it; `None` where there is none.
pub fn mend_all(compiled: &Compiled, file: FileId) -> Option<Action> {
    let (mut edits, mut answers): (Vec<Edit>, Vec<usize>) = (Vec::new(), Vec::new());
    for (at, diagnostic) in compiled.diagnostics.iter().enumerate() {
        let within = |fix: &&Fix| fix.safe && fix.edits.iter().all(|edit| edit.span.file == file);
        let Some(fix) = diagnostic.fixes.iter().find(within) else { continue };
        let apart = |edit: &Edit| edits.iter().all(|known: &Edit| !meet(known.span, edit.span));
        if !fix.edits.is_empty() && fix.edits.iter().all(apart) {
            edits.extend(fix.edits.iter().cloned());
            answers.push(at);
        }
    }
    edits.sort_by_key(|edit| (edit.span.start, edit.span.end));
    let label = "mend all that is safe to mend here".to_string();
    (!edits.is_empty()).then_some(Action { fix: Fix { label, edits, safe: true }, what: What::MendAll, answers })
}

/// Two edits at one place, an insertion among them, have no order.
fn meet(a: Span, b: Span) -> bool {
    a.start <= b.end && b.start <= a.end
}

/// A line after the statement that says why this is meant. Errors cannot be allowed.
fn allow(compiled: &Compiled, diagnostic: &Diagnostic) -> Option<Fix> {
    let rule = rules::find(diagnostic.rule)?;
    if diagnostic.severity == Severity::Error || rule.severity == Severity::Error {
        return None;
    }
    let file = compiled.sources.get(diagnostic.span.file)?;
    let parsed = compiled.parsed.get(&diagnostic.span.file)?;
    file.path.as_ref()?;
    let statement = holding(&parsed.statements, diagnostic.span)?;
    let (_, start) = file.lines.line_at(statement.span.start);
    let indent: String = file.text.get(start as usize..)?.chars().take_while(|c| matches!(c, ' ' | '\t')).collect();
    let (last, _) = file.lines.line_at(statement.span.end);
    let newline = if file.text.contains("\r\n") { "\r\n" } else { "\n" };
    let on = diagnostic.about.first().map(|thing| format!(" on {thing}")).unwrap_or_default();
    let row = format!("{indent}allow {}{on} because \"{REASON}\"", diagnostic.rule);
    let (at, text) = match file.lines.start_of(last + 1) {
        Some(next) => (next, format!("{row}{newline}")),
        None => (u32::try_from(file.text.len()).ok()?, format!("{newline}{row}{newline}")),
    };
    let span = Span { file: file.id, start: at, end: at };
    let label = match diagnostic.about.first() {
        Some(thing) => format!("allow `{}` on `{thing}`, and say why", diagnostic.rule),
        None => format!("allow `{}`, and say why", diagnostic.rule),
    };
    Some(Fix { label, edits: vec![Edit { span, text }], safe: false })
}

/// The innermost statement that holds a place.
fn holding(statements: &[Statement], span: Span) -> Option<&Statement> {
    let statement = statements.iter().find(|statement| statement.span.holds(span))?;
    match &statement.kind {
        StatementKind::Act(act) => holding(&act.statements, span).or(Some(statement)),
        _ => Some(statement),
    }
}
