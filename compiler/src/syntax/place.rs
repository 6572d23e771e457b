//! The row that a place of a text stands in, cut off at that place: what an editor needs while the row is
//! being written. It is split as the parser splits it.

use super::rows::{self, Body, Item};
use super::significant::{Sig, Spanned, significant};
use super::tokens::{Token, TokenKind, tokens};
use crate::source::{FileId, Span};
use std::ops::Range;

/// Where a place stands. Tokens that say nothing are left out.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Place {
    /// What opens each block around it, outermost first.
    pub blocks: Vec<Vec<Token>>,
    /// Its row, up to the word that is being written.
    pub row: Vec<Token>,
    /// The row before, in the same block.
    pub above: Vec<Token>,
    /// The rest of its line after that word.
    pub after: Vec<Token>,
    /// The word that the place stands in or touches the end of; empty between words.
    pub typed: Range<usize>,
    /// That word is a quoted text, and the place is inside.
    pub in_text: bool,
}

/// `None` in a comment, and where the line is too long to be read.
pub fn place(text: &str, offset: usize) -> Option<Place> {
    let (all, offset) = (tokens(text), offset.min(text.len()));
    let touched = all.iter().rposition(|token| (token.start as usize) < offset && offset <= token.end as usize);
    let token = touched.and_then(|at| all.get(at));
    if token.is_some_and(|token| token.kind == TokenKind::Comment) {
        return None;
    }
    let (first, typed) = typed(&all, touched, offset);
    let in_text = token.is_some_and(|token| is_inside(token, text, offset));
    let (before, rest) = all.split_at_checked(first)?;
    let (mut place, found) = (Place::default(), row(text, before, text.get(typed.clone())?)?);
    (place.blocks, place.above, place.row) = found;
    let line = rest.iter().skip_while(|token| (token.start as usize) < typed.end.max(offset));
    let line = line.take_while(|token| !matches!(token.kind, TokenKind::Newline | TokenKind::Semicolon));
    place.after = line.filter(|token| !token.kind.is_trivia()).copied().collect();
    (place.typed, place.in_text) = (typed, in_text);
    Some(place)
}

/// The first token that is not before the word being written, and that word's bytes. A dash at its end
/// belongs to it: a name or a range goes on there.
fn typed(all: &[Token], touched: Option<usize>, offset: usize) -> (usize, Range<usize>) {
    let none = |first: usize| (first, offset..offset);
    let Some((at, token)) = touched.and_then(|at| Some((at, all.get(at)?))) else { return none(0) };
    use TokenKind::{Dash, Date, Number, Range, Strange, Text, Time, Word};
    let word = |token: &Token| matches!(token.kind, Word | Number | Range | Date | Time);
    let before = at.checked_sub(1).and_then(|before| all.get(before)).filter(|before| word(before));
    match (token.kind, before) {
        (Dash, Some(before)) => (at - 1, before.start as usize..token.end as usize),
        (Text | Strange, _) => (at, token.start as usize..token.end as usize),
        _ if word(token) => (at, token.start as usize..token.end as usize),
        _ => none(at + 1),
    }
}

/// Whether a place is between the quotes of a text.
fn is_inside(token: &Token, text: &str, offset: usize) -> bool {
    let said = token.text(text);
    let closed = said.chars().count() > 1 && said.ends_with(['"', '\u{201c}', '\u{201d}']);
    token.kind == TokenKind::Text && (offset < token.end as usize || !closed)
}

type Found = (Vec<Vec<Token>>, Vec<Token>, Vec<Token>);

/// Splits what stands before, with the word being written as the last of it.
fn row(text: &str, before: &[Token], typed: &str) -> Option<Found> {
    let file = FileId(0);
    let mut sigs = significant(file, text, before).sigs;
    let _ = super::braces::read_as_braces(&mut sigs);
    let said = before.iter().rposition(|token| !token.kind.is_trivia());
    let since = before.get(said.map_or(0, |at| at + 1)..).unwrap_or(&[]);
    let first_on_line = said.is_none() || since.iter().any(|token| token.kind == TokenKind::Newline);
    let end = before.last().map_or(0, |token| token.end as usize);
    let probe = Sig { kind: TokenKind::Word, first_on_line, glued: false, text: typed };
    sigs.push((probe, Span::new(file, end, end)));
    let (items, _) = rows::items(&sigs, &Default::default());
    let mut blocks = Vec::new();
    let (above, row) = last(&items, sigs.len() - 1, &sigs, &mut blocks)?;
    Some((blocks, above, row))
}

/// The row that ends with the last token, and the one before it.
fn last(
    items: &[Item],
    probe: usize,
    sigs: &[Spanned<'_>],
    blocks: &mut Vec<Vec<Token>>,
) -> Option<(Vec<Token>, Vec<Token>)> {
    let (item, earlier) = items.split_last()?;
    let tokens = |range: &Range<usize>| -> Vec<Token> {
        let row = sigs.get(range.start..range.end.min(probe)).unwrap_or(&[]);
        row.iter().map(|(sig, span)| Token { kind: sig.kind, start: span.start, end: span.end }).collect()
    };
    if item.head.contains(&probe) {
        return Some((earlier.last().map(|item| tokens(&item.head)).unwrap_or_default(), tokens(&item.head)));
    }
    let block = item.block.as_ref()?;
    blocks.push(tokens(&item.head));
    match &block.body {
        Body::Items(items) => last(items, probe, sigs, blocks),
        Body::Rows(rows) => {
            let (row, earlier) = rows.split_last()?;
            let above = earlier.last().map(|row| tokens(&row.tokens)).unwrap_or_default();
            row.tokens.contains(&probe).then(|| (above, tokens(&row.tokens)))
        }
    }
}
