//! The tokens that mean something, and the characters that a patch should not hold.
//! Strange characters are reported once a line, then read as blanks.

use super::tokens::{Token, TokenKind};
use crate::diagnostics::{Diagnostic, Edit};
use crate::source::{FileId, Span};
use std::collections::BTreeSet;
use unicode_normalization::{UnicodeNormalization, is_nfc};

/// More tokens than this in one row are no row; the rest of the line is passed over.
pub(super) const TOKENS_IN_A_ROW: usize = 4096;

/// A token that means something.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Sig<'t> {
    pub kind: TokenKind,
    pub first_on_line: bool,
    /// No blank stands before it.
    pub glued: bool,
    pub text: &'t str,
}

impl Sig<'_> {
    pub fn is_word(&self, word: &str) -> bool {
        self.kind == TokenKind::Word && self.text == word
    }
}

pub(super) type Spanned<'t> = (Sig<'t>, Span);

#[derive(Default)]
pub(super) struct Significant<'t> {
    pub sigs: Vec<Spanned<'t>>,
    /// Words that were passed over in rows that are too long.
    pub passed_over: BTreeSet<String>,
}

pub(super) fn significant<'t>(file: FileId, text: &'t str, tokens: &[Token]) -> Significant<'t> {
    let mut out = Significant::default();
    let (mut first_on_line, mut glued, mut in_row) = (true, false, 0);
    for token in tokens {
        if token.kind.is_trivia() {
            if token.kind == TokenKind::Newline {
                (first_on_line, in_row) = (true, 0);
            }
            glued = false;
            continue;
        }
        in_row = if token.kind == TokenKind::Semicolon { 0 } else { in_row + 1 };
        let sig = Sig { kind: token.kind, first_on_line, glued, text: token.text(text) };
        (first_on_line, glued) = (false, true);
        if in_row <= TOKENS_IN_A_ROW + 1 {
            out.sigs.push((sig, Span { file, start: token.start, end: token.end }));
        } else if sig.kind == TokenKind::Word {
            out.passed_over.insert(nfc(sig.text));
        }
    }
    out
}

pub(super) fn nfc(text: &str) -> String {
    if text.is_ascii() || is_nfc(text) { text.to_string() } else { text.nfc().collect() }
}

/// The places of strange characters, in order.
pub(super) fn strange_places(file: FileId, text: &str, tokens: &[Token]) -> Vec<Span> {
    let mut places: Vec<Span> = tokens
        .iter()
        .filter(|token| token.kind == TokenKind::Strange)
        .map(|token| Span { file, start: token.start, end: token.end })
        .collect();
    let mut chars = text.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        let next = chars.peek().map(|(_, c)| *c);
        if is_control(c) && !(c == '\r' && next == Some('\n')) {
            places.push(Span::new(file, at, at + c.len_utf8()));
        }
    }
    places.sort();
    places
}

/// Controls, marks that turn the reading direction, and line separators other than LF.
pub(super) fn is_control(c: char) -> bool {
    (c.is_control() && c != '\t' && c != '\n')
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{61c}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// One diagnostic for each line that has strange characters, at the first of them.
pub(super) fn report_strange(text: &str, places: &[Span]) -> Vec<Diagnostic> {
    let mut out: Vec<Diagnostic> = Vec::new();
    let mut line: &[Span] = &[];
    let mut rest = places;
    while let Some(first) = rest.first() {
        let end = text.get(first.start as usize..).and_then(|tail| tail.find('\n'));
        let end = end.map_or(text.len(), |at| first.start as usize + at);
        let count = rest.partition_point(|place| (place.start as usize) < end.max(first.end as usize));
        (line, rest) = rest.split_at_checked(count.max(1)).unwrap_or((line, &[]));
        out.push(strange(text, *first, line.len() - 1));
    }
    out
}

fn strange(text: &str, place: Span, more: usize) -> Diagnostic {
    let found = text.get(place.range()).unwrap_or("");
    let first = found.chars().next().unwrap_or(' ');
    let what = match first {
        '\r' => "a carriage return without a line feed stands here".to_string(),
        '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}' => {
            format!("a line separator (U+{:04X}) stands here that other programs read as a new line", first as u32)
        }
        '\u{200e}' | '\u{200f}' | '\u{61c}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
            format!("an invisible mark (U+{:04X}) turns the reading direction here", first as u32)
        }
        c if c.is_control() || c.is_whitespace() || is_invisible(c) => {
            format!("an invisible character (U+{:04X}) stands here", first as u32)
        }
        _ => format!("`{}` has no meaning here", shortened(found)),
    };
    let more = if more == 0 { String::new() } else { format!(", and {more} more on this line") };
    Diagnostic::error("strange-character", place, format!("{what}{more}"))
        .help("delete it, or put it inside a quoted text if it is meant to be printed")
        .fix("put a space in its place", vec![Edit { span: place, text: " ".to_string() }], true)
}

fn is_invisible(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{200b}'..='\u{200d}' | '\u{2060}'..='\u{2064}' | '\u{feff}')
}

pub(super) fn shortened(text: &str) -> String {
    let mut short: String = text.chars().take(40).map(|c| if is_control(c) { ' ' } else { c }).collect();
    if text.chars().nth(40).is_some() {
        short.push('…');
    }
    short
}
