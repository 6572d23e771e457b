//! `model`: banks, ports and how they hang together, in the words of a data sheet.

use super::super::ast::{
    Bank, BankRole, Faces, Model, ModelItem, ModelItemKind, Name, PhantomSupply, Port, RideAt, Route, RouteHow,
    StatementKind, TakeAt,
};
use super::super::tokens::TokenKind;
use super::super::words::{MODEL_VERBS, MODEL_WORDS};
use super::basics::{
    Reader, Rule, at_least_one, flag, kind_at, kw, kws, list, name, next_is, number, numbers, one_of_words, range,
    rest, terms, text, wanted_here, when,
};
use super::problem::{Problem, Want};
use super::quantities::quantity;
use crate::diagnostics::{Diagnostic, nearest};
use crate::quantity::{Dimension, Quantity};
use crate::source::{At, Span};
use chumsky::prelude::*;
use std::collections::HashMap;

type ItemRule<'t> = Rule<'t, ModelItemKind>;

/// `model box-12x4 "…" like box-8x4`, before its block.
pub(super) fn model<'t>() -> Rule<'t, StatementKind> {
    kw("model")
        .ignore_then(name("the model's name"))
        .then(text("a label").or_not())
        .then(when("like", name("a model")))
        .map(|((name, label), like)| StatementKind::Model(Model { name, label, like, items: Vec::new() }))
        .boxed()
}

/// One row of a model. The first words decide: a number after a name makes a bank or a route.
pub(super) fn model_item<'t>() -> Rule<'t, ModelItem> {
    let (bank, route) = (bank(), route());
    let by_first = first_words();
    let by_second: HashMap<&'static str, ItemRule<'t>> = HashMap::from([
        ("passes", passes()),
        ("rides", rides()),
        ("takes", takes()),
        ("copies", copies()),
        ("from", route.clone()),
    ]);
    custom(move |inp: &mut Reader<'t, '_>| {
        let start = inp.cursor();
        let left = rest(inp);
        let first = left.first().map_or("", |(sig, _)| sig.text);
        let second = left.get(1).map_or("", |(sig, _)| sig.text);
        let numbered = matches!(kind_at(left, 1), Some(TokenKind::Number | TokenKind::Range));
        let from = left.get(2).is_some_and(|(sig, _)| sig.is_word("from"));
        let rule = match (by_second.get(second), by_first.get(first)) {
            _ if kind_at(left, 0) != Some(TokenKind::Word) => None,
            (Some(rule), _) => Some(rule),
            (None, Some(rule)) if !numbered || matches!(first, "latency" | "draws") => Some(rule),
            // `strip 1-8 inner` is a bank of that name.
            (None, Some(rule)) if first == "strip" && left.len() == 2 => Some(rule),
            _ if numbered && from => Some(&route),
            _ if numbered => Some(&bank),
            _ => None,
        };
        let Some(rule) = rule else { return Err(unknown(inp)) };
        let kind = inp.parse(rule)?;
        Ok(ModelItem { span: inp.span_since(&start), kind })
    })
    .boxed()
}

fn unknown(inp: &mut Reader<'_, '_>) -> Problem {
    let left = rest(inp);
    let Some((first, at)) = left.first().filter(|(sig, _)| sig.kind == TokenKind::Word) else {
        return wanted_here(inp, vec![Want::Thing("a bank, a port or a fact of the model")]);
    };
    if let Some((second, span)) = left.get(1).filter(|(sig, _)| sig.kind == TokenKind::Word) {
        if let Some(near) = nearest(second.text, MODEL_VERBS.iter().copied()) {
            let message = format!("`{}` is nothing that a bank or port does", second.text);
            let diagnostic = Diagnostic::error("unreadable-row", *span, message);
            return Problem::said(diagnostic.near(*span, Some(near)));
        }
    }
    let message = format!("`{}` begins no row of a model", first.text);
    let diagnostic = Diagnostic::error("unreadable-row", *at, message);
    let near = nearest(first.text, MODEL_WORDS.iter().copied());
    Problem::said(diagnostic.near_or(*at, near, format!("a bank needs its numbers, such as `{} 1-8`", first.text)))
}

fn first_words<'t>() -> HashMap<&'static str, ItemRule<'t>> {
    HashMap::from([
        ("port", port()),
        ("block", block()),
        ("reserved", reserved()),
        ("pairs", kw("pairs").ignore_then(list(name("a bank"))).map(|banks| ModelItemKind::Pairs { banks }).boxed()),
        ("latency", kw("latency").ignore_then(quantity(Dimension::Time, "a time")).map(ModelItemKind::Latency).boxed()),
        (
            "phantom",
            kws(&["phantom", "limit"])
                .ignore_then(quantity(Dimension::Current, "a current"))
                .map(ModelItemKind::PhantomLimit)
                .boxed(),
        ),
        ("draws", kw("draws").ignore_then(quantity(Dimension::Power, "a power")).map(ModelItemKind::Draws).boxed()),
        ("converts", kw("converts").to(ModelItemKind::Converts).boxed()),
        ("strip", kw("strip").ignore_then(at_least_one("the letters of a strip")).map(ModelItemKind::Strip).boxed()),
        ("label", kw("label").ignore_then(text("a text in quotes")).map(ModelItemKind::Note).boxed()),
    ])
}

const ROLES: &[(&str, BankRole)] =
    &[("in", BankRole::In), ("out", BankRole::Out), ("inner", BankRole::Inner), ("origin", BankRole::Origin)];

/// `in 1-12 mic gain -6 dB to 54 dB phantom each clip 23 dBu`
fn bank<'t>() -> ItemRule<'t> {
    let head = name("a bank").then(range("the bank's numbers"));
    let facts = BankFacts {
        role: one_of_words(ROLES),
        end: kw("end"),
        gain: kw("gain").ignore_then(gain()).boxed(),
        phantom: kw("phantom").ignore_then(phantom()).boxed(),
        pad: kw("pad"),
        clip: kw("clip").ignore_then(quantity(Dimension::Level, "an electrical level")).boxed(),
        isolated: kw("isolated"),
        signal: name("a fact of the bank"),
    };
    head.then(custom(move |inp: &mut Reader<'t, '_>| facts.read(inp)))
        .map(|((name, range), said)| ModelItemKind::Bank(Bank { name, range, ..said }))
        .boxed()
}

struct BankFacts<'t> {
    role: Rule<'t, At<BankRole>>,
    end: Rule<'t, Span>,
    gain: Rule<'t, (At<Quantity>, At<Quantity>)>,
    phantom: Rule<'t, At<PhantomSupply>>,
    pad: Rule<'t, Span>,
    clip: Rule<'t, At<Quantity>>,
    isolated: Rule<'t, Span>,
    signal: Rule<'t, Name>,
}

impl<'t> BankFacts<'t> {
    fn read(&self, inp: &mut Reader<'t, '_>) -> Result<Bank, Problem> {
        let mut bank = empty_bank(inp);
        while let Some((sig, span)) = rest(inp).first() {
            let twice = match sig.text {
                "in" | "out" | "inner" | "origin" => bank.role.replace(inp.parse(&self.role)?).is_some(),
                "end" => bank.end.replace(inp.parse(&self.end)?).is_some(),
                "gain" => bank.gain.replace(inp.parse(&self.gain)?).is_some(),
                "phantom" => bank.phantom.replace(inp.parse(&self.phantom)?).is_some(),
                "pad" => bank.pad.replace(inp.parse(&self.pad)?).is_some(),
                "clip" => bank.clip.replace(inp.parse(&self.clip)?).is_some(),
                "isolated" => bank.isolated.replace(inp.parse(&self.isolated)?).is_some(),
                other => {
                    if let Some(signal) = bank.signal.as_ref().filter(|_| sig.kind == TokenKind::Word) {
                        inp.emit(second_signal(other, &signal.value, *span));
                        inp.skip();
                        continue;
                    }
                    bank.signal.replace(inp.parse(&self.signal)?).is_some()
                }
            };
            if twice {
                let message = format!("`{}` is said twice in this row", sig.text);
                inp.emit(Problem::said(
                    Diagnostic::error("attribute-twice", *span, message).help("delete one of them"),
                ));
            }
        }
        Ok(bank)
    }
}

fn second_signal(found: &str, signal: &str, span: Span) -> Problem {
    let diagnostic = Diagnostic::error("unknown-attribute", span, format!("`{found}` is no fact of a bank"));
    let near = nearest(found, super::super::words::BANK_WORDS.iter().copied());
    let help = format!("the bank carries `{signal}` already; delete one of them");
    Problem::said(diagnostic.near_or(span, near, help))
}

/// A bank with nothing said of it; its name and numbers come from the row's head.
fn empty_bank(inp: &mut Reader<'_, '_>) -> Bank {
    let here = inp.cursor();
    let span = inp.span_since(&here);
    Bank {
        name: At::new(String::new(), span),
        range: super::super::ast::Range { first: 0, last: 0, span },
        role: None,
        end: None,
        signal: None,
        gain: None,
        phantom: None,
        pad: None,
        clip: None,
        isolated: None,
    }
}

fn gain<'t>() -> Rule<'t, (At<Quantity>, At<Quantity>)> {
    let end = quantity(Dimension::Ratio, "a gain");
    end.clone()
        .then_ignore(kw("to"))
        .then(end)
        .validate(|(low, high), _, emitter| {
            if low.value.number > high.value.number {
                let span = low.span.to(high.span);
                let diagnostic = Diagnostic::error("bad-range", span, "this gain range counts down");
                emitter.emit(Problem::said(diagnostic.help(format!("write `{} to {}`", high.value, low.value))));
                return (high, low);
            }
            (low, high)
        })
        .boxed()
}

/// `each`, `in groups of 8`, `none`
fn phantom<'t>() -> Rule<'t, At<PhantomSupply>> {
    let words = one_of_words(&[("each", PhantomSupply::Each), ("none", PhantomSupply::None)]);
    let groups = kws(&["in", "groups", "of"]).then(at_least_one("the size of a group"));
    let groups = groups.map(|(words, size)| At::new(PhantomSupply::Groups(size.value), words.to(size.span))).boxed();
    custom(move |inp: &mut Reader<'t, '_>| match next_is(inp, "in") {
        true => inp.parse(&groups),
        false => inp.parse(&words),
    })
    .boxed()
}

/// `port up aes50 to desk needs power`
fn port<'t>() -> ItemRule<'t> {
    let faces = one_of_words(&[("desk", Faces::Desk), ("next", Faces::Next), ("any", Faces::Any)]);
    kw("port")
        .ignore_then(name("a port's name"))
        .then(name("a carrier"))
        .then(when("to", faces))
        .then(flag("powers"))
        .then(kws(&["needs", "power"]).or_not())
        .map(|((((name, carrier), faces), powers), needs_power)| {
            let faces = faces.unwrap_or(At::new(Faces::Any, carrier.span));
            ModelItemKind::Port(Port { name, carrier, faces, powers, needs_power })
        })
        .boxed()
}

/// `up passes thru`, `personal passes up one way`
fn passes<'t>() -> ItemRule<'t> {
    name("a port")
        .then_ignore(kw("passes"))
        .then(name("a port"))
        .then(kws(&["one", "way"]).or_not())
        .map(|((port, other), one_way)| ModelItemKind::Passes { port, other, one_way: one_way.is_some() })
        .boxed()
}

/// `in rides up stacked`, `in rides up at a setting 1, 17`, `in rides up at 1`
fn rides<'t>() -> ItemRule<'t> {
    let (settings, fixed) = (kws(&["a", "setting"]).ignore_then(numbers("a slot")).boxed(), number("a slot"));
    let at = custom(move |inp: &mut Reader<'t, '_>| {
        if next_is(inp, "stacked") {
            inp.skip();
            return Ok(RideAt::Stacked);
        }
        if !next_is(inp, "at") {
            return Err(wanted_here(inp, vec![Want::Word("stacked"), Want::Word("at")]));
        }
        inp.skip();
        match next_is(inp, "a") {
            true => inp.parse(&settings).map(RideAt::Setting),
            false => inp.parse(&fixed).map(RideAt::Fixed),
        }
    });
    name("a bank")
        .then_ignore(kw("rides"))
        .then(name("a port"))
        .then(at)
        .map(|((bank, port), at)| ModelItemKind::Rides { bank, port, at })
        .boxed()
}

/// `out takes up offset 1, 9, 17 in mode outputs first desk only`, `out takes up at 41`
fn takes<'t>() -> ItemRule<'t> {
    let (offsets, fixed) = (numbers("an offset"), number("a slot"));
    let at = custom(move |inp: &mut Reader<'t, '_>| {
        if next_is(inp, "offset") {
            inp.skip();
            return inp.parse(&offsets).map(TakeAt::Offset);
        }
        if !next_is(inp, "at") {
            return Err(wanted_here(inp, vec![Want::Word("offset"), Want::Word("at")]));
        }
        inp.skip();
        inp.parse(&fixed).map(TakeAt::Fixed)
    });
    name("a bank")
        .then_ignore(kw("takes"))
        .then(name("a port"))
        .then(at)
        .then(in_mode())
        .then(kws(&["first", "desk", "only"]).or_not())
        .map(|((((bank, port), at), mode), only)| ModelItemKind::Takes {
            bank,
            port,
            at,
            mode,
            first_desk_only: only.is_some(),
        })
        .boxed()
}

fn in_mode<'t>() -> Rule<'t, Option<Name>> {
    when("in", kw("mode").ignore_then(name("a mode")).boxed())
}

/// `optical copies in from 1 in mode copy`
fn copies<'t>() -> ItemRule<'t> {
    name("a bank")
        .then_ignore(kw("copies"))
        .then(name("a bank"))
        .then(when("from", number("a number")))
        .then(in_mode())
        .map(|(((bank, of), first), mode)| ModelItemKind::Copies { bank, of, first, mode })
        .boxed()
}

/// `channel from local, portA in blocks of 8`, `portA 41-48 from personal straight at 48 kHz`
fn route<'t>() -> ItemRule<'t> {
    let (most, rate) = (number("a number"), quantity(Dimension::Frequency, "a sample rate"));
    let limits = custom(move |inp: &mut Reader<'t, '_>| {
        let (mut at_most, mut at_rate) = (None, None);
        while next_is(inp, "at") {
            inp.skip();
            if next_is(inp, "most") {
                inp.skip();
                at_most = Some(inp.parse(&most)?);
            } else {
                at_rate = Some(inp.parse(&rate)?);
            }
        }
        Ok((at_most, at_rate))
    });
    name("a bank")
        .then(numbered(range("a number")))
        .then_ignore(kw("from"))
        .then(list(name("a bank or a port")))
        .then(how())
        .then(limits)
        .map(|((((bank, range), from), how), (at_most, rate))| {
            ModelItemKind::Route(Route { bank, range, from, how, at_most, rate })
        })
        .boxed()
}

/// The rule where a number stands next, or nothing.
fn numbered<'t, T: 't>(rule: Rule<'t, T>) -> Rule<'t, Option<T>> {
    custom(move |inp: &mut Reader<'t, '_>| match kind_at(rest(inp), 0) {
        Some(TokenKind::Number | TokenKind::Range) => inp.parse(&rule).map(Some),
        _ => Ok(None),
    })
    .boxed()
}

/// `in blocks of 8`, `one by one`, `straight`
fn how<'t>() -> Rule<'t, At<RouteHow>> {
    let blocks = kws(&["in", "blocks", "of"]).then(at_least_one("the size of a block"));
    choice((
        blocks.map(|(words, size)| At::new(RouteHow::Blocks(size.value), words.to(size.span))),
        kws(&["one", "by", "one"]).map(|span| At::new(RouteHow::OneByOne, span)),
        kw("straight").map(|span| At::new(RouteHow::Straight, span)),
    ))
    .boxed()
}

/// `block extras aux-out 1-4, cue 1-2`
fn block<'t>() -> ItemRule<'t> {
    kw("block")
        .ignore_then(name("the block's name"))
        .then(terms("a bank"))
        .map(|(name, points)| ModelItemKind::Block { name, points })
        .boxed()
}

/// `reserved portA 41-48 for personal at 48 kHz`
fn reserved<'t>() -> ItemRule<'t> {
    kw("reserved")
        .ignore_then(name("a port"))
        .then(range("the slots"))
        .then_ignore(kw("for"))
        .then(name("a bank"))
        .then(when("at", quantity(Dimension::Frequency, "a sample rate")))
        .map(|(((port, range), for_what), rate)| ModelItemKind::Reserved { port, range, for_what, rate })
        .boxed()
}
