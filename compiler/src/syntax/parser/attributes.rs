//! Attributes, in any order: a loop that looks at the next word and hands over to that word's rule. What
//! cannot be read costs that attribute only.

use super::super::ast::{Attr, AttrKind};
use super::super::significant::{Sig, Spanned, nfc};
use super::super::tokens::TokenKind;
use super::basics::{Reader, Rule, is_volts, kind_at, list, name, range, rest, text};
use super::problem::{END, Problem, Topic, Want};
use super::values::{self, Words};
use crate::diagnostics::{Diagnostic, Edit, nearest};
use crate::source::{At, Span};
use chumsky::prelude::*;
use std::rc::Rc;

/// What a word that is no attribute may be.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Loose {
    Nothing,
    /// A bank and its mode: `optical copy`.
    Mode,
    /// A bank and its size: `in 1-48`.
    Bank,
}

/// The attributes of one kind of row.
pub(super) struct Vocabulary<'t> {
    words: Words<'t>,
    loose: Loose,
    /// The row, for messages: `an input row`.
    place: &'static str,
    labels: Rule<'t, AttrKind>,
    mode: Rule<'t, AttrKind>,
    bank: Rule<'t, AttrKind>,
    volts: Rule<'t, AttrKind>,
}

impl<'t> Vocabulary<'t> {
    pub fn new(place: &'static str, loose: Loose, words: Words<'t>) -> Self {
        let mode = name("a bank").then(name("a mode")).then(values::offset_of_a_mode());
        let bank = name("a bank").then(range("a number"));
        Vocabulary {
            words,
            loose,
            place,
            labels: list(text("a text")).map(AttrKind::Labels).boxed(),
            mode: mode.map(|((bank, mode), offset)| AttrKind::Mode { bank, mode, offset }).boxed(),
            bank: bank.map(|(name, range)| AttrKind::Bank { name, range }).boxed(),
            volts: any().then(any()).to(AttrKind::Phantom).boxed(),
        }
    }

    pub fn has(&self, word: &str) -> bool {
        self.words.contains_key(word)
    }

    fn rule(&self, left: &[Spanned<'t>]) -> Option<&Rule<'t, AttrKind>> {
        let (first, _) = left.first()?;
        let numbered = matches!(kind_at(left, 1), Some(TokenKind::Number | TokenKind::Range));
        match first.kind {
            TokenKind::Word => match self.words.get(first.text) {
                Some(rule) => Some(rule),
                None if self.loose == Loose::Mode && self.is_own_word(left.get(1)) => Some(&self.mode),
                None if self.loose == Loose::Bank && numbered => Some(&self.bank),
                None => None,
            },
            TokenKind::Text => Some(&self.labels),
            TokenKind::Number if is_volts(left) && self.has("phantom") => Some(&self.volts),
            _ => None,
        }
    }

    /// A word that is no attribute.
    fn is_own_word(&self, sig: Option<&Spanned<'t>>) -> bool {
        sig.is_some_and(|(sig, _)| sig.kind == TokenKind::Word && !self.has(sig.text))
    }

    /// Whether an attribute certainly begins here.
    pub fn starts(&self, left: &[Spanned<'t>]) -> bool {
        left.first().is_some_and(|(first, _)| match first.kind {
            TokenKind::Word => self.has(first.text),
            TokenKind::Text => true,
            _ => is_volts(left) && self.has("phantom"),
        })
    }

    pub fn nearest(&self, word: &str) -> Option<&str> {
        // What a cable is made of follows `cable`, where it is no attribute of its own.
        let of_cable = if self.has("cable") { &["screened", "locking"][..] } else { &[] };
        nearest(word, self.words.keys().chain(of_cable).copied())
    }

    /// What is said of a token that begins no attribute.
    fn unknown(&self, first: &Sig<'t>, span: Span) -> Problem {
        if first.kind != TokenKind::Word {
            return Problem::wanted(vec![Want::Thing("an attribute"), END], Some(first.kind), span);
        }
        let message = format!("`{}` is no attribute of {}", first.text, self.place);
        let diagnostic = Diagnostic::error("unknown-attribute", span, message);
        let near = self.nearest(first.text);
        Problem::said(diagnostic.near_or(span, near, self.list(first.text))).about(self.topic())
    }

    fn topic(&self) -> Topic {
        match (self.has("phantom"), self.has("wedge")) {
            (true, _) => Topic::InputAttribute,
            (_, true) => Topic::OutputAttribute,
            _ => Topic::Other,
        }
    }

    /// All words that could stand in place of `found`.
    fn list(&self, found: &str) -> String {
        let mut known: Vec<&str> = self.words.keys().copied().collect();
        known.sort_unstable();
        match known.as_slice() {
            [only] => format!("{} takes `{only}` alone: write `{only} {found} …`", self.place),
            _ => format!("{} takes {}", self.place, known.join(", ")),
        }
    }
}

/// All attributes to the end of the row.
pub(super) fn attributes<'t>(vocabulary: Rc<Vocabulary<'t>>) -> Rule<'t, Vec<Attr>> {
    custom(move |inp: &mut Reader<'t, '_>| {
        let mut attrs: Vec<Attr> = Vec::new();
        while let left @ [(first, span), ..] = rest(inp) {
            let Some(rule) = vocabulary.rule(left) else {
                inp.emit(match attrs.is_empty() && vocabulary.has("is") && looks_like_a_model(first) {
                    true => model_without_is(first, *span),
                    false => vocabulary.unknown(first, *span),
                });
                skip(inp, &vocabulary);
                continue;
            };
            let (before, start) = (inp.save(), inp.cursor());
            match inp.parse(rule) {
                Ok(kind) => {
                    let attr = Attr { kind, span: inp.span_since(&start) };
                    add(inp, &mut attrs, attr);
                }
                Err(problem) => {
                    inp.rewind(before);
                    inp.emit(problem);
                    skip(inp, &vocabulary);
                }
            }
        }
        Ok(attrs)
    })
    .boxed()
}

/// `desk-48`, where a device's `is` was left out: a word with a number at its end.
fn looks_like_a_model(sig: &Sig<'_>) -> bool {
    sig.kind == TokenKind::Word
        && sig.text.rsplit_once('-').is_some_and(|(_, last)| last.starts_with(|c: char| c.is_ascii_digit()))
}

fn model_without_is(sig: &Sig<'_>, span: Span) -> Problem {
    let put = Edit { span: Span { end: span.start, ..span }, text: "is ".to_string() };
    let message = format!("`{}` is no attribute of a device", sig.text);
    let diagnostic = Diagnostic::error("unknown-attribute", span, message);
    Problem::said(diagnostic.help(format!("a model stands after `is`: `is {}`", sig.text)).fix(
        "write `is`",
        vec![put],
        false,
    ))
}

fn skip<'t>(inp: &mut Reader<'t, '_>, vocabulary: &Vocabulary<'t>) {
    inp.skip();
    while !rest(inp).is_empty() && !vocabulary.starts(rest(inp)) {
        inp.skip();
    }
}

fn add(inp: &mut Reader<'_, '_>, attrs: &mut Vec<Attr>, attr: Attr) {
    let Some(first) = attrs.iter().find(|other| same(&other.kind, &attr.kind)) else {
        attrs.push(attr);
        return;
    };
    let what = match attr.kind {
        AttrKind::Labels(_) => "the label".to_string(),
        AttrKind::Use(_) => "the use".to_string(),
        _ => word_of(&attr.kind).map_or("this attribute".to_string(), |word| format!("`{word}`")),
    };
    let mut diagnostic = Diagnostic::error("attribute-twice", attr.span, format!("{what} is said twice in this row"))
        .label(first.span, "said here first")
        .fix("delete the second", vec![Edit { span: attr.span, text: String::new() }], false);
    diagnostic = match attr.kind {
        AttrKind::Labels(_) => diagnostic.help("join several labels with commas"),
        _ => diagnostic.help("delete one of them"),
    };
    inp.emit(Problem::said(diagnostic));
}

/// Whether two attributes say the same thing of one row.
fn same(a: &AttrKind, b: &AttrKind) -> bool {
    match (a, b) {
        (AttrKind::Mode { bank: a, .. }, AttrKind::Mode { bank: b, .. }) => a.value == b.value,
        (AttrKind::Bank { name: a, .. }, AttrKind::Bank { name: b, .. }) => a.value == b.value,
        (AttrKind::No(a), AttrKind::No(b)) => a.value == b.value,
        (AttrKind::Reserved { .. }, AttrKind::Reserved { .. }) => false,
        (AttrKind::From(_), AttrKind::FromAny(_)) | (AttrKind::FromAny(_), AttrKind::From(_)) => true,
        (AttrKind::Spare, AttrKind::SpareFor(_)) | (AttrKind::SpareFor(_), AttrKind::Spare) => true,
        _ => std::mem::discriminant(a) == std::mem::discriminant(b),
    }
}

/// The word that an attribute is written with. `None` where it is the user's own.
pub fn word_of(kind: &AttrKind) -> Option<&'static str> {
    Some(match kind {
        AttrKind::Is(_) => "is",
        AttrKind::On(_) => "on",
        AttrKind::RedundantOn(_) => "redundant",
        AttrKind::Offset(_) => "offset",
        AttrKind::Slot(_) => "slot",
        AttrKind::Cable(_) => "cable",
        AttrKind::Dead(_) => "dead",
        AttrKind::Reserved { .. } => "reserved",
        AttrKind::GainBy(_) | AttrKind::Gain(_) => "gain",
        AttrKind::ClockFrom(_) => "clock",
        AttrKind::RunsAt(_) => "rate",
        AttrKind::Converts => "converts",
        AttrKind::BackupOf(_) => "backup",
        AttrKind::Supply(_) => "supply",
        AttrKind::Place(_) => "at",
        AttrKind::To(_) => "to",
        AttrKind::From(_) | AttrKind::FromAny(_) => "from",
        AttrKind::Via(_) => "via",
        AttrKind::Channel(_) => "channel",
        AttrKind::Phantom => "phantom",
        AttrKind::Pad => "pad",
        AttrKind::Stand(_) => "stand",
        AttrKind::Level(_) => "level",
        AttrKind::Pickup(_) => "pickup",
        AttrKind::Lifted | AttrKind::LiftedLegs(_) => "lifted",
        AttrKind::Spare | AttrKind::SpareFor(_) => "spare",
        AttrKind::PolarityInverted => "polarity",
        AttrKind::EarsOnly => "ears-only",
        AttrKind::Data => "data",
        AttrKind::Space(_) => "space",
        AttrKind::Priority(_) => "priority",
        AttrKind::Of(_) => "of",
        AttrKind::Stereo => "stereo",
        AttrKind::Who(_) => "who",
        AttrKind::Note(_) => "note",
        AttrKind::No(_) => "no",
        AttrKind::Mode { .. }
        | AttrKind::Bank { .. }
        | AttrKind::Mic(_)
        | AttrKind::Use(_)
        | AttrKind::Labels(_)
        | AttrKind::Quantity(_) => return None,
    })
}

/// A word of the vocabulary after `no`.
pub(super) fn no<'t>(known: Vec<&'static str>) -> Rule<'t, AttrKind> {
    custom(move |inp: &mut Reader<'t, '_>| {
        inp.skip();
        let Some((sig, span)) = rest(inp).first().filter(|(sig, _)| sig.kind == TokenKind::Word) else {
            return Err(super::basics::wanted_here(inp, vec![Want::Thing("the attribute to take away")]));
        };
        if !known.contains(&sig.text) {
            let message = format!("`{}` is no attribute that could be taken away here", sig.text);
            let diagnostic = Diagnostic::error("unknown-attribute", *span, message);
            return Err(Problem::said(match nearest(sig.text, known.iter().copied()) {
                Some(near) => diagnostic.help(format!("did you mean `no {near}`?")),
                None => diagnostic,
            }));
        }
        inp.skip();
        Ok(AttrKind::No(At::new(nfc(sig.text), *span)))
    })
    .boxed()
}
