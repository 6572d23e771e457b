//! What each word of a file is, for colours: names by what they name, and the language's own words.

use super::index::{Index, NameAt, Role, Symbol};
use crate::Compiled;
use crate::source::FileId;
use crate::syntax::tokens::{Token, TokenKind};
use crate::syntax::words;
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::LazyLock;

/// The colours, in the order of `ALL`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Paint {
    Word,
    Text,
    Number,
    Comment,
    Device,
    Source,
    Group,
    Act,
    Model,
    Part,
    Kind,
    Rule,
}

impl Paint {
    pub const ALL: &[Paint] = &[
        Paint::Word,
        Paint::Text,
        Paint::Number,
        Paint::Comment,
        Paint::Device,
        Paint::Source,
        Paint::Group,
        Paint::Act,
        Paint::Model,
        Paint::Part,
        Paint::Kind,
        Paint::Rule,
    ];
}

/// A stretch of one line.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Painted {
    pub start: u32,
    pub end: u32,
    pub paint: Paint,
    /// It is declared here.
    pub declares: bool,
    /// It is changed, or taken out, here.
    pub changes: bool,
}

/// Every coloured stretch that touches these bytes, in order.
pub fn paint(compiled: &Compiled, index: &Index, file: FileId, bytes: Range<u32>) -> Vec<Painted> {
    let (Some(source), Some(parsed)) = (compiled.sources.get(file), compiled.parsed.get(&file)) else {
        return Vec::new();
    };
    let first = parsed.tokens.partition_point(|token| token.end <= bytes.start);
    let last = parsed.tokens.partition_point(|token| token.start < bytes.end);
    let mut names = index.in_file(file).iter().peekable();
    let tokens = parsed.tokens.get(first..last.max(first)).unwrap_or_default();
    let mut painted = Vec::with_capacity(tokens.len() / 2);
    for token in tokens {
        while names.next_if(|name| name.span.start < token.start).is_some() {}
        let name = names.peek().filter(|name| name.span.start == token.start);
        painted.extend(one(token, name.copied(), token.text(&source.text)));
    }
    painted
}

fn one(token: &Token, name: Option<&NameAt>, text: &str) -> Option<Painted> {
    let plain = |paint| Painted { start: token.start, end: token.end, paint, declares: false, changes: false };
    Some(match (token.kind, name) {
        (_, Some(name)) => Painted {
            declares: name.role == Role::Declares,
            changes: matches!(name.role, Role::Changes | Role::TakesOut),
            ..plain(of_symbol(&name.symbol))
        },
        (TokenKind::Word, None) if WORDS.contains(text) => plain(Paint::Word),
        (TokenKind::Text, _) => plain(Paint::Text),
        (TokenKind::Number | TokenKind::Range | TokenKind::Date | TokenKind::Time, _) => plain(Paint::Number),
        (TokenKind::Comment, _) => {
            let blank = u32::try_from(text.len() - text.trim_end().len()).unwrap_or(0);
            Painted { end: token.end - blank, ..plain(Paint::Comment) }
        }
        _ => return None,
    })
}

fn of_symbol(symbol: &Symbol) -> Paint {
    match symbol {
        Symbol::Device(_) => Paint::Device,
        Symbol::Source { .. } => Paint::Source,
        Symbol::Group { .. } => Paint::Group,
        Symbol::Act(_) => Paint::Act,
        Symbol::Model(_) | Symbol::Carrier(_) => Paint::Model,
        Symbol::Part { .. } => Paint::Part,
        Symbol::Kind(_) | Symbol::Mic(_) => Paint::Kind,
        Symbol::Rule(_) => Paint::Rule,
    }
}

/// Every word that the language has somewhere. A name that is one of them has been painted as a name.
static WORDS: LazyLock<BTreeSet<&'static str>> = LazyLock::new(|| words::all().collect());
