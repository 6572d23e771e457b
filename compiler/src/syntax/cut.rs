//! Where a text can be cut: before each line that begins a statement, so that every piece reads alone as it
//! reads in its place. It follows the splitter of rows; where that would look beyond a piece, the text is
//! not cut there, and where anything is strange it is not cut at all.

use super::rows::opens_lists;
use super::significant::{LONGEST_TEXT, LONGEST_WORD, TOKENS_IN_A_ROW};
use super::tokens::{Token, TokenKind, tokens};
use super::words::STATEMENT_WORDS;

/// Lists whose brace is missing, and blocks in blocks, that a text may have.
const MOST_OPEN: usize = 8;

/// The borders of a text, or of a stretch of one that begins at a border.
pub struct Cut {
    /// The byte at which each statement's line starts.
    pub starts: Vec<usize>,
    /// What comes after the text begins a piece of its own.
    pub closed: bool,
}

/// `None` where the text is strange.
pub fn cut(text: &str) -> Option<Cut> {
    let tokens = tokens(text);
    let mut cutter = Cutter { text, starts: Vec::new(), depth: 0, of_list: false, missing: 0, word: "", begins: true };
    let mut signs = tokens.iter().filter(|token| !token.kind.is_trivia()).skip(1).peekable();
    let (mut line, mut first, mut in_line, mut comma) = (0, true, 0, false);
    for token in &tokens {
        if token.kind == TokenKind::Newline {
            (line, first, in_line) = (token.end as usize, true, 0);
        }
        if token.kind.is_trivia() {
            continue;
        }
        in_line += 1;
        let next = signs.next();
        if in_line > TOKENS_IN_A_ROW || is_endless(token) {
            return None;
        }
        if first && cutter.is_statement(token) {
            cutter.statement(line, comma, token, next)?;
        } else if cutter.begins || (first && !comma) {
            cutter.begins_with(token);
        }
        cutter.bracket(token, first)?;
        if token.kind == TokenKind::Bracket && ends_line(text, token) {
            return None;
        }
        comma = token.kind == TokenKind::Comma;
        first = false;
    }
    let Cutter { starts, depth, of_list, .. } = cutter;
    // A list may be open at the end: its rows are read all the same.
    let open = depth > 1 || (depth == 1 && !of_list);
    (!open).then_some(Cut { starts, closed: depth == 0 && !comma })
}

struct Cutter<'t> {
    text: &'t str,
    starts: Vec<usize>,
    depth: usize,
    /// The outermost block that is open is one of a list of rows.
    of_list: bool,
    missing: usize,
    /// The first word of the statement.
    word: &'t str,
    /// The next token begins a statement.
    begins: bool,
}

impl<'t> Cutter<'t> {
    fn is_statement(&self, token: &Token) -> bool {
        token.kind == TokenKind::Word && STATEMENT_WORDS.contains(&token.text(self.text))
    }

    /// A line that begins with a statement's word.
    fn statement(&mut self, line: usize, after_comma: bool, token: &Token, next: Option<&Token>) -> Option<()> {
        let word = token.text(self.text);
        let number = next.is_some_and(|next| matches!(next.kind, TokenKind::Number | TokenKind::Range));
        // It may be a row: `spare 8`.
        if number && !["fantail", "rate"].contains(&word) {
            return None;
        }
        match self.depth {
            0 if after_comma => {}
            0 => self.starts.push(line),
            // After a comma it goes on with the row above, whatever it begins with.
            1 if self.of_list && !after_comma => {
                // The list's brace is missing, which is told with this line.
                (self.depth, self.missing) = (0, self.missing + 1);
                if self.missing > MOST_OPEN {
                    return None;
                }
            }
            _ => return Some(()),
        }
        (self.word, self.begins) = (word, false);
        Some(())
    }

    fn begins_with(&mut self, token: &Token) {
        if self.depth == 0 {
            (self.word, self.begins) = (token.text(self.text), false);
        }
    }

    fn bracket(&mut self, token: &Token, first: bool) -> Option<()> {
        match token.kind {
            TokenKind::BlockOpen => {
                if self.depth == 0 {
                    self.of_list = !first && opens_lists(self.word);
                }
                self.depth += 1;
                if self.depth > MOST_OPEN {
                    return None;
                }
            }
            TokenKind::BlockClose => {
                self.depth = self.depth.checked_sub(1)?;
                self.begins = self.depth == 0;
            }
            TokenKind::Semicolon => self.begins = self.depth == 0,
            _ => {}
        }
        Some(())
    }
}

/// The splitter passes over the row of such a one.
fn is_endless(token: &Token) -> bool {
    let length = (token.end - token.start) as usize;
    length > if token.kind == TokenKind::Text { LONGEST_TEXT } else { LONGEST_WORD }
}

/// Other brackets may be read as braces there.
fn ends_line(text: &str, token: &Token) -> bool {
    let rest = text.get(token.end as usize..).unwrap_or_default().trim_start_matches([' ', '\t']);
    rest.is_empty() || rest.starts_with(['\n', '\r', '#'])
}
