//! Tokens to statements and rows, by line ends, `;`, commas and braces alone. Nothing is read inside a
//! row here, and no row can swallow the next one. Depth is bounded: only acts nest.

use super::significant::{Spanned, TOKENS_IN_A_ROW, too_long};
use super::tokens::TokenKind;
use super::words::STATEMENT_WORDS;
use crate::diagnostics::{Diagnostic, Edit};
use crate::source::Span;
use std::collections::BTreeSet;
use std::ops::Range;

/// Braces deeper than this are not looked at.
const DEPTH: usize = 128;
/// An act in an act is read, and reported later; one in that is not.
const ACT_DEPTH: usize = 3;

/// A statement: its own tokens, and the block after them.
#[derive(Debug)]
pub(super) struct Item {
    pub head: Range<usize>,
    pub block: Option<Block>,
    /// A diagnostic about its tokens has been made already; read what can be read and say nothing more.
    pub reported: bool,
    /// Braces after it that were passed over, with all that they enclose.
    pub passed: Range<usize>,
}

#[derive(Debug)]
pub(super) struct Block {
    pub open: usize,
    /// The token after the last of the block.
    pub end: usize,
    pub body: Body,
}

#[derive(Debug)]
pub(super) enum Body {
    Rows(Vec<Row>),
    Items(Vec<Item>),
}

#[derive(Debug)]
pub(super) struct Row {
    pub tokens: Range<usize>,
    pub reported: bool,
}

pub(super) fn items(sigs: &[Spanned<'_>], cuts: &BTreeSet<usize>) -> (Vec<Item>, Vec<Diagnostic>) {
    let mut splitter = Splitter { sigs, cuts, at: 0, partner: partners(sigs), diagnostics: Vec::new() };
    let items = splitter.items(0, None);
    (items, splitter.diagnostics)
}

/// For each token that opens a block, the one that closes it. Beyond the depth there is none.
fn partners(sigs: &[Spanned<'_>]) -> Vec<Option<u32>> {
    let mut partner = vec![None; sigs.len()];
    let mut open: Vec<usize> = Vec::new();
    let mut beyond = 0usize;
    for (at, (sig, _)) in sigs.iter().enumerate() {
        match sig.kind {
            TokenKind::BlockOpen if open.len() >= DEPTH => beyond += 1,
            TokenKind::BlockOpen => open.push(at),
            TokenKind::BlockClose if beyond > 0 => beyond -= 1,
            TokenKind::BlockClose => {
                if let Some(slot) = open.pop().and_then(|opener| partner.get_mut(opener)) {
                    *slot = u32::try_from(at).ok();
                }
            }
            _ => {}
        }
    }
    partner
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum BlockKind {
    Act,
    /// Rows that begin with a number and a name.
    Numbered,
    /// Rows that begin with a bank, a number and `to`.
    Outputs,
    Other,
}

fn block_kind(word: &str) -> Option<BlockKind> {
    match word {
        "act" => Some(BlockKind::Act),
        "inputs" | "personal" => Some(BlockKind::Numbered),
        "outputs" => Some(BlockKind::Outputs),
        "model" | "mic" | "kind" | "carrier" => Some(BlockKind::Other),
        _ => None,
    }
}

/// Does a statement of this word have a block?
pub(super) fn opens_blocks(word: &str) -> bool {
    block_kind(word).is_some()
}

/// Does it open a list of rows, which ends at the next statement also where its brace is missing?
pub(super) fn opens_lists(word: &str) -> bool {
    matches!(block_kind(word), Some(BlockKind::Numbered | BlockKind::Outputs))
}

/// How a row ended.
struct Ended {
    tokens: Range<usize>,
    reported: bool,
}

struct Splitter<'s, 't> {
    sigs: &'s [Spanned<'t>],
    /// Before these tokens something was passed over.
    cuts: &'s BTreeSet<usize>,
    at: usize,
    partner: Vec<Option<u32>>,
    diagnostics: Vec<Diagnostic>,
}

impl Splitter<'_, '_> {
    fn kind(&self, at: usize) -> Option<TokenKind> {
        self.sigs.get(at).map(|(sig, _)| sig.kind)
    }

    fn span(&self, at: usize) -> Option<Span> {
        self.sigs.get(at).map(|(_, span)| *span)
    }

    fn first_on_line(&self, at: usize) -> bool {
        self.sigs.get(at).is_some_and(|(sig, _)| sig.first_on_line)
    }

    fn is_statement_word(&self, at: usize) -> bool {
        let word = |(sig, _): &Spanned<'_>| sig.kind == TokenKind::Word && STATEMENT_WORDS.contains(&sig.text);
        self.sigs.get(at).is_some_and(word)
    }

    fn is_number(&self, at: usize) -> bool {
        matches!(self.kind(at), Some(TokenKind::Number | TokenKind::Range))
    }

    /// Statements of the file, or of the act whose brace stands at `open`.
    fn items(&mut self, depth: usize, open: Option<usize>) -> Vec<Item> {
        let mut out: Vec<Item> = Vec::new();
        let mut after_block = false;
        while let Some(kind) = self.kind(self.at) {
            match kind {
                TokenKind::Semicolon => {
                    self.at += 1;
                    after_block = false;
                }
                TokenKind::BlockClose if depth > 0 => break,
                TokenKind::BlockClose => self.stray_closers(),
                TokenKind::BlockOpen => self.opener_on_its_own(out.last_mut(), depth),
                _ if open.is_some_and(|open| self.leaves_an_act(open)) => break,
                _ => {
                    if after_block && !self.first_on_line(self.at) {
                        self.joined_to_a_block();
                    }
                    let item = self.item(depth);
                    after_block = item.block.is_some();
                    out.push(item);
                }
            }
        }
        out
    }

    /// An `act` at the start of a line, in an act whose brace is missing.
    fn leaves_an_act(&self, open: usize) -> bool {
        let is_act = self.sigs.get(self.at).is_some_and(|(sig, _)| sig.first_on_line && sig.is_word("act"));
        is_act && self.partner.get(open).is_none_or(Option::is_none)
    }

    fn item(&mut self, depth: usize) -> Item {
        let kind = self.sigs.get(self.at).and_then(|(sig, _)| block_kind(sig.text));
        let kind = kind.filter(|kind| *kind != BlockKind::Act || depth < ACT_DEPTH);
        let mistyped = self.kind(self.at) == Some(TokenKind::Word) && !self.is_statement_word(self.at);
        let ended = self.row(kind.is_some() || mistyped, |splitter, at| splitter.is_statement_word(at));
        let end = ended.tokens.end;
        let mut item = Item { head: ended.tokens, block: None, reported: ended.reported, passed: end..self.at };
        if mistyped && !ended.reported {
            item.reported = !self.pass_block_of_no_statement();
            item.passed = end..self.at;
            return item;
        }
        let opens = self.kind(self.at) == Some(TokenKind::BlockOpen) && !self.first_on_line(self.at);
        item.block = kind.filter(|_| opens && !ended.reported).map(|kind| self.block(kind, depth));
        if let Some(kind) = kind.filter(|kind| !opens && !item.reported && self.rows_without_a_brace(*kind, &item)) {
            item.block = Some(self.block_without_a_brace(kind, &item.head));
        }
        item
    }

    /// `imputs foh { … }`: the word is what is wrong, and is told; its block is passed over. False where
    /// nothing closes the block and that was told instead.
    fn pass_block_of_no_statement(&mut self) -> bool {
        if self.kind(self.at) != Some(TokenKind::BlockOpen) || self.first_on_line(self.at) {
            return true;
        }
        if let Some(Some(close)) = self.partner.get(self.at) {
            self.at = *close as usize + 1;
            return true;
        }
        self.stray_opener();
        false
    }

    fn block(&mut self, kind: BlockKind, depth: usize) -> Block {
        let open = self.at;
        self.at += 1;
        let body = match kind {
            BlockKind::Act => Body::Items(self.items(depth + 1, Some(open))),
            _ => Body::Rows(self.rows(open, kind)),
        };
        if self.kind(self.at) == Some(TokenKind::BlockClose) {
            self.at += 1;
        } else {
            self.unclosed(open);
        }
        Block { open, end: self.at, body }
    }

    /// `inputs foh` and on the next line a row of it: the brace was forgotten.
    fn rows_without_a_brace(&self, kind: BlockKind, item: &Item) -> bool {
        item.head.len() <= 2 && self.first_on_line(self.at) && self.is_row_head(self.at, kind)
    }

    /// Reads the rows all the same, so that the brace is all that is told.
    fn block_without_a_brace(&mut self, kind: BlockKind, head: &Range<usize>) -> Block {
        let open = head.end.saturating_sub(1);
        let body = Body::Rows(self.rows(open, kind));
        let closed = self.kind(self.at) == Some(TokenKind::BlockClose);
        let last = self.span(self.at.saturating_sub(1));
        self.at += usize::from(closed);
        if let (Some(span), Some(last)) = (self.span(open), last) {
            let mut edits = vec![Edit { span: Span { start: span.end, ..span }, text: " {".to_string() }];
            let word = self.sigs.get(head.start).map_or("", |(sig, _)| sig.text);
            let mut help = format!("write `{word} … {{`");
            if !closed {
                help.push_str(", and `}` on a line of its own after the last row");
                edits.push(Edit { span: Span { start: last.end, ..last }, text: "\n}".to_string() });
            }
            let here = Span { start: span.end, ..span };
            let told =
                Diagnostic::error("unreadable-row", here, format!("`{{` is missing before the rows of `{word}`"));
            self.diagnostics.push(told.help(help).fix("write the brace", edits, false));
        }
        Block { open, end: self.at, body }
    }

    fn rows(&mut self, open: usize, kind: BlockKind) -> Vec<Row> {
        let mut out = Vec::new();
        while let Some(next) = self.kind(self.at) {
            match next {
                TokenKind::Semicolon => self.at += 1,
                TokenKind::BlockClose => break,
                TokenKind::BlockOpen => {
                    self.stray_opener();
                }
                _ if self.first_on_line(self.at) && self.leaves_a_block(open, kind) => break,
                _ => {
                    let ended = self.row(false, |splitter, at| splitter.is_row_head(at, kind));
                    out.push(Row { tokens: ended.tokens, reported: ended.reported });
                }
            }
        }
        out
    }

    fn is_row_head(&self, at: usize, kind: BlockKind) -> bool {
        match kind {
            BlockKind::Numbered => self.is_number(at) && self.kind(at + 1) == Some(TokenKind::Word),
            BlockKind::Outputs => {
                let mut last = at + 1;
                while self.is_number(last) && self.kind(last + 1) == Some(TokenKind::Comma) && !self.first_on_line(last)
                {
                    last += 2;
                }
                self.kind(at) == Some(TokenKind::Word)
                    && self.is_number(last)
                    && self.sigs.get(last + 1).is_some_and(|(sig, _)| sig.is_word("to"))
            }
            BlockKind::Act | BlockKind::Other => false,
        }
    }

    /// Whether this line is the statement after a block whose brace is missing.
    fn leaves_a_block(&self, open: usize, kind: BlockKind) -> bool {
        if !self.is_statement_word(self.at) || self.is_row_head(self.at, kind) || self.is_spare_row(kind) {
            return false;
        }
        let unclosed = self.partner.get(open).is_none_or(Option::is_none);
        match kind {
            BlockKind::Numbered | BlockKind::Outputs => true,
            BlockKind::Act => false,
            BlockKind::Other => unclosed && self.line_opens_a_block(),
        }
    }

    /// `spare 8` among inputs is a row that does not read; the statement is `spare cable`.
    fn is_spare_row(&self, kind: BlockKind) -> bool {
        let word = self.sigs.get(self.at).is_some_and(|(sig, _)| sig.is_word("spare"));
        kind == BlockKind::Numbered && word && self.is_number(self.at + 1)
    }

    fn line_opens_a_block(&self) -> bool {
        let line = self.sigs.iter().skip(self.at);
        let mut line = line.enumerate().take_while(|(at, (sig, _))| *at == 0 || !sig.first_on_line);
        line.any(|(_, (sig, _))| sig.kind == TokenKind::BlockOpen)
    }

    /// One row: to the end of the line, `;` or a brace. A line after a comma goes on with it, unless
    /// `restarts` says that it begins a row of its own.
    fn row(&mut self, may_open: bool, restarts: impl Fn(&Self, usize) -> bool) -> Ended {
        let start = self.at;
        let mut reported = false;
        let mut end = None;
        while let Some(kind) = self.kind(self.at) {
            let after_comma = self.at > start && self.kind(self.at - 1) == Some(TokenKind::Comma);
            let new_line = self.at > start && self.first_on_line(self.at);
            if new_line && (!after_comma || restarts(self, self.at)) {
                break;
            }
            match kind {
                TokenKind::Semicolon | TokenKind::BlockClose => break,
                TokenKind::BlockOpen if may_open => break,
                TokenKind::BlockOpen => {
                    end = Some(self.at);
                    self.stray_opener();
                    reported = true;
                    break;
                }
                _ => self.at += 1,
            }
        }
        let mut end = end.unwrap_or(self.at);
        if self.cuts.contains(&end) {
            return Ended { tokens: start..start, reported: true };
        }
        if end - start > TOKENS_IN_A_ROW {
            self.diagnostics.extend(self.span(start).map(too_long));
            return Ended { tokens: start..end, reported: true };
        }
        while end > start + 1 && self.kind(end - 1) == Some(TokenKind::Comma) {
            end -= 1;
            if self.kind(end - 1) != Some(TokenKind::Comma) {
                self.unfinished(end);
            }
        }
        Ended { tokens: start..end, reported }
    }

    fn unfinished(&mut self, comma: usize) {
        let Some(span) = self.span(comma) else { return };
        let mut diagnostic = Diagnostic::error("unfinished-list", span, "this list ends with a comma")
            .help("delete the comma, or write what comes after it")
            .fix("delete the comma", vec![Edit { span, text: String::new() }], true);
        if let Some(next) = self.span(self.at).filter(|_| self.first_on_line(self.at)) {
            diagnostic = diagnostic.label(next, "this line begins a row of its own");
        }
        self.diagnostics.push(diagnostic);
    }

    fn stray_closers(&mut self) {
        let Some(span) = self.span(self.at) else { return };
        self.at += 1;
        while self.kind(self.at) == Some(TokenKind::BlockClose) && !self.first_on_line(self.at) {
            self.at += 1;
        }
        let diagnostic = Diagnostic::error("stray-bracket", span, "this `}` closes nothing")
            .help("delete it, or write the `{` that it belongs to")
            .fix("delete it", vec![Edit { span, text: String::new() }], false);
        self.diagnostics.push(diagnostic);
    }

    /// A `{` where no block may stand. Passes over it and what it encloses; where nothing closes it,
    /// over the rest of the line.
    fn stray_opener(&mut self) {
        let Some(span) = self.span(self.at) else { return };
        let open = self.at;
        if let Some(Some(close)) = self.partner.get(open) {
            self.at = *close as usize + 1;
            self.diagnostics.push(stray_open(span));
            return;
        }
        let (mut depth, mut deepest) = (0usize, 0usize);
        while let Some(kind) = self.kind(self.at) {
            let new_line = self.at > open && self.first_on_line(self.at);
            if new_line || kind == TokenKind::Semicolon || (kind == TokenKind::BlockClose && depth == 0) {
                break;
            }
            match kind {
                TokenKind::BlockOpen => depth += 1,
                TokenKind::BlockClose => depth -= 1,
                _ => {}
            }
            deepest = deepest.max(depth);
            self.at += 1;
        }
        if self.cuts.contains(&self.at) {
            return;
        }
        self.diagnostics.push(if deepest > DEPTH { too_deep(span) } else { stray_open(span) });
    }

    /// A `{` at the start of a statement: the block of the statement above, or nothing's.
    fn opener_on_its_own(&mut self, above: Option<&mut Item>, depth: usize) {
        let word = above.as_ref().and_then(|item| self.sigs.get(item.head.start)).map(|(sig, _)| sig.text);
        let (Some(item), Some(kind), Some(span)) = (above, word.and_then(block_kind), self.span(self.at)) else {
            return self.stray_opener();
        };
        if item.block.is_some() || item.reported || (kind == BlockKind::Act && depth >= ACT_DEPTH) {
            return self.stray_opener();
        }
        let word = word.unwrap_or("");
        let mut diagnostic =
            Diagnostic::error("stray-bracket", span, format!("this `{{` belongs on the line of `{word}`"))
                .help(format!("write `{word} … {{` on one line"));
        if let Some(end) = item.head.end.checked_sub(1).and_then(|last| self.span(last)) {
            let put = Edit { span: Span { start: end.end, ..end }, text: " {".to_string() };
            let take = Edit { span, text: String::new() };
            diagnostic = diagnostic.fix("move it up", vec![put, take], true);
        }
        self.diagnostics.push(diagnostic);
        item.block = Some(self.block(kind, depth));
    }

    fn unclosed(&mut self, open: usize) {
        let Some(span) = self.span(open) else { return };
        let mut diagnostic = Diagnostic::error("unclosed-block", span, "this `{` is never closed")
            .help("write `}` on a line of its own after the block's last row");
        let last = self.at.checked_sub(1).and_then(|last| self.span(last));
        if let Some(next) = self.span(self.at) {
            diagnostic = diagnostic.label(next, "the block was taken to end before this line");
        }
        if let Some(last) = last {
            let put = Span { start: last.end, ..last };
            diagnostic = diagnostic.fix("close the block", vec![Edit { span: put, text: "\n}".to_string() }], false);
        }
        self.diagnostics.push(diagnostic);
    }

    fn joined_to_a_block(&mut self) {
        let Some(span) = self.span(self.at) else { return };
        let put = Edit { span: Span { end: span.start, ..span }, text: "; ".to_string() };
        let diagnostic = Diagnostic::error("unreadable-row", span, "a new statement stands right after `}`")
            .help("begin it on a new line, or write `;` before it")
            .fix("write `;` before it", vec![put], true);
        self.diagnostics.push(diagnostic);
    }
}

fn stray_open(span: Span) -> Diagnostic {
    Diagnostic::error("stray-bracket", span, "no block can stand here")
        .help("`{` stands only after `inputs`, `outputs`, `personal`, `act`, `model`, `mic`, `kind` and `carrier`")
}

fn too_deep(span: Span) -> Diagnostic {
    let message = format!("more than {DEPTH} brackets are open here, so the rest of this line was not read");
    Diagnostic::error("nested-too-deep", span, message).help("only an act holds statements with blocks of their own")
}
