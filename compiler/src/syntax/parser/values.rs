//! What each attribute word takes. One rule a word; the order within a row is `attributes`' business.

use super::super::ast::{AttrKind, Cable, OwnClock, Pickup, Place, Priority, Sources, Stand};
use super::super::significant::nfc;
use super::super::tokens::TokenKind;
use super::super::words::{OUTPUT_USES, PLACES};
use super::attributes::no;
use super::basics::{
    Reader, Rule, dotted, joined, kind_at, kw, kws, list, name, next_is, number, numbers, one_of_words, rest, terms,
    text, wanted_here, when,
};
use super::problem::{Problem, Want};
use super::quantities::quantity;
use crate::diagnostics::{Diagnostic, nearest};
use crate::quantity::Dimension;
use crate::source::At;
use chumsky::prelude::*;
use std::collections::HashMap;

pub(super) type Words<'t> = HashMap<&'static str, Rule<'t, AttrKind>>;

/// The rules of these words, with what differs from row to row on top.
pub(super) fn words<'t>(known: &[&'static str], own: Vec<(&'static str, Rule<'t, AttrKind>)>) -> Words<'t> {
    let mut out: Words<'t> = known.iter().filter_map(|word| Some((*word, value(word)?))).collect();
    out.extend(own);
    out
}

/// Each with the known words, `no`, and what only a change says.
pub(super) fn with_no<'t>(mut words: Words<'t>, more: &[&'static str]) -> Words<'t> {
    words.extend(more.iter().filter_map(|word| Some((*word, value(word)?))));
    let known = words.keys().copied().collect();
    words.insert("no", no(known));
    words
}

fn value<'t>(word: &'static str) -> Option<Rule<'t, AttrKind>> {
    let after = kw(word);
    Some(match word {
        "is" => after.ignore_then(name("a model")).map(AttrKind::Is).boxed(),
        "on" => after.ignore_then(dotted("a port")).map(AttrKind::On).boxed(),
        "redundant" => after.ignore_then(kw("on")).ignore_then(dotted("a port")).map(AttrKind::RedundantOn).boxed(),
        "offset" => after.ignore_then(number("an offset")).map(AttrKind::Offset).boxed(),
        "slot" => after.ignore_then(number("a slot")).map(AttrKind::Slot).boxed(),
        "cable" => after.ignore_then(cable()).map(AttrKind::Cable).boxed(),
        "clock" => after.ignore_then(own_clock()).map(AttrKind::ClockFrom).boxed(),
        "rate" => after.ignore_then(quantity(Dimension::Frequency, "a sample rate")).map(AttrKind::RunsAt).boxed(),
        "converts" => after.to(AttrKind::Converts).boxed(),
        "backup" => after.ignore_then(kw("of")).ignore_then(name("a device")).map(AttrKind::BackupOf).boxed(),
        "supply" => after.ignore_then(text("the supply's name in quotes")).map(AttrKind::Supply).boxed(),
        "dead" => after.ignore_then(numbers("a line's number")).map(AttrKind::Dead).boxed(),
        "reserved" => reserved(),
        "place" | "at" => after.ignore_then(place()).map(AttrKind::Place).boxed(),
        "to" => after.ignore_then(joined(terms("a point"), Some("and"))).map(AttrKind::To).boxed(),
        "from" => after.ignore_then(from()).boxed(),
        "via" => after.ignore_then(dotted("a split's leg")).map(AttrKind::Via).boxed(),
        "channel" => after.ignore_then(numbers("a channel number")).map(AttrKind::Channel).boxed(),
        "phantom" | "48V" => after.to(AttrKind::Phantom).boxed(),
        "pad" => after.to(AttrKind::Pad).boxed(),
        "stand" => after.ignore_then(one_of_words(STANDS)).map(AttrKind::Stand).boxed(),
        "level" => {
            after.ignore_then(quantity(Dimension::SoundPressure, "a sound pressure")).map(AttrKind::Level).boxed()
        }
        "gain" => after.ignore_then(quantity(Dimension::Ratio, "a gain")).map(AttrKind::Gain).boxed(),
        "pickup" => after.ignore_then(one_of_words(PICKUPS)).map(AttrKind::Pickup).boxed(),
        "lifted" => after.to(AttrKind::Lifted).boxed(),
        "spare" => {
            let stands_in = after.ignore_then(when("for", dotted("the source that it stands in for")));
            stands_in.map(|of| of.map_or(AttrKind::Spare, AttrKind::SpareFor)).boxed()
        }
        "polarity" => after.ignore_then(kw("inverted")).to(AttrKind::PolarityInverted).boxed(),
        "ears-only" => after.to(AttrKind::EarsOnly).boxed(),
        "data" => after.to(AttrKind::Data).boxed(),
        "space" => after.ignore_then(quantity(Dimension::Storage, "free space")).map(AttrKind::Space).boxed(),
        "priority" => after.ignore_then(one_of_words(PRIORITIES)).map(AttrKind::Priority).boxed(),
        "of" => after.ignore_then(sources()).map(AttrKind::Of).boxed(),
        "stereo" => after.to(AttrKind::Stereo).boxed(),
        "who" => after.ignore_then(text("a text in quotes")).map(AttrKind::Who).boxed(),
        "note" => after.ignore_then(text("a text in quotes")).map(AttrKind::Note).boxed(),
        _ => return None,
    })
}

const STANDS: &[(&str, Stand)] = &[
    ("tall", Stand::Tall),
    ("short", Stand::Short),
    ("clip", Stand::Clip),
    ("straight", Stand::Straight),
    ("none", Stand::None),
];

pub(super) const PICKUPS: &[(&str, Pickup)] =
    &[("passive", Pickup::Passive), ("piezo", Pickup::Piezo), ("active", Pickup::Active), ("line", Pickup::Line)];

const PRIORITIES: &[(&str, Priority)] =
    &[("must", Priority::Must), ("should", Priority::Should), ("may", Priority::May)];

/// `gain by monitors`
pub(super) fn gain_by<'t>() -> Rule<'t, AttrKind> {
    kws(&["gain", "by"]).ignore_then(name("a desk")).map(AttrKind::GainBy).boxed()
}

/// `lifted iso-a, iso-b`
pub(super) fn lifted_legs<'t>() -> Rule<'t, AttrKind> {
    kw("lifted").ignore_then(list(name("a leg of the split"))).map(AttrKind::LiftedLegs).boxed()
}

/// `internal`, `external "House clock"`
fn own_clock<'t>() -> Rule<'t, OwnClock> {
    let external = kw("external").ignore_then(text("the clock's name in quotes")).map(OwnClock::External);
    choice((kw("internal").to(OwnClock::Internal), external)).boxed()
}

/// The words that say what an output is for.
pub(super) fn uses<'t>() -> Vec<(&'static str, Rule<'t, AttrKind>)> {
    let rule = |word: &'static str| kw(word).map(move |span| AttrKind::Use(At::new(word.to_string(), span))).boxed();
    OUTPUT_USES.iter().map(|word| (*word, rule(word))).collect()
}

fn reserved<'t>() -> Rule<'t, AttrKind> {
    kw("reserved")
        .ignore_then(numbers("a line's number"))
        .then(text("a text").or_not())
        .map(|(lines, for_what)| AttrKind::Reserved { lines, for_what })
        .boxed()
}

/// The offset right after a mode is the mode's.
pub(super) fn offset_of_a_mode<'t>() -> Rule<'t, Option<At<u32>>> {
    when("offset", number("an offset"))
}

/// `75 m + 30 m screened locking`
fn cable<'t>() -> Rule<'t, Cable> {
    let length = quantity(Dimension::Length, "a cable length");
    custom(move |inp: &mut Reader<'t, '_>| {
        let mut cable = Cable { lengths: vec![inp.parse(&length)?], screened: false, locking: false };
        while kind_at(rest(inp), 0) == Some(TokenKind::Plus) {
            inp.skip();
            cable.lengths.push(inp.parse(&length)?);
        }
        loop {
            if next_is(inp, "screened") {
                cable.screened = true;
            } else if next_is(inp, "locking") {
                cable.locking = true;
            } else {
                return Ok(cable);
            }
            inp.skip();
        }
    })
    .boxed()
}

/// `DSL`, `3.5 m, 2 m` or a text.
fn place<'t>() -> Rule<'t, Place> {
    let (words, metres) = (text("a text"), quantity(Dimension::Length, "a length"));
    custom(move |inp: &mut Reader<'t, '_>| match kind_at(rest(inp), 0) {
        Some(TokenKind::Text) => inp.parse(&words).map(Place::Text),
        Some(TokenKind::Word) if !starts_with_digit(inp) => named_place(inp),
        Some(TokenKind::Number | TokenKind::Dash | TokenKind::Word) => {
            let across = inp.parse(&metres)?;
            if kind_at(rest(inp), 0) != Some(TokenKind::Comma) {
                return Err(wanted_here(inp, vec![Want::Thing("a comma and the distance from the front edge")]));
            }
            inp.skip();
            let up = inp.parse(&metres)?;
            Ok(Place::Metres { across, up })
        }
        _ => Err(wanted_here(
            inp,
            vec![Want::Thing("a place on stage such as `DSL`"), Want::Thing("two lengths"), Want::Thing("a text")],
        )),
    })
    .boxed()
}

fn starts_with_digit(inp: &mut Reader<'_, '_>) -> bool {
    rest(inp).first().is_some_and(|(sig, _)| sig.text.starts_with(|c: char| c.is_ascii_digit()))
}

fn named_place(inp: &mut Reader<'_, '_>) -> Result<Place, Problem> {
    let Some((sig, span)) = rest(inp).first() else { return Err(wanted_here(inp, Vec::new())) };
    if PLACES.contains(&sig.text) {
        inp.skip();
        let value = if sig.text == "SC" { "C".to_string() } else { nfc(sig.text) };
        return Ok(Place::Named(At::new(value, *span)));
    }
    let diagnostic = Diagnostic::error("unknown-place", *span, format!("`{}` is no place on stage", sig.text));
    let near = nearest(sig.text, PLACES.iter().copied());
    let help = "write USR, USC, USL, SR, C, SL, DSR, DSC or DSL, or a text in quotes";
    Err(Problem::said(diagnostic.near_or(*span, near, help)))
}

/// `drum-riser 1`, `stage-left any`, `any`
fn from<'t>() -> Rule<'t, AttrKind> {
    let (points, device) = (terms("a point"), dotted("a device"));
    custom(move |inp: &mut Reader<'t, '_>| {
        if next_is(inp, "any")
            && !matches!(kind_at(rest(inp), 1), Some(TokenKind::Dot | TokenKind::Number | TokenKind::Range))
        {
            inp.skip();
            return Ok(AttrKind::FromAny(None));
        }
        let before = inp.save();
        let device = inp.parse(&device)?;
        if next_is(inp, "any") {
            inp.skip();
            return Ok(AttrKind::FromAny(Some(device)));
        }
        inp.rewind(before);
        inp.parse(&points).map(AttrKind::From)
    })
    .boxed()
}

/// `all inputs but talkback`, or names.
pub(super) fn sources<'t>() -> Rule<'t, Sources> {
    let (all, but) = (kws(&["all", "inputs"]), when("but", terms("a source")));
    let names = terms("a source or a group");
    custom(move |inp: &mut Reader<'t, '_>| {
        let all_inputs = next_is(inp, "all") && rest(inp).get(1).is_some_and(|(sig, _)| sig.is_word("inputs"));
        if !all_inputs {
            return inp.parse(&names).map(Sources::Named);
        }
        let before = inp.cursor();
        inp.parse(&all)?;
        let but = inp.parse(&but)?;
        Ok(Sources::All { span: inp.span_since(&before), but })
    })
    .boxed()
}
