//! A text laid out anyhow: other blanks in its rows, more blank lines where there are some, blanks behind.
//! What it says is the same.

use crate::dice::Dice;
use fantail::syntax::{TokenKind, tokens::tokens};

/// Comments of their own stay where they stand, and no token moves to another line.
pub fn mangled(text: &str, seed: u64) -> String {
    let mut dice = Dice(seed);
    let mut out = String::with_capacity(text.len() * 2);
    let all = tokens(text);
    let mut before = TokenKind::Newline;
    for (at, token) in all.iter().enumerate() {
        let next = all.get(at + 1).map(|next| next.kind);
        let starts = matches!(before, TokenKind::Newline | TokenKind::Bom);
        match token.kind {
            TokenKind::Blank if starts && next == Some(TokenKind::Comment) => out.push_str(token.text(text)),
            TokenKind::Blank => out.push_str(&blanks(&mut dice, 1)),
            kind => {
                let joins = matches!(kind, TokenKind::Comma | TokenKind::Semicolon | TokenKind::BlockClose);
                let begins = starts && !matches!(kind, TokenKind::Newline | TokenKind::Comment);
                if (joins || begins || kind == TokenKind::Newline) && dice.one_in(3) {
                    out.push_str(&blanks(&mut dice, 0));
                }
                out.push_str(token.text(text));
            }
        }
        if token.kind == TokenKind::Newline && next == Some(TokenKind::Newline) && dice.one_in(2) {
            out.push_str(&blanks(&mut dice, 0));
            out.push_str(token.text(text));
        }
        before = token.kind;
    }
    out
}

fn blanks(dice: &mut Dice, least: u32) -> String {
    (0..dice.within(least, 9)).map(|_| if dice.one_in(8) { '\t' } else { ' ' }).collect()
}
