//! Rows of `inputs`, `outputs` and `personal`, and the statements that hold them.

use super::super::ast::{Attr, AttrKind, InputRow, OutputRow, PersonalRow, StatementKind};
use super::super::tokens::TokenKind;
use super::super::words::{INPUT_ATTRIBUTES, OUTPUT_ATTRIBUTES, PERSONAL_ATTRIBUTES};
use super::attributes::{Loose, Vocabulary, attributes};
use super::basics::{Reader, Rule, kind_at, kws, name, numbers, rest, terms};
use super::problem::{Problem, Topic};
use super::values::{Words, uses, words};
use crate::diagnostics::Diagnostic;
use crate::source::At;
use chumsky::prelude::*;
use std::rc::Rc;

pub(super) fn input_words<'t>() -> Words<'t> {
    words(INPUT_ATTRIBUTES, Vec::new())
}

pub(super) fn output_words<'t>() -> Words<'t> {
    words(OUTPUT_ATTRIBUTES, uses())
}

pub(super) fn personal_words<'t>() -> Words<'t> {
    words(PERSONAL_ATTRIBUTES, Vec::new())
}

/// `1 kick-in boundary from drum-riser 1 phantom`
pub(super) fn input_row<'t>() -> Rule<'t, InputRow> {
    let vocabulary = Rc::new(Vocabulary::new("an input row", Loose::Nothing, input_words()));
    let channels = numbers("a channel number");
    let head = custom(move |inp: &mut Reader<'t, '_>| match kind_at(rest(inp), 0) {
        Some(TokenKind::Word) => Ok(None),
        _ => inp.parse(&channels).map(Some),
    });
    head.then(name("the input's name"))
        .then(mic(vocabulary.clone()))
        .then(attributes(vocabulary))
        .map_with(|(((channels, name), mic), attrs), extra| InputRow {
            span: extra.span(),
            channels,
            name,
            attrs: mic.into_iter().chain(attrs).collect(),
        })
        .boxed()
}

/// The word after the name is the mic or DI, unless it is an attribute's; a mistyped attribute is no mic.
pub(super) fn mic<'t>(vocabulary: Rc<Vocabulary<'t>>) -> Rule<'t, Option<Attr>> {
    custom(move |inp: &mut Reader<'t, '_>| {
        let left = rest(inp);
        let Some((first, span)) = left.first().filter(|(sig, _)| sig.kind == TokenKind::Word) else { return Ok(None) };
        if vocabulary.has(first.text) {
            return Ok(None);
        }
        let after = left.get(1..).unwrap_or(&[]);
        if !after.is_empty() && !vocabulary.starts(after) && vocabulary.nearest(first.text).is_some() {
            return Ok(None);
        }
        inp.skip();
        let name = At::new(super::super::significant::nfc(first.text), *span);
        Ok(Some(Attr { span: *span, kind: AttrKind::Mic(name) }))
    })
    .boxed()
}

/// `main 1-2 to foh.out 15-16 pa "PA left", "PA right"`
pub(super) fn output_row<'t>() -> Rule<'t, OutputRow> {
    let vocabulary = Rc::new(Vocabulary::new("an output row", Loose::Nothing, output_words()));
    name("a bank such as `mix`")
        .then(numbers("a number"))
        .then(attributes(vocabulary))
        .map_with(|((bank, numbers), attrs), extra| OutputRow { span: extra.span(), bank, numbers, attrs })
        .validate(|row, _, emitter| {
            let end = row.attrs.iter().map(|attr| attr.span).next_back().unwrap_or(row.numbers.span);
            if !row.attrs.iter().any(|attr| matches!(attr.kind, AttrKind::To(_))) {
                let message = format!("`{} {}` goes nowhere", row.bank.value, first_of(&row));
                let diagnostic = Diagnostic::error("unreadable-row", row.bank.span.to(end), message);
                let diagnostic = diagnostic.help("write `to` and the socket, such as `to stage-left 1`");
                emitter.emit(Problem::said(diagnostic).about(Topic::GoesNowhere));
            }
            row
        })
        .boxed()
}

fn first_of(row: &OutputRow) -> String {
    row.numbers.ranges.first().map_or(String::new(), |range| match range.first == range.last {
        true => range.first.to_string(),
        false => format!("{}-{}", range.first, range.last),
    })
}

/// `3-4 overheads`
pub(super) fn personal_row<'t>() -> Rule<'t, PersonalRow> {
    let vocabulary = Rc::new(Vocabulary::new("a personal feed's row", Loose::Nothing, personal_words()));
    numbers("a feed's number")
        .then(terms("a source, a group or a mix"))
        .then(attributes(vocabulary))
        .map_with(|((numbers, feeds), attrs), extra| PersonalRow { span: extra.span(), numbers, feeds, attrs })
        .boxed()
}

/// `inputs foh`, before its block; `inputs monitors same as foh`, without one.
pub(super) fn inputs<'t>() -> Rule<'t, StatementKind> {
    kws(&["inputs"])
        .ignore_then(name("a desk").then(kws(&["same", "as"]).ignore_then(name("a desk")).or_not()).or_not())
        .map(|desk| match desk {
            Some((desk, Some(of))) => StatementKind::InputsSame { desk, of },
            Some((desk, None)) => StatementKind::Inputs { desk: Some(desk), rows: Vec::new() },
            None => StatementKind::Inputs { desk: None, rows: Vec::new() },
        })
        .boxed()
}

pub(super) fn outputs<'t>() -> Rule<'t, StatementKind> {
    kws(&["outputs"])
        .ignore_then(name("a desk").or_not())
        .map(|desk| StatementKind::Outputs { desk, rows: Vec::new() })
        .boxed()
}

pub(super) fn personal<'t>() -> Rule<'t, StatementKind> {
    kws(&["personal"])
        .ignore_then(name("a desk").or_not())
        .map(|desk| StatementKind::Personal { desk, rows: Vec::new() })
        .boxed()
}
