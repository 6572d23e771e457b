//! The tokens that mean something, and the characters that a patch should not hold.
//! Strange characters are reported once a line, then read as blanks.

use super::tokens::{Token, TokenKind};
use crate::diagnostics::{Diagnostic, Edit};
use crate::source::{FileId, Span};
use std::cmp::Ordering;
use std::collections::BTreeSet;
use unicode_normalization::{UnicodeNormalization, is_nfc};

/// More tokens than this in one row are no row; the rest of the line is passed over.
pub(super) const TOKENS_IN_A_ROW: usize = 4096;

/// No name or number is longer than this, in bytes. Messages repeat names: without a bound, one word of
/// ten megabytes would be printed whole, as often as something is said of it.
pub(super) const LONGEST_WORD: usize = 512;

/// No quoted text is longer than this, in bytes.
pub(super) const LONGEST_TEXT: usize = 4096;

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
    /// The tokens before which the rest of a line was passed over: the row that ends there is not read.
    pub cuts: BTreeSet<usize>,
    /// Words of rows that are too long.
    pub passed_over: BTreeSet<String>,
    pub diagnostics: Vec<Diagnostic>,
}

pub(super) fn significant<'t>(file: FileId, text: &'t str, tokens: &[Token]) -> Significant<'t> {
    let mut out = Significant::default();
    let (mut first_on_line, mut glued, mut row_start, mut in_row) = (true, false, 0, 0);
    for token in tokens {
        if token.kind.is_trivia() {
            if token.kind == TokenKind::Newline {
                (first_on_line, in_row, row_start) = (true, 0, out.sigs.len());
            }
            glued = false;
            continue;
        }
        let sig = Sig { kind: token.kind, first_on_line, glued, text: token.text(text) };
        (first_on_line, glued) = (false, true);
        in_row += 1;
        if token.kind == TokenKind::Semicolon {
            (in_row, row_start) = (0, out.sigs.len() + 1);
        }
        let span = Span { file, start: token.start, end: token.end };
        if in_row <= TOKENS_IN_A_ROW && sig.text.len() > longest(sig.kind) {
            out.pass_over_from(row_start, Some(sig.text), endless(span, sig.kind));
            in_row = TOKENS_IN_A_ROW + 1;
            continue;
        }
        match in_row.cmp(&(TOKENS_IN_A_ROW + 1)) {
            Ordering::Less => out.sigs.push((sig, span)),
            Ordering::Equal => out.cut(row_start),
            Ordering::Greater => {}
        }
        if in_row > TOKENS_IN_A_ROW && sig.kind == TokenKind::Word {
            out.passed_over.insert(nfc(sig.text));
        }
    }
    out
}

impl Significant<'_> {
    fn cut(&mut self, row_start: usize) {
        if let Some((_, first)) = self.sigs.get(row_start) {
            self.pass_over_from(row_start, None, too_long(*first));
        }
    }

    /// Gives up the row that began there. `last`: its first token that was not kept.
    fn pass_over_from(&mut self, row_start: usize, last: Option<&str>, told: Diagnostic) {
        if row_start < self.sigs.len() {
            self.cuts.insert(self.sigs.len());
        }
        let row = self.sigs.get(row_start..).unwrap_or(&[]);
        let words = row.iter().filter(|(sig, _)| sig.kind == TokenKind::Word).map(|(sig, _)| sig.text);
        self.passed_over.extend(words.chain(last).map(nfc));
        self.diagnostics.push(told);
    }
}

pub(super) fn too_long(row: Span) -> Diagnostic {
    let message = format!("this row has more than {TOKENS_IN_A_ROW} words and signs, so it was not read");
    Diagnostic::error("row-too-long", row, message).help("write it as several rows")
}

fn longest(kind: TokenKind) -> usize {
    if kind == TokenKind::Text { LONGEST_TEXT } else { LONGEST_WORD }
}

fn endless(span: Span, kind: TokenKind) -> Diagnostic {
    let what = match kind {
        TokenKind::Text => format!("this text is longer than {LONGEST_TEXT} bytes"),
        TokenKind::Word => format!("this name is longer than {LONGEST_WORD} bytes"),
        _ => format!("this number has more than {LONGEST_WORD} digits"),
    };
    let told = Diagnostic::error("row-too-long", span, format!("{what}, so its row was not read"));
    told.help(match kind {
        TokenKind::Text => "write less, and see that the quotes are closed",
        _ => "write a shorter one",
    })
}

pub(crate) fn nfc(text: &str) -> String {
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
