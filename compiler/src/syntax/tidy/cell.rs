//! A cell: a part of a row that stands in a column, and how its tokens stand beside one another. A blank
//! is put or taken only where no token could read otherwise for it.

use super::super::significant::Spanned;
use super::super::tokens::TokenKind;
use std::ops::Range;
use unicode_width::UnicodeWidthStr;

/// What a cell is in its row, in the order in which columns stand where the rows themselves do not say.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub(super) enum Role {
    /// A statement's word, or a bank and its numbers.
    Head,
    /// What a change is of.
    Noun,
    /// Channel numbers.
    Number,
    Name,
    Model,
    /// A microphone, a DI, or a kind.
    Mic,
    /// Where it comes from or goes to.
    Way,
    Phantom,
    Use,
    Offset,
    Cable,
    Gain,
    Pad,
    Stand,
    Level,
    Fact,
    Label,
    Flag,
    Place,
    Who,
    Note,
    Of,
    Other,
}

impl Role {
    /// A column of the list on paper. All the rest stands behind them.
    pub fn is_of_the_list(self) -> bool {
        self <= Role::Stand
    }

    /// A column wherever one row has it. The others must be worth it.
    pub fn always_stands(self) -> bool {
        self <= Role::Use && self != Role::Model
    }

    /// Whether the cell's number stands on the right of its column.
    fn counts(self) -> bool {
        matches!(self, Role::Number | Role::Offset | Role::Gain | Role::Cable | Role::Level)
    }

    /// Whether the cell begins with a word, and its list comes after.
    fn has_a_word(self) -> bool {
        matches!(self, Role::Way | Role::Of | Role::Other)
    }
}

pub(super) struct Cell {
    pub role: Role,
    /// Blanks before it, at least.
    pub gap: usize,
    pub text: String,
    pub width: usize,
    /// Where its number begins, in bytes, and how wide that is.
    pub number: Option<(usize, usize)>,
    /// Where a list that goes on in the next line stands, from the cell's start.
    pub list: usize,
}

impl Cell {
    pub fn new(role: Role, gap: usize, tokens: &[Spanned<'_>]) -> Self {
        let text = in_one_line(tokens);
        // the brace that closes a block pushes nothing
        let width = text.strip_suffix(" }").unwrap_or(&text).width();
        let list = match tokens.first() {
            Some((first, _)) if role.has_a_word() => first.text.width() + 1,
            _ => 0,
        };
        Cell { role, gap, width, number: number(role, tokens, &text), text, list }
    }

    /// Moves the number to the right.
    pub fn pad_number(&mut self, to: usize) {
        if let Some((at, width)) = self.number {
            let blanks = to.saturating_sub(width);
            self.text.insert_str(at, &" ".repeat(blanks));
            self.width += blanks;
        }
    }
}

pub(super) fn in_one_line(tokens: &[Spanned<'_>]) -> String {
    let mut text = String::new();
    let mut before: Option<&Spanned<'_>> = None;
    for sig in tokens {
        if before.is_some_and(|before| blank_between(before, sig)) {
            text.push(' ');
        }
        text.push_str(sig.0.text);
        before = Some(sig);
    }
    text
}

/// `gain 22 dB`, `offset 9`: after the first word. Of channels, all there is.
fn number(role: Role, tokens: &[Spanned<'_>], text: &str) -> Option<(usize, usize)> {
    if !role.counts() {
        return None;
    }
    if role == Role::Number {
        return Some((0, text.width()));
    }
    let kind = |at: usize| tokens.get(at).map(|(sig, _)| sig.kind);
    let end = match (kind(0)?, kind(1)?, kind(2)) {
        (TokenKind::Word, TokenKind::Number, _) => 2,
        (TokenKind::Word, TokenKind::Dash, Some(TokenKind::Number)) => 3,
        _ => return None,
    };
    let first = tokens.first()?.0.text;
    let number: Range<usize> = 1..end;
    Some((first.len() + 1, tokens.get(number)?.iter().map(|(sig, _)| sig.text.width()).sum()))
}

fn blank_between((before, _): &Spanned<'_>, (sig, _): &Spanned<'_>) -> bool {
    use TokenKind::*;
    match (before.kind, sig.kind) {
        (_, Comma | Semicolon) => false,
        (Comma | Semicolon | BlockOpen | BlockClose | Plus, _) | (_, BlockOpen | BlockClose | Plus) => true,
        (Text, Word | Number | Range | Date | Time) | (Word | Number | Range | Date | Time, Text) => true,
        _ => !sig.glued,
    }
}
