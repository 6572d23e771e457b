//! Rows to statements, a row at a time. A rule is built once a file; a row that does not read costs
//! one diagnostic and leaves the rows around it alone.

mod attributes;
mod basics;
mod change;
mod gear;
mod library;
mod lists;
mod model;
mod otherwise;
mod patch;
mod problem;
mod quantities;
mod values;

pub use attributes::word_of;
pub use otherwise::{bank as bank_meant, mic as mic_meant};

use super::ast::{Statement, StatementKind};
use super::rows::{Block, Body, Item, Row};
use super::significant::{Spanned, nfc, shortened};
use super::tokens::TokenKind;
use super::words::{BLOCK_WORDS, NOT_IN_AN_ACT, STATEMENT_WORDS};
use crate::diagnostics::{Diagnostic, Edit, nearest};
use crate::source::Span;
use basics::Rule;
use chumsky::input::Input;
use chumsky::prelude::*;
use library::{KindItem, MicItem};
use otherwise::Missing;
use problem::{Problem, Topic, Want};
use std::cell::OnceCell;
use std::collections::{BTreeSet, HashMap};
use std::ops::Range;

/// The rules of all statements and rows, each to the end of its row, built when a row first wants it: that takes
/// longer than most rows take to read.
#[derive(Default)]
struct Rules<'t> {
    /// By the word; of all that is gear by none.
    statements: HashMap<&'static str, Rule<'t, StatementKind>>,
    input: OnceCell<Rule<'t, super::ast::InputRow>>,
    output: OnceCell<Rule<'t, super::ast::OutputRow>>,
    personal: OnceCell<Rule<'t, super::ast::PersonalRow>>,
    model: OnceCell<Rule<'t, super::ast::ModelItem>>,
    carrier: OnceCell<Rule<'t, crate::source::At<super::ast::CarrierItem>>>,
    kind: OnceCell<Rule<'t, KindItem>>,
    mic: OnceCell<Rule<'t, MicItem>>,
}

fn to_the_end<'t, T: 't>(rule: Rule<'t, T>) -> Rule<'t, T> {
    rule.then_ignore(end()).boxed()
}

/// The rule that is kept there.
fn kept<'t, T: 't>(place: &OnceCell<Rule<'t, T>>, rule: fn() -> Rule<'t, T>) -> Rule<'t, T> {
    place.get_or_init(|| to_the_end(rule())).clone()
}

impl<'t> Rules<'t> {
    fn statement(&mut self, word: &str) -> Option<Rule<'t, StatementKind>> {
        let word = STATEMENT_WORDS.iter().find(|known| **known == word)?;
        let (key, rule) = of_statement(word).map_or(("", gear::device as fn() -> _), |rule| (word, rule));
        Some(self.statements.entry(key).or_insert_with(|| to_the_end(rule())).clone())
    }
}

/// None for gear.
fn of_statement<'t>(word: &str) -> Option<fn() -> Rule<'t, StatementKind>> {
    Some(match word {
        "fantail" => patch::version,
        "show" => patch::show,
        "include" => patch::include,
        "rate" => patch::rate,
        "clock" => patch::clock,
        "carrier" => library::carrier,
        "kind" => library::kind,
        "feed" => library::feed,
        "mic" => library::mic,
        "model" => model::model,
        "link" => gear::link,
        "loom" => gear::loom,
        "spare" => gear::spare_cable,
        "inputs" => lists::inputs,
        "outputs" => lists::outputs,
        "personal" => lists::personal,
        "record" => patch::record,
        "keep" => patch::keep,
        "group" => patch::group,
        "set" => patch::set,
        "act" => patch::act,
        "expect" => patch::expect,
        "allow" => patch::allow,
        "change" => change::change,
        "without" => change::without,
        _ => return None,
    })
}

/// What the parser made of a file's rows.
pub(super) struct Read {
    pub statements: Vec<Statement>,
    pub diagnostics: Vec<Diagnostic>,
    pub broken: BTreeSet<String>,
}

pub(super) fn read(text: &str, sigs: &[Spanned<'_>], strange: &[Span], items: &[Item]) -> Read {
    let read = Read { statements: Vec::new(), diagnostics: Vec::new(), broken: BTreeSet::new() };
    let mut reader = FileReader { text, sigs, strange, rules: Rules::default(), read };
    let statements = reader.statements(items, false);
    reader.read.statements = statements;
    reader.read
}

struct FileReader<'t> {
    text: &'t str,
    sigs: &'t [Spanned<'t>],
    strange: &'t [Span],
    rules: Rules<'t>,
    read: Read,
}

impl<'t> FileReader<'t> {
    fn statements(&mut self, items: &[Item], in_act: bool) -> Vec<Statement> {
        items.iter().filter_map(|item| self.statement(item, in_act)).collect()
    }

    fn statement(&mut self, item: &Item, in_act: bool) -> Option<Statement> {
        let (first, word) = self.sigs.get(item.head.start).copied()?;
        self.words(&item.passed);
        let word_of_statement = Some(first.text).filter(|_| first.kind == TokenKind::Word);
        let Some(rule) = word_of_statement.and_then(|word| self.rules.statement(word)) else {
            self.no_statement(item);
            return None;
        };
        let opens = BLOCK_WORDS.contains(&first.text) && item.block.is_none();
        let kind = self.row_ending_in(&rule, &item.head, item.reported, opens.then_some("`{`"));
        let kind = match (&item.block, kind) {
            (Some(block), Some(kind)) => Some(self.with_block(kind, block)),
            (Some(block), None) => {
                self.words_of_block(block);
                None
            }
            (None, kind) => {
                let kind = kind?;
                self.block_is_missing(&kind, item);
                Some(kind)
            }
        };
        if in_act && NOT_IN_AN_ACT.contains(&first.text) {
            self.not_in_an_act(first.text, word);
            return None;
        }
        let last = item.block.as_ref().map_or(item.head.end, |block| block.end).checked_sub(1)?;
        let (_, last) = self.sigs.get(last)?;
        Some(Statement { span: word.to(*last), word, kind: kind? })
    }

    fn row<T: 't>(&mut self, rule: &Rule<'t, T>, row: &Row) -> Option<T> {
        self.row_ending_in(rule, &row.tokens, row.reported, None)
    }

    /// One row by its rule; what is wrong with it becomes diagnostics.
    fn row_ending_in<T: 't>(
        &mut self,
        rule: &Rule<'t, T>,
        tokens: &Range<usize>,
        reported: bool,
        ending: Option<&'static str>,
    ) -> Option<T> {
        let row = self.sigs.get(tokens.clone())?;
        let (first, last) = (row.first()?.1, row.last()?.1);
        if row.len() > super::significant::TOKENS_IN_A_ROW {
            self.words(tokens);
            return None;
        }
        let after = Span { start: last.end, ..last };
        let (out, problems) = rule.parse(row.split_token_span(after)).into_output_errors();
        if problems.is_empty() && !reported {
            return out;
        }
        self.words(tokens);
        if reported || self.is_strange(first.to(last)) {
            return out;
        }
        let mut told: Vec<(Topic, Diagnostic)> = Vec::new();
        let mut missing = Missing::Nothing;
        for problem in problems {
            let problem = if let Some(thing) = ending { problem.ending_in(thing) } else { problem };
            let topic = problem.topic();
            let mut diagnostic = problem.diagnostic(self.text);
            if otherwise::help(row, topic, &mut diagnostic) == Missing::To {
                missing = Missing::To;
            }
            let unreadable = |other: &Diagnostic| other.rule == "unreadable-row";
            if !unreadable(&diagnostic) || !told.iter().any(|(_, other)| unreadable(other)) {
                told.push((topic, diagnostic));
            }
        }
        // A row without `to` is not told as well, where its words stand without it.
        told.retain(|(topic, _)| missing == Missing::Nothing || *topic != Topic::GoesNowhere);
        self.read.diagnostics.extend(told.into_iter().map(|(_, diagnostic)| diagnostic));
        out
    }

    /// Whether a strange character in the row has been reported already.
    fn is_strange(&self, row: Span) -> bool {
        let next = self.strange.partition_point(|place| place.start < row.start);
        self.strange.get(next).is_some_and(|place| place.start < row.end)
    }

    fn words(&mut self, tokens: &Range<usize>) {
        let row = self.sigs.get(tokens.clone()).unwrap_or(&[]);
        let words = row.iter().filter(|(sig, _)| sig.kind == TokenKind::Word);
        self.read.broken.extend(words.map(|(sig, _)| nfc(sig.text)));
    }

    fn words_of_block(&mut self, block: &Block) {
        self.words(&(block.open..block.end));
    }

    fn no_statement(&mut self, item: &Item) {
        let whole = item.head.start..item.block.as_ref().map_or(item.head.end, |block| block.end);
        self.words(&whole);
        let Some((sig, span)) = self.sigs.get(item.head.start).copied() else { return };
        let last = self.sigs.get(item.head.end.saturating_sub(1)).map_or(span, |(_, last)| *last);
        if item.reported || item.head.len() > super::significant::TOKENS_IN_A_ROW || self.is_strange(span.to(last)) {
            return;
        }
        self.read.diagnostics.push(match sig.kind {
            TokenKind::Word => unknown_statement(sig.text, span),
            kind => {
                let problem = Problem::wanted(vec![Want::Thing("a statement")], Some(kind), span);
                problem.diagnostic(self.text).help("a statement begins with a word such as `box` or `inputs`")
            }
        });
    }

    fn not_in_an_act(&mut self, word: &str, span: Span) {
        let why = match word {
            "act" => "acts do not stand inside acts",
            "expect" => "it is checked in every act; name what belongs to one act as `act.name`",
            _ => "it holds for the whole show",
        };
        let diagnostic = Diagnostic::error("not-in-an-act", span, format!("`{word}` cannot stand inside an act"));
        self.read.diagnostics.push(diagnostic.help(format!("move it out of the act: {why}")));
    }

    /// A statement that is nothing without its rows.
    fn block_is_missing(&mut self, kind: &StatementKind, item: &Item) {
        let needs_one = matches!(
            kind,
            StatementKind::Inputs { .. }
                | StatementKind::Outputs { .. }
                | StatementKind::Personal { .. }
                | StatementKind::Act(_)
                | StatementKind::Model(_)
                | StatementKind::Mic(_)
                | StatementKind::Kind(_)
                | StatementKind::Carrier(_)
        );
        if !needs_one || item.reported {
            return;
        }
        let Some((_, last)) = self.sigs.get(item.head.end.saturating_sub(1)) else { return };
        let here = Span { start: last.end, ..*last };
        let problem = Problem::wanted(vec![Want::Thing("`{` and the rows of the block")], None, here);
        let help = "write `{` at the end of this line, and `}` on a line of its own after the last row";
        self.read.diagnostics.push(problem.diagnostic(self.text).help(help));
        self.words(&item.head);
    }

    fn with_block(&mut self, kind: StatementKind, block: &Block) -> StatementKind {
        match (&block.body, kind) {
            (Body::Items(items), StatementKind::Act(mut act)) => {
                act.statements = self.statements(items, true);
                StatementKind::Act(act)
            }
            (Body::Rows(rows), kind) => self.with_rows(kind, rows, block),
            (Body::Items(_), kind) => kind,
        }
    }

    fn with_rows(&mut self, kind: StatementKind, block: &[Row], whole: &Block) -> StatementKind {
        match kind {
            StatementKind::Inputs { desk, .. } => {
                let rule = kept(&self.rules.input, lists::input_row);
                StatementKind::Inputs { desk, rows: self.rows(&rule, block) }
            }
            StatementKind::Outputs { desk, .. } => {
                let rule = kept(&self.rules.output, lists::output_row);
                StatementKind::Outputs { desk, rows: self.rows(&rule, block) }
            }
            StatementKind::Personal { desk, .. } => {
                let rule = kept(&self.rules.personal, lists::personal_row);
                StatementKind::Personal { desk, rows: self.rows(&rule, block) }
            }
            StatementKind::Model(mut model) => {
                let rule = kept(&self.rules.model, model::model_item);
                model.items = self.rows(&rule, block);
                StatementKind::Model(model)
            }
            StatementKind::Carrier(mut carrier) => {
                let rule = kept(&self.rules.carrier, library::carrier_item);
                carrier.items = self.rows(&rule, block);
                StatementKind::Carrier(carrier)
            }
            StatementKind::Kind(mut kind) => {
                self.kind_rows(&mut kind, block);
                StatementKind::Kind(kind)
            }
            StatementKind::Mic(mut mic) => {
                self.mic_rows(&mut mic, block);
                StatementKind::Mic(mic)
            }
            other => {
                self.block_too_many(whole);
                other
            }
        }
    }

    fn rows<T: 't>(&mut self, rule: &Rule<'t, T>, rows: &[Row]) -> Vec<T> {
        rows.iter().filter_map(|row| self.row(rule, row)).collect()
    }

    fn kind_rows(&mut self, kind: &mut super::ast::Kind, rows: &[Row]) {
        let rule = kept(&self.rules.kind, library::kind_item);
        for row in rows {
            let twice = match self.row(&rule, row) {
                Some(KindItem::Signal(signal)) => kind.signal.replace(signal).is_some(),
                Some(KindItem::Phantom(policy)) => kind.phantom.replace(policy).is_some(),
                Some(KindItem::Data) => std::mem::replace(&mut kind.data, true),
                Some(KindItem::Talkback) => std::mem::replace(&mut kind.talkback, true),
                Some(KindItem::Mains) => std::mem::replace(&mut kind.mains, true),
                Some(KindItem::Suits(pickups)) => !std::mem::replace(&mut kind.suits, pickups).is_empty(),
                None => false,
            };
            self.said_twice(twice, row);
        }
    }

    fn mic_rows(&mut self, mic: &mut super::ast::Mic, rows: &[Row]) {
        let rule = kept(&self.rules.mic, library::mic_item);
        for row in rows {
            let twice = match self.row(&rule, row) {
                Some(MicItem::Kind(kind)) => mic.kind.replace(kind).is_some(),
                Some(MicItem::Sensitivity(quantity)) => mic.sensitivity.replace(quantity).is_some(),
                Some(MicItem::Needs(quantity)) => mic.current.replace(quantity).is_some(),
                Some(MicItem::Max(quantity)) => mic.max.replace(quantity).is_some(),
                Some(MicItem::Note(text)) => mic.note.replace(text).is_some(),
                None => false,
            };
            self.said_twice(twice, row);
        }
    }

    fn said_twice(&mut self, twice: bool, row: &Row) {
        if let (true, Some((sig, span))) = (twice, self.sigs.get(row.tokens.start)) {
            let message = format!("`{}` is said twice in this block", sig.text);
            let diagnostic = Diagnostic::error("attribute-twice", *span, message).help("delete one of them");
            self.read.diagnostics.push(diagnostic);
        }
    }

    /// `inputs monitors same as foh { … }`
    fn block_too_many(&mut self, block: &Block) {
        if let Some((_, span)) = self.sigs.get(block.open) {
            let diagnostic = Diagnostic::error("stray-bracket", *span, "this statement takes no block");
            self.read.diagnostics.push(diagnostic.help("write the rows in a block of their own"));
        }
        self.words_of_block(block);
    }
}

fn unknown_statement(word: &str, span: Span) -> Diagnostic {
    let diagnostic = Diagnostic::error("unknown-statement", span, format!("`{}` begins no statement", shortened(word)));
    if let Some(meant) = otherwise::statement(word) {
        let edit = Edit { span, text: meant.to_string() };
        let diagnostic = diagnostic.help(format!("the word for it here is `{meant}`"));
        return diagnostic.fix(format!("write `{meant}`"), vec![edit], false);
    }
    if let Some(help) = otherwise::no_statement(word) {
        return diagnostic.help(help);
    }
    let near = nearest(word, STATEMENT_WORDS.iter().copied());
    diagnostic.near_or(span, near, "a statement begins with a word such as `box`, `inputs` or `link`")
}
