//! Text to tokens. Spaces and comments are tokens too: the tokens' texts put together are the
//! file's text, always. No token means anything yet: a word is a word.

use logos::Logos;

/// What a stretch of text is. `Strange` is what belongs to no other kind.
#[derive(Logos, Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum TokenKind {
    /// Letters of any language, digits, `_` and single hyphens inside; at least one letter.
    #[regex(r"([0-9_]+-)*[0-9_]*\p{L}(-?[\p{L}\p{M}0-9_])*")]
    Word,
    /// `12`, `2.5`
    #[regex(r"[0-9]+(\.[0-9]+)?")]
    Number,
    /// `1-8`, with a dash or an en dash
    #[regex("[0-9]+[-\u{2013}][0-9]+")]
    Range,
    /// `2026-07-04`
    #[regex(r"[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]", priority = 30)]
    Date,
    /// `14:05`
    #[regex(r"[0-9][0-9]?:[0-9][0-9]")]
    Time,
    /// With its quotes; without the last one where it was not closed on its line.
    #[regex("\"[^\"\n]*\"?")]
    #[regex("[\u{201c}\u{201e}][^\u{201c}\u{201d}\n]*[\u{201c}\u{201d}]?")]
    Text,
    #[token(",")]
    Comma,
    #[token(";")]
    Semicolon,
    #[token(".")]
    Dot,
    #[token("+")]
    Plus,
    #[token("-")]
    #[token("\u{2013}")]
    Dash,
    #[token("/")]
    Slash,
    #[token("{")]
    BlockOpen,
    #[token("}")]
    BlockClose,
    /// Brackets that the language does not use.
    #[regex(r"[()\[\]]")]
    Bracket,
    #[regex(r"\r?\n")]
    Newline,
    /// Spaces and tabs, and the characters that are read as one after they have been reported.
    #[regex(
        "[ \t\r\\p{Zs}\u{0}-\u{8}\u{b}-\u{1f}\u{7f}-\u{9f}\u{200e}\u{200f}\u{61c}\u{2028}-\u{202e}\u{2066}-\u{2069}]+"
    )]
    Blank,
    #[regex("#[^\n]*", allow_greedy = true)]
    Comment,
    /// The byte order mark at the start of a file.
    Bom,
    Strange,
}

impl TokenKind {
    /// Whether a reader of the language may pass over it.
    pub fn is_trivia(self) -> bool {
        matches!(self, TokenKind::Newline | TokenKind::Blank | TokenKind::Comment | TokenKind::Bom | TokenKind::Strange)
    }
}

/// A stretch of the file's text, in bytes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Token {
    pub kind: TokenKind,
    pub start: u32,
    pub end: u32,
}

impl Token {
    pub fn text<'t>(&self, text: &'t str) -> &'t str {
        text.get(self.start as usize..self.end as usize).unwrap_or("")
    }
}

const BOM: char = '\u{feff}';

/// All tokens of a text, without gaps.
pub fn tokens(text: &str) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::with_capacity(text.len() / 4);
    let from = if text.starts_with(BOM) { BOM.len_utf8() } else { 0 };
    if from > 0 {
        push(&mut out, TokenKind::Bom, 0, from);
    }
    // A carriage return that a longer token took from its line end.
    let mut owed = 0;
    for (kind, range) in TokenKind::lexer(text.get(from..).unwrap_or("")).spanned() {
        let kind = kind.unwrap_or(TokenKind::Strange);
        let (start, mut end) = (from + range.start - owed, from + range.end);
        owed = 0;
        let slice = text.get(start..end).unwrap_or("");
        if kind != TokenKind::Newline && slice.ends_with('\r') && text.get(end..).unwrap_or("").starts_with('\n') {
            owed = 1;
            end -= 1;
        }
        if start < end {
            push(&mut out, kind, start, end);
        }
    }
    out
}

fn push(out: &mut Vec<Token>, kind: TokenKind, start: usize, end: usize) {
    let (start, end) = (clamp(start), clamp(end));
    match out.last_mut() {
        Some(last) if kind == TokenKind::Strange && last.kind == TokenKind::Strange => last.end = end,
        _ => out.push(Token { kind, start, end }),
    }
}

fn clamp(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::*;
    use TokenKind::*;

    fn kinds(text: &str) -> Vec<(TokenKind, &str)> {
        let tokens = tokens(text);
        let joined: String = tokens.iter().map(|token| token.text(text)).collect();
        assert_eq!(joined, text);
        tokens.iter().filter(|t| t.kind != Blank).map(|t| (t.kind, t.text(text))).collect()
    }

    #[test]
    fn longest_match() {
        assert_eq!(kinds("2026-07-04"), [(Date, "2026-07-04")]);
        assert_eq!(kinds("2026-07"), [(Range, "2026-07")]);
        assert_eq!(kinds("1-8 1–8"), [(Range, "1-8"), (Range, "1–8")]);
        assert_eq!(kinds("12-string 48V"), [(Word, "12-string"), (Word, "48V")]);
        assert_eq!(kinds("-6 2.5 60m"), [(Dash, "-"), (Number, "6"), (Number, "2.5"), (Word, "60m")]);
        assert_eq!(kinds("14:05"), [(Time, "14:05")]);
        assert_eq!(kinds("toms.1"), [(Word, "toms"), (Dot, "."), (Number, "1")]);
        assert_eq!(kinds("kick-"), [(Word, "kick"), (Dash, "-")]);
        assert_eq!(kinds("2.5mV/Pa"), [(Number, "2.5"), (Word, "mV"), (Slash, "/"), (Word, "Pa")]);
        assert_eq!(kinds("_x1 1_a"), [(Word, "_x1"), (Word, "1_a")]);
    }

    #[test]
    fn letters_of_any_language() {
        assert_eq!(kinds("trommel-über"), [(Word, "trommel-über")]);
        assert_eq!(kinds("e\u{301}tage"), [(Word, "e\u{301}tage")]);
        assert_eq!(kinds("太鼓 барабан"), [(Word, "太鼓"), (Word, "барабан")]);
        assert_eq!(kinds("→→ x"), [(Strange, "→→"), (Word, "x")]);
    }

    #[test]
    fn texts_end_with_their_line() {
        assert_eq!(kinds("\"a\" “b”"), [(Text, "\"a\""), (Text, "“b”")]);
        assert_eq!(kinds("\"a\r\nb"), [(Text, "\"a"), (Newline, "\r\n"), (Word, "b")]);
        assert_eq!(kinds("# c\r\nb"), [(Comment, "# c"), (Newline, "\r\n"), (Word, "b")]);
        assert_eq!(kinds("b \r\nc"), [(Word, "b"), (Newline, "\r\n"), (Word, "c")]);
    }

    #[test]
    fn nothing_is_lost() {
        for text in [
            "",
            "\u{feff}",
            "\u{feff}a\u{feff}",
            "\r",
            "\r\r\n",
            "#\r",
            "\"\r",
            "\"\r\r\n\"",
            "\u{0}\u{202e}\u{2028}\u{b}",
            "“„”“",
            "1-–8--9",
            "a--b-.-1..2",
            "👩‍👩‍👧 \u{200b}",
            "2026-07-04-05:1:22",
        ] {
            kinds(text);
        }
    }
}
