//! A new name for a thing, wherever a show says it. What the library declares, and rules, keep theirs.

use super::index::{Index, NameAt, Symbol};
use crate::Compiled;
use crate::diagnostics::Edit;
use crate::source::{FileId, Span};
use crate::syntax::tokens::{TokenKind, tokens};

/// The name at a cursor, if it may have another.
///
/// # Errors
/// A sentence that says why it may not.
pub fn prepare<'i>(compiled: &Compiled, index: &'i Index, file: FileId, offset: u32) -> Result<&'i NameAt, String> {
    let name = index.at(file, offset).ok_or("there is no name here")?;
    let word = name.symbol.name();
    if let Symbol::Rule(_) = name.symbol {
        return Err(format!("`{word}` is a rule, which keeps its name"));
    }
    if is_role(&name.symbol, word) {
        return Err(format!("`{word}` says by its name which way signals go, and keeps it"));
    }
    let mut declared = index.declarations(&name.symbol).peekable();
    if declared.peek().is_none() {
        return Err(format!("`{word}` is declared nowhere"));
    }
    let in_library = |name: &NameAt| compiled.sources.get(name.span.file).is_some_and(|file| file.path.is_none());
    if declared.any(in_library) {
        return Err(format!("`{word}` belongs to the library, which keeps its names"));
    }
    Ok(name)
}

/// The edits that give a thing a new name, in order of files and places.
///
/// # Errors
/// A sentence that says why it cannot have that name.
pub fn rename(index: &Index, symbol: &Symbol, new: &str) -> Result<Vec<Edit>, String> {
    let word = tokens(new);
    if !matches!(word.as_slice(), [one] if one.kind == TokenKind::Word) {
        return Err(format!(
            "`{new}` is no name: a name is made of letters, digits, `_` and single hyphens, with at least one letter"
        ));
    }
    if is_role(symbol, new) {
        return Err(format!("a bank called `{new}` says by its name which way signals go: take another"));
    }
    if let Some(taken) = index.symbols().find(|known| *known != symbol && known.name() == new && clash(known, symbol)) {
        let at = index.declarations(taken).next();
        let is = if at.is_some() { "is taken already" } else { "means something already" };
        return Err(format!("`{new}` {is} here"));
    }
    let mut spans: Vec<Span> = index.places(symbol).map(|name| name.span).collect();
    spans.sort();
    Ok(spans.into_iter().map(|span| Edit { span, text: new.to_string() }).collect())
}

/// A bank called `in` or `out` is one by its name.
fn is_role(symbol: &Symbol, name: &str) -> bool {
    matches!(symbol, Symbol::Part { .. }) && ["in", "out"].contains(&name)
}

/// Whether two things of one name could be taken for each other.
fn clash(a: &Symbol, b: &Symbol) -> bool {
    use Symbol as S;
    match (a, b) {
        (S::Part { of: a, .. }, S::Part { of: b, .. }) => a == b,
        (S::Part { .. }, _) | (_, S::Part { .. }) => false,
        (S::Model(_), S::Model(_)) | (S::Carrier(_), S::Carrier(_)) => true,
        (S::Mic(_) | S::Kind(_), S::Mic(_) | S::Kind(_)) => true,
        (S::Model(_) | S::Carrier(_) | S::Mic(_) | S::Kind(_) | S::Rule(_), _)
        | (_, S::Model(_) | S::Carrier(_) | S::Mic(_) | S::Kind(_) | S::Rule(_)) => false,
        // Devices, sources, groups and acts stand in the same places.
        _ => true,
    }
}
