//! A text as the things that stand in it: rows, blocks of rows, and lines that are no row. Put together they
//! are the text, byte for byte, whatever it is.

use super::names::{Cut, Inner, Thing, things};
use crate::source::{FileId, Span};
use crate::syntax::{Parsed, Token, TokenKind, parse};
use std::borrow::Cow;
use std::ops::Range;

/// A thing with all lines that it stands on.
#[derive(Debug)]
pub(super) struct Unit<'t> {
    pub text: &'t str,
    /// What it may be called, the first that nothing else is called; none for a line that is no row.
    pub names: Vec<String>,
    pub rank: Option<u32>,
    pub form: Form<'t>,
}

#[derive(Debug)]
pub(super) enum Form<'t> {
    Row(Words<'t>),
    Block(Block<'t>),
    /// A comment, a blank line, or what does not read.
    Line {
        words: Words<'t>,
        unread: bool,
    },
}

#[derive(Debug)]
pub(super) struct Block<'t> {
    pub head: Words<'t>,
    pub inner: Vec<Unit<'t>>,
    /// Empty where the brace is missing.
    pub foot: Words<'t>,
}

/// A stretch of lines in its parts.
#[derive(Debug, Default)]
pub(super) struct Words<'t> {
    pub text: &'t str,
    pub parts: Vec<Part<'t>>,
}

#[derive(Debug, PartialEq, Eq)]
pub(super) struct Part<'t> {
    pub key: String,
    pub rank: u32,
    /// The blanks before it; in a row of several lines their ends and comments too.
    pub gap: &'t str,
    pub body: &'t str,
}

impl Part<'_> {
    /// What it says, however wide its blanks are.
    pub fn says(&self) -> Cow<'_, str> {
        let quoted = |c: char| matches!(c, '"' | '\u{201c}' | '\u{201e}' | '\n' | '#');
        match self.body.contains(quoted) || !self.body.contains("  ") && !self.body.contains('\t') {
            true => Cow::Borrowed(self.body),
            false => Cow::Owned(self.body.split_whitespace().collect::<Vec<_>>().join(" ")),
        }
    }
}

/// From the ranks of one row's parts to those of the next, where they stand on one line.
const ROW: u32 = 1000;

/// In the key of a part, between the row that it is of and its own key, where rows stand on one line.
pub(super) const OF_ROW: &str = ": ";

/// The key of the brace that closes a block on one line.
pub(super) const CLOSES: &str = "}";

/// The keys of what ends every row.
pub(super) const COMMENT: &str = "#";
pub(super) const LINE_END: &str = "\n";

pub(super) fn units(text: &str) -> Vec<Unit<'_>> {
    let parsed = parse(FileId(0), text);
    let reader = Reader::new(text, &parsed);
    let things = things(text, &parsed);
    reader.level(0..reader.lines.len(), &things)
}

/// The text as lines of which none is a row.
pub(super) fn lines(text: &str) -> Vec<Unit<'_>> {
    text.split_inclusive('\n').map(one_line).collect()
}

struct Reader<'t> {
    text: &'t str,
    lines: Vec<Range<usize>>,
    /// Those that mean something, and the comments.
    signs: Vec<Token>,
    comments: Vec<Token>,
}

impl<'t> Reader<'t> {
    fn new(text: &'t str, parsed: &Parsed) -> Self {
        let (mut lines, mut start) = (Vec::new(), 0);
        for token in parsed.tokens.iter().filter(|token| token.kind == TokenKind::Newline) {
            lines.push(start..token.end as usize);
            start = token.end as usize;
        }
        if start < text.len() {
            lines.push(start..text.len());
        }
        let some = |keep: fn(&Token) -> bool| parsed.tokens.iter().filter(|token| keep(token)).copied().collect();
        let signs = some(|token| !token.kind.is_trivia());
        Reader { text, lines, signs, comments: some(|token| token.kind == TokenKind::Comment) }
    }

    fn slice(&self, range: Range<usize>) -> &'t str {
        self.text.get(range).unwrap_or("")
    }

    fn line_of(&self, at: usize) -> usize {
        self.lines.partition_point(|line| line.end <= at).min(self.lines.len().saturating_sub(1))
    }

    fn bytes(&self, lines: Range<usize>) -> Range<usize> {
        let start = self.lines.get(lines.start).map_or(self.text.len(), |line| line.start);
        let end = lines.end.checked_sub(1).and_then(|last| self.lines.get(last)).map_or(start, |line| line.end);
        start..end.max(start)
    }

    fn signs_in(&self, bytes: &Range<usize>) -> &[Token] {
        let first = self.signs.partition_point(|sign| (sign.start as usize) < bytes.start);
        let end = self.signs.partition_point(|sign| (sign.start as usize) < bytes.end);
        self.signs.get(first..end).unwrap_or(&[])
    }

    fn level(&self, lines: Range<usize>, things: &[Thing]) -> Vec<Unit<'t>> {
        let mut out = Vec::new();
        let (mut line, mut rest) = (lines.start, things);
        while line < lines.end {
            let bytes = self.bytes(line..line + 1);
            let passed = rest.partition_point(|thing| (thing.span.start as usize) < bytes.start);
            rest = rest.get(passed..).unwrap_or(&[]);
            let first = self.signs_in(&bytes).first().map(|sign| sign.start);
            let on = rest.first().filter(|thing| first == Some(thing.span.start));
            let Some(thing) = on else {
                out.push(one_line(self.slice(bytes)));
                line += 1;
                continue;
            };
            let (count, end) = self.lump(rest, lines.end);
            out.push(match count {
                1 => self.thing(thing, line..end),
                _ => self.together(rest.get(..count).unwrap_or(&[]), line..end),
            });
            line = end;
        }
        out
    }

    /// How many things stand on the lines of the first, and the line after them.
    fn lump(&self, things: &[Thing], limit: usize) -> (usize, usize) {
        let (mut count, mut end) = (0, 0);
        for thing in things {
            if count > 0 && self.line_of(thing.span.start as usize) >= end {
                break;
            }
            count += 1;
            end = end.max(self.line_of((thing.span.end as usize).saturating_sub(1)) + 1);
        }
        (count, end.min(limit))
    }

    /// Several statements on one line.
    fn together(&self, things: &[Thing], lines: Range<usize>) -> Unit<'t> {
        let names: Vec<&str> = things.iter().filter_map(|thing| thing.names.first()).map(String::as_str).collect();
        let span = things.first().zip(things.last()).map(|(first, last)| first.span.to(last.span));
        let words = self.words(self.bytes(lines), span, "", &[]);
        Unit { text: words.text, names: vec![names.join("; ")], rank: None, form: Form::Row(words) }
    }

    fn thing(&self, thing: &Thing, lines: Range<usize>) -> Unit<'t> {
        let form = self.block(thing, &lines).unwrap_or_else(|| {
            let cuts = self.on_one_line(thing);
            Form::Row(self.words(self.bytes(lines.clone()), Some(thing.span), thing.first, &cuts))
        });
        Unit { text: self.slice(self.bytes(lines)), names: thing.names.clone(), rank: thing.rank, form }
    }

    /// Where its parts begin; of a block the parts of all its rows too, and its brace.
    fn on_one_line(&self, thing: &Thing) -> Vec<Cut> {
        let Inner::Things(rows) = &thing.inner else { return thing.cuts.clone() };
        let mut cuts = thing.cuts.clone();
        for (row, at) in rows.iter().zip(1..) {
            let alone = rows.iter().filter(|other| other.names.first() == row.names.first()).count() == 1;
            let name = if alone { row.names.first() } else { row.names.last() };
            let name = name.map_or("", String::as_str);
            let of_row = |key: &str, rank: u32, start| Cut {
                key: format!("{name}{OF_ROW}{key}"),
                rank: at * ROW + rank,
                at: start,
            };
            cuts.push(of_row(row.first, 0, row.span.start));
            cuts.extend(row.cuts.iter().map(|cut| of_row(&cut.key, cut.rank + 1, cut.at)));
        }
        let bytes = thing.span.range();
        let brace = self.signs_in(&bytes).last().filter(|sign| sign.kind == TokenKind::BlockClose);
        cuts.extend(brace.map(|brace| Cut { key: CLOSES.to_string(), rank: u32::MAX - 2, at: brace.start }));
        cuts
    }

    /// A block whose braces end and begin their lines.
    fn block(&self, thing: &Thing, lines: &Range<usize>) -> Option<Form<'t>> {
        if thing.inner == Inner::Nothing || lines.len() < 2 {
            return None;
        }
        let head = lines.start..lines.start + 1;
        let opens = self.signs_in(&self.bytes(head.clone())).last()?;
        let closes = self.signs_in(&self.bytes(lines.end - 1..lines.end));
        if opens.kind != TokenKind::BlockOpen {
            return None;
        }
        let closed = match closes {
            [close] => close.kind == TokenKind::BlockClose,
            _ if closes.iter().any(|sign| sign.kind == TokenKind::BlockClose) => return None,
            _ => false,
        };
        let body = lines.start + 1..lines.end - usize::from(closed);
        let span = Span { end: opens.end, ..thing.span };
        let inner = match &thing.inner {
            Inner::Things(things) => self.level(body.clone(), things),
            Inner::Lines => self.level(body.clone(), &self.by_lines(body.clone(), thing.span.file)),
            Inner::Nothing => Vec::new(),
        };
        Some(Form::Block(Block {
            head: self.words(self.bytes(head), Some(span), thing.first, &thing.cuts),
            inner,
            foot: self.words(self.bytes(body.end..lines.end), None, "", &[]),
        }))
    }

    /// Rows of a record, a line each, by their first word.
    fn by_lines(&self, lines: Range<usize>, file: FileId) -> Vec<Thing> {
        let thing = |line: usize| {
            let signs = self.signs_in(&self.bytes(line..line + 1));
            let (first, last) = (signs.first()?, signs.last()?);
            let span = Span { file, start: first.start, end: last.end };
            Some(Thing::row(span, vec![first.text(self.text).to_string()]))
        };
        lines.filter_map(thing).collect()
    }

    /// The lines in the parts that begin there.
    fn words(&self, bytes: Range<usize>, span: Option<Span>, first: &str, cuts: &[Cut]) -> Words<'t> {
        let text = self.slice(bytes.clone());
        let signs = self.signs_in(&bytes);
        let mut at = bytes.start;
        let mut parts: Vec<Part<'t>> = Vec::new();
        let inside = cuts.iter().filter(|cut| span.is_some_and(|span| span.start < cut.at && cut.at < span.end));
        let starts = signs.first().map(|sign| (first, 0, sign.start));
        let mut starts: Vec<(&str, u32, u32)> =
            starts.into_iter().chain(inside.map(|cut| (cut.key.as_str(), cut.rank, cut.at))).collect();
        starts.dedup_by_key(|(_, _, at)| *at);
        let ends = starts.iter().skip(1).map(|(_, _, at)| *at).chain([u32::MAX]);
        for ((key, rank, start), next) in starts.iter().zip(ends) {
            let last = signs.partition_point(|sign| sign.start < next).checked_sub(1).and_then(|last| signs.get(last));
            let (start, end) = (*start as usize, last.map_or(at, |last| last.end as usize));
            let again = parts.iter().filter(|part| part.key.split('\0').next() == Some(key)).count();
            let key = if again == 0 { (*key).to_string() } else { format!("{key}\0{again}") };
            parts.push(Part { key, rank: *rank, gap: self.slice(at..start), body: self.slice(start..end) });
            at = end;
        }
        let comments = self.comments.partition_point(|comment| (comment.start as usize) < at);
        let comment = self.comments.get(comments).filter(|comment| (comment.start as usize) < bytes.end);
        if let Some(comment) = comment {
            let start = comment.start as usize;
            let body = comment.text(self.text).trim_end();
            parts.push(Part { key: COMMENT.to_string(), rank: u32::MAX - 1, gap: self.slice(at..start), body });
            at = start + body.len();
        }
        parts.push(Part { key: LINE_END.to_string(), rank: u32::MAX, gap: "", body: self.slice(at..bytes.end) });
        Words { text, parts }
    }
}

fn one_line(text: &str) -> Unit<'_> {
    let body = text.trim();
    let gap = text.len() - text.trim_start().len();
    let parts = vec![
        Part { key: String::new(), rank: 0, gap: text.get(..gap).unwrap_or(""), body },
        Part { key: LINE_END.to_string(), rank: 1, gap: "", body: text.get(gap + body.len()..).unwrap_or("") },
    ];
    let unread = !body.is_empty() && !body.starts_with('#');
    Unit { text, names: Vec::new(), rank: None, form: Form::Line { words: Words { text, parts }, unread } }
}

impl<'t> Unit<'t> {
    /// Itself and all inside, with whether each stands in a block.
    pub fn walk<'u>(&'u self, in_block: bool, each: &mut dyn FnMut(&'u Unit<'t>, bool)) {
        each(self, in_block);
        let inner = self.block().map_or(&[][..], |block| &block.inner);
        inner.iter().for_each(|unit| unit.walk(true, each));
    }

    pub fn block(&self) -> Option<&Block<'t>> {
        if let Form::Block(block) = &self.form { Some(block) } else { None }
    }

    /// The words of what is no block.
    pub fn words(&self) -> Option<&Words<'t>> {
        match &self.form {
            Form::Row(words) | Form::Line { words, .. } => Some(words),
            Form::Block(_) => None,
        }
    }
}

impl Unit<'_> {
    /// What it says, without its layout.
    pub fn says(&self) -> Vec<Cow<'_, str>> {
        match &self.form {
            Form::Row(words) | Form::Line { words, .. } => words.says(),
            Form::Block(Block { head, inner, foot }) => {
                let inner = inner.iter().flat_map(Unit::says);
                head.says().into_iter().chain(inner).chain(foot.says()).collect()
            }
        }
    }
}

impl Words<'_> {
    pub fn says(&self) -> Vec<Cow<'_, str>> {
        let said = self.parts.iter().filter(|part| part.key != LINE_END && !part.body.is_empty());
        said.map(Part::says).collect()
    }
}
