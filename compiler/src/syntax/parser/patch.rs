//! The statements of a show: its head, what it includes, and what must reach where.

use super::super::ast::{Act, Expect, StatementKind, Term};
use super::basics::{
    Reader, Rule, date, flag, kw, kws, list, name, next_is, number, rest, term, terms, text, time, wanted_here, when,
};
use super::problem::{END, Problem, Want};
use super::quantities::{LASTING, quantity};
use super::values::sources;
use crate::diagnostics::{Diagnostic, nearest};
use crate::quantity::Dimension;
use crate::source::At;
use chumsky::prelude::*;

/// `fantail 1`
pub(super) fn version<'t>() -> Rule<'t, StatementKind> {
    kw("fantail").ignore_then(number("the language's version, 1")).map(StatementKind::Version).boxed()
}

/// `show "Night Ferry" at "Quayside Hall" on 2026-07-04`
pub(super) fn show<'t>() -> Rule<'t, StatementKind> {
    let (title, at, on) = (text("the show's title in quotes"), text("a place in quotes"), date());
    let head = kw("show").ignore_then(title).boxed();
    custom(move |inp: &mut Reader<'t, '_>| {
        let title = inp.parse(&head)?;
        let (mut venue, mut day) = (None, None);
        while !rest(inp).is_empty() {
            let twice = |found: bool, word: &str, inp: &mut Reader<'t, '_>| match (found, rest(inp).first()) {
                (true, Some((_, span))) => {
                    let message = format!("`{word}` is said twice in this row");
                    Err(Problem::said(Diagnostic::error("attribute-twice", *span, message)))
                }
                _ => Ok(()),
            };
            if next_is(inp, "at") {
                twice(venue.is_some(), "at", inp)?;
                inp.skip();
                venue = Some(inp.parse(&at)?);
            } else if next_is(inp, "on") {
                twice(day.is_some(), "on", inp)?;
                inp.skip();
                day = Some(inp.parse(&on)?);
            } else {
                return Err(wanted_here(inp, vec![Want::Word("at"), Want::Word("on"), END]));
            }
        }
        Ok(StatementKind::Show { title, venue, date: day.flatten() })
    })
    .boxed()
}

/// `include "../rig.fantail"`
pub(super) fn include<'t>() -> Rule<'t, StatementKind> {
    kw("include")
        .ignore_then(flag("outside"))
        .then(text("a file's name in quotes"))
        .map(|(outside, path)| StatementKind::Include { path, outside: outside.is_some() })
        .boxed()
}

pub(super) fn rate<'t>() -> Rule<'t, StatementKind> {
    kw("rate").ignore_then(quantity(Dimension::Frequency, "a sample rate")).map(StatementKind::Rate).boxed()
}

pub(super) fn clock<'t>() -> Rule<'t, StatementKind> {
    kw("clock").ignore_then(name("a device")).map(StatementKind::Clock).boxed()
}

/// `record all inputs but talkback on foh for 3 h`
pub(super) fn record<'t>() -> Rule<'t, StatementKind> {
    kw("record")
        .ignore_then(sources())
        .then(when("on", name("a desk")))
        .then(when("for", quantity(Dimension::Time, LASTING)))
        .map(|((what, desk), lasts)| StatementKind::Record { what, desk, lasts })
        .boxed()
}

/// `keep talkback out of pa, broadcast`
pub(super) fn keep<'t>() -> Rule<'t, StatementKind> {
    kw("keep")
        .ignore_then(terms("a source or a group"))
        .then_ignore(kws(&["out", "of"]))
        .then(list(name("a use such as `pa`")))
        .map(|(what, out_of)| StatementKind::Keep { what, out_of })
        .boxed()
}

/// `group drums kick-in, kick-out`
pub(super) fn group<'t>() -> Rule<'t, StatementKind> {
    kw("group")
        .ignore_then(name("the group's name"))
        .then(terms("a source"))
        .map(|(name, members)| StatementKind::Group { name, members })
        .boxed()
}

/// `set foh.channel 1-8 from foh.portA 1-8`
pub(super) fn set<'t>() -> Rule<'t, StatementKind> {
    kw("set")
        .ignore_then(terms("the points to set"))
        .then_ignore(kw("from"))
        .then(terms("the points they take"))
        .map(|(to, from)| StatementKind::Set { to, from })
        .boxed()
}

/// `act kestrel "Kestrel Field" from 23:20 to 00:30`, before its block.
pub(super) fn act<'t>() -> Rule<'t, StatementKind> {
    kw("act")
        .ignore_then(name("the act's name"))
        .then(text("a title").or_not())
        .then(when("from", time()))
        .then(when("to", time()))
        .map(|(((name, title), from), to)| StatementKind::Act(Act { name, title, from, to, statements: Vec::new() }))
        .boxed()
}

/// `allow mirrored-outputs on stage-right because "…"`
pub(super) fn allow<'t>() -> Rule<'t, StatementKind> {
    kw("allow")
        .ignore_then(name("a rule's name"))
        .then(when("on", terms("a device, an input or a point")))
        .then(when("because", text("a reason in quotes")))
        .map(|((rule, on), because)| StatementKind::Allow { rule, on, because })
        .boxed()
}

pub(super) fn expect<'t>() -> Rule<'t, StatementKind> {
    let (spare, latency, reaches) = (spare_inputs(), latency(), reaches());
    let head = kw("expect");
    custom(move |inp: &mut Reader<'t, '_>| {
        inp.parse(&head)?;
        let second = |inp: &mut Reader<'t, '_>, word: &str| rest(inp).get(1).is_some_and(|(sig, _)| sig.is_word(word));
        if next_is(inp, "spare") && second(inp, "inputs") {
            inp.parse(&spare)
        } else if next_is(inp, "latency") && second(inp, "from") {
            inp.parse(&latency)
        } else if let Some(word) = meant(inp) {
            Err(wanted_here(inp, vec![Want::Word(word)]))
        } else {
            inp.parse(&reaches)
        }
    })
    .map(StatementKind::Expect)
    .boxed()
}

/// The first word of the other two forms, mistyped.
fn meant(inp: &mut Reader<'_, '_>) -> Option<&'static str> {
    let [(first, _), (second, _), ..] = rest(inp) else { return None };
    let forms = [("latency", "from"), ("spare", "inputs")];
    let form = forms.into_iter().find(|(word, next)| second.is_word(next) && nearest(first.text, [*word]).is_some());
    form.map(|(word, _)| word)
}

/// `kick-in reaches foh.channel 1`, `click not reaches pa`
fn reaches<'t>() -> Rule<'t, Expect> {
    term("a source or a point")
        .then(flag("not"))
        .then_ignore(kw("reaches"))
        .then(term("a point or a use"))
        .map(|((what, not), place): ((Term, _), _)| Expect::Reaches { what, not, place })
        .boxed()
}

/// `spare inputs on each box at least 2`
fn spare_inputs<'t>() -> Rule<'t, Expect> {
    let each = kws(&["each", "box"]);
    let one = name("a box");
    let on = custom(move |inp: &mut Reader<'t, '_>| {
        if next_is(inp, "each") && rest(inp).get(1).is_some_and(|(sig, _)| sig.is_word("box")) {
            inp.parse(&each)?;
            return Ok(None);
        }
        inp.parse(&one).map(Some)
    });
    kws(&["spare", "inputs", "on"])
        .ignore_then(on)
        .then_ignore(kws(&["at", "least"]))
        .then(number("a number of inputs"))
        .map(|(on, at_least): (_, At<u32>)| Expect::Spare { on, at_least })
        .boxed()
}

/// `latency from kick-in to stage-left.out 7 under 8 ms`
fn latency<'t>() -> Rule<'t, Expect> {
    kws(&["latency", "from"])
        .ignore_then(term("a source or a point"))
        .then_ignore(kw("to"))
        .then(term("a point"))
        .then_ignore(kw("under"))
        .then(quantity(Dimension::Time, "a time"))
        .map(|((from, to), under)| Expect::Latency { from, to, under })
        .boxed()
}
