//! `carrier`, `kind`, `feed` and `mic`: what std and users declare besides models.

use super::super::ast::{
    Carrier, CarrierItem, Feed, FeedVerdict, Kind, Mic, Name, PhantomPolicy, Pickup, StatementKind, Text,
};
use super::super::tokens::TokenKind;
use super::basics::{Reader, Rule, kw, list, name, number, one_of_words, rest, text, wanted_here};
use super::problem::{Problem, Want};
use super::quantities::quantity;
use super::values::PICKUPS;
use crate::diagnostics::{Diagnostic, nearest};
use crate::quantity::{Dimension, Quantity};
use crate::source::At;
use chumsky::prelude::*;

/// A row of `kind`.
#[derive(Clone, Debug)]
pub(super) enum KindItem {
    Signal(Name),
    Phantom(At<PhantomPolicy>),
    Suits(Vec<At<Pickup>>),
    Data,
    Talkback,
    Mains,
}

/// A row of `mic`.
#[derive(Clone, Debug)]
pub(super) enum MicItem {
    Kind(Name),
    Sensitivity(At<Quantity>),
    Needs(At<Quantity>),
    Max(At<Quantity>),
    Note(Text),
}

/// A row that begins with one of a few words.
fn by_word<'t, T: 't>(what: &'static str, table: Vec<(&'static str, Rule<'t, T>)>) -> Rule<'t, T> {
    custom(move |inp: &mut Reader<'t, '_>| {
        let words = || table.iter().map(|(word, _)| *word);
        let Some((sig, span)) = rest(inp).first().filter(|(sig, _)| sig.kind == TokenKind::Word) else {
            return Err(wanted_here(inp, words().map(Want::Word).collect()));
        };
        if let Some((_, rule)) = table.iter().find(|(word, _)| *word == sig.text) {
            return inp.parse(rule);
        }
        let diagnostic = Diagnostic::error("unknown-attribute", *span, format!("`{}` is no fact of {what}", sig.text));
        let listed = format!("{what} takes {}", words().collect::<Vec<_>>().join(", "));
        Err(Problem::said(diagnostic.near_or(*span, nearest(sig.text, words()), listed)))
    })
    .boxed()
}

pub(super) fn carrier<'t>() -> Rule<'t, StatementKind> {
    kw("carrier")
        .ignore_then(name("the carrier's name"))
        .map(|name| StatementKind::Carrier(Carrier { name, items: Vec::new() }))
        .boxed()
}

/// `slots 48 at 48 kHz`
pub(super) fn carrier_item<'t>() -> Rule<'t, At<CarrierItem>> {
    let slots = kw("slots")
        .ignore_then(number("a number of slots"))
        .then_ignore(kw("at"))
        .then(quantity(Dimension::Frequency, "a sample rate"));
    let length = kw("length").ignore_then(quantity(Dimension::Length, "a length"));
    let latency = kw("latency").ignore_then(quantity(Dimension::Time, "a time"));
    by_word(
        "a carrier",
        vec![
            ("slots", slots.map(|(count, rate)| CarrierItem::Slots { count, rate }).boxed()),
            ("length", length.map(CarrierItem::Length).boxed()),
            ("screened", kw("screened").to(CarrierItem::Screened).boxed()),
            ("locking", kw("locking").to(CarrierItem::Locking).boxed()),
            ("latency", latency.map(CarrierItem::Latency).boxed()),
        ],
    )
    .map_with(|item, extra| At::new(item, extra.span()))
    .boxed()
}

pub(super) fn kind<'t>() -> Rule<'t, StatementKind> {
    kw("kind")
        .ignore_then(name("the kind's name"))
        .map(|name| {
            StatementKind::Kind(Kind {
                name,
                signal: None,
                phantom: None,
                data: false,
                talkback: false,
                mains: false,
                suits: Vec::new(),
            })
        })
        .boxed()
}

const POLICIES: &[(&str, PhantomPolicy)] =
    &[("needs", PhantomPolicy::Needs), ("tolerates", PhantomPolicy::Tolerates), ("never", PhantomPolicy::Never)];

/// `signal mic`, `phantom needs`, `suits active, line`
pub(super) fn kind_item<'t>() -> Rule<'t, KindItem> {
    let phantom = kw("phantom").ignore_then(one_of_words(POLICIES));
    let suits = kw("suits").ignore_then(list(one_of_words(PICKUPS)));
    by_word(
        "a kind",
        vec![
            ("signal", kw("signal").ignore_then(name("a kind of signal")).map(KindItem::Signal).boxed()),
            ("phantom", phantom.map(KindItem::Phantom).boxed()),
            ("suits", suits.map(KindItem::Suits).boxed()),
            ("data", kw("data").to(KindItem::Data).boxed()),
            ("talkback", kw("talkback").to(KindItem::Talkback).boxed()),
            ("mains", kw("mains").to(KindItem::Mains).boxed()),
        ],
    )
}

const VERDICTS: &[(&str, FeedVerdict)] =
    &[("fine", FeedVerdict::Fine), ("warn", FeedVerdict::Warn), ("error", FeedVerdict::Error)];

/// `feed line to mic warn "…"`
pub(super) fn feed<'t>() -> Rule<'t, StatementKind> {
    kw("feed")
        .ignore_then(name("a kind of signal"))
        .then_ignore(kw("to"))
        .then(name("a kind of signal"))
        .then(one_of_words(VERDICTS))
        .then(text("a reason").or_not())
        .map(|(((from, to), verdict), why)| StatementKind::Feed(Feed { from, to, verdict, why }))
        .boxed()
}

pub(super) fn mic<'t>() -> Rule<'t, StatementKind> {
    kw("mic")
        .ignore_then(name("the microphone's name"))
        .then(text("a label").or_not())
        .map(|(name, label)| {
            let (kind, sensitivity, current, max, note) = (None, None, None, None, None);
            StatementKind::Mic(Mic { name, label, kind, sensitivity, current, max, note })
        })
        .boxed()
}

/// `kind dynamic`, `sensitivity 2.0 mV/Pa`, `needs 3.1 mA`, `max 140 dB SPL`, `note "…"`
pub(super) fn mic_item<'t>() -> Rule<'t, MicItem> {
    let sensitivity = kw("sensitivity").ignore_then(quantity(Dimension::Sensitivity, "a sensitivity"));
    let needs = kw("needs").ignore_then(quantity(Dimension::Current, "a current"));
    let max = kw("max").ignore_then(quantity(Dimension::SoundPressure, "a sound pressure"));
    by_word(
        "a microphone",
        vec![
            ("kind", kw("kind").ignore_then(name("a kind of microphone")).map(MicItem::Kind).boxed()),
            ("sensitivity", sensitivity.map(MicItem::Sensitivity).boxed()),
            ("needs", needs.map(MicItem::Needs).boxed()),
            ("max", max.map(MicItem::Max).boxed()),
            ("note", kw("note").ignore_then(text("a text in quotes")).map(MicItem::Note).boxed()),
        ],
    )
}
