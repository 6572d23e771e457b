//! The lines of a file, each with the tokens that stand on it. Every byte but those of a byte order mark
//! belongs to one line.

use super::super::significant::Spanned;
use super::super::tokens::{Token, TokenKind};
use std::ops::Range;

pub(super) struct Line {
    /// Without its line end.
    pub bytes: Range<usize>,
    /// After its line end; where it has none, the end of the file.
    pub end: usize,
    /// The significant tokens on it.
    pub sigs: Range<usize>,
    pub comment: Option<Range<usize>>,
    /// Nothing but blanks.
    pub is_blank: bool,
}

impl Line {
    pub fn text<'t>(&self, text: &'t str) -> &'t str {
        text.get(self.bytes.clone()).unwrap_or("")
    }
}

pub(super) fn lines(text: &str, tokens: &[Token], sigs: &[Spanned<'_>]) -> Vec<Line> {
    let mut out: Vec<Line> = Vec::new();
    let (mut start, mut sig, mut comment, mut is_blank) = (0, 0, None, true);
    let mut close = |bytes: Range<usize>, end: usize, comment: Option<Range<usize>>, is_blank: bool| {
        let first = sig;
        while sigs.get(sig).is_some_and(|(_, span)| (span.start as usize) < bytes.end) {
            sig += 1;
        }
        out.push(Line { bytes, end, sigs: first..sig, comment, is_blank });
    };
    for token in tokens {
        match token.kind {
            TokenKind::Bom if token.start == 0 => start = token.end as usize,
            TokenKind::Newline => {
                close(start..token.start as usize, token.end as usize, comment.take(), is_blank);
                (start, is_blank) = (token.end as usize, true);
            }
            TokenKind::Blank => {}
            kind => {
                is_blank = false;
                if kind == TokenKind::Comment {
                    comment = Some(token.start as usize..token.end as usize);
                }
            }
        }
    }
    if start < text.len() {
        close(start..text.len(), text.len(), comment, is_blank);
    }
    out
}
