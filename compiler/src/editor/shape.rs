//! The shape of a file: what folds, what a selection grows to, and what its includes lead to.

use super::spot::touches;
use crate::Compiled;
use crate::source::{FileId, Span};
use crate::syntax::Parsed;
use crate::syntax::ast::{Statement, StatementKind};
use crate::syntax::tokens::TokenKind;
use std::path::Path;

/// Lines, from 0, that can be folded into the first of them.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Fold {
    pub first: usize,
    pub last: usize,
    pub comment: bool,
}

/// Blocks, comments of several lines, and runs of includes.
pub fn folds(compiled: &Compiled, file: FileId) -> Vec<Fold> {
    let (Some(source), Some(parsed)) = (compiled.sources.get(file), compiled.parsed.get(&file)) else {
        return Vec::new();
    };
    let line = |at: u32| source.lines.line_at(at).0;
    let mut found = Vec::new();
    let mut open = Vec::new();
    for token in &parsed.tokens {
        match token.kind {
            TokenKind::BlockOpen => open.push(line(token.start)),
            TokenKind::BlockClose => {
                found.extend(open.pop().map(|first| Fold { first, last: line(token.start), comment: false }));
            }
            _ => {}
        }
    }
    found.extend(runs(comment_lines(parsed, line), true));
    let includes = parsed.statements.iter().filter(|one| matches!(one.kind, StatementKind::Include { .. }));
    found.extend(runs(includes.map(|one| line(one.span.start)), false));
    found.retain(|fold| fold.last > fold.first);
    found.sort();
    found.dedup_by_key(|fold| fold.first);
    found
}

/// The lines that hold nothing but a comment.
fn comment_lines(parsed: &Parsed, line: impl Fn(u32) -> usize) -> impl Iterator<Item = usize> {
    let mut alone = true;
    let mut lines = Vec::new();
    for token in &parsed.tokens {
        match token.kind {
            TokenKind::Newline => alone = true,
            TokenKind::Blank | TokenKind::Bom => {}
            TokenKind::Comment if alone => lines.push(line(token.start)),
            _ => alone = false,
        }
    }
    lines.into_iter()
}

/// Lines that follow each other, as one fold each.
fn runs(lines: impl Iterator<Item = usize>, comment: bool) -> Vec<Fold> {
    let mut folds: Vec<Fold> = Vec::new();
    for line in lines {
        match folds.last_mut() {
            Some(last) if last.last + 1 == line => last.last = line,
            _ => folds.push(Fold { first: line, last: line, comment }),
        }
    }
    folds
}

/// What a selection at a byte grows to, from the word to the whole file; each holds the one before it.
pub fn selections(compiled: &Compiled, file: FileId, offset: u32) -> Vec<Span> {
    let (Some(source), Some(parsed)) = (compiled.sources.get(file), compiled.parsed.get(&file)) else {
        return Vec::new();
    };
    let whole = Span::new(file, 0, source.text.len());
    let mut around = vec![whole];
    let mut statements = parsed.statements.as_slice();
    while let Some(statement) = statements.iter().find(|one| touches(one.span, offset)) {
        around.push(statement.span);
        around.extend(row(statement, offset));
        statements = match &statement.kind {
            StatementKind::Act(act) => &act.statements,
            _ => &[],
        };
    }
    let token =
        parsed.tokens.iter().find(|token| token.start <= offset && offset < token.end && !token.kind.is_trivia());
    let ends = || parsed.tokens.iter().find(|token| token.end == offset && !token.kind.is_trivia());
    around.extend(token.or_else(ends).map(|token| Span { file, start: token.start, end: token.end }));
    around.dedup();
    around.reverse();
    around
}

/// The row of a block, and the attribute in it.
fn row(statement: &Statement, offset: u32) -> Vec<Span> {
    let attr =
        |attrs: &[crate::syntax::ast::Attr]| attrs.iter().map(|attr| attr.span).find(|span| touches(*span, offset));
    let of = |row: Span, attrs: &[crate::syntax::ast::Attr]| std::iter::once(row).chain(attr(attrs)).collect();
    match &statement.kind {
        StatementKind::Inputs { rows, .. } => {
            rows.iter().find(|row| touches(row.span, offset)).map(|row| of(row.span, &row.attrs))
        }
        StatementKind::Outputs { rows, .. } => {
            rows.iter().find(|row| touches(row.span, offset)).map(|row| of(row.span, &row.attrs))
        }
        StatementKind::Personal { rows, .. } => {
            rows.iter().find(|row| touches(row.span, offset)).map(|row| of(row.span, &row.attrs))
        }
        StatementKind::Model(model) => {
            model.items.iter().find(|item| touches(item.span, offset)).map(|item| vec![item.span])
        }
        StatementKind::Device(device) => Some(attr(&device.attrs).into_iter().collect()),
        StatementKind::Link { attrs, .. } | StatementKind::Loom { attrs, .. } | StatementKind::Change { attrs, .. } => {
            Some(attr(attrs).into_iter().collect())
        }
        _ => None,
    }
    .unwrap_or_default()
}

/// Each include of a file: where its path stands, and the file that it leads to.
pub fn links(compiled: &Compiled, file: FileId) -> Vec<(Span, &Path)> {
    let own = compiled.includes.iter().filter(|include| include.from == file);
    own.filter_map(|one| Some((one.path, compiled.sources.get(one.to)?.path.as_deref()?))).collect()
}
