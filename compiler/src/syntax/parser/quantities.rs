//! Numbers with units. The tokens know no units: `60 m` and `60m` are put together here, the longest
//! unit first.

use super::super::significant::{Spanned, shortened};
use super::super::tokens::TokenKind;
use super::basics::{Reader, Rule, rest};
use super::problem::{Problem, Want};
use crate::diagnostics::{Diagnostic, Edit, nearest};
use crate::quantity::{Dimension, Quantity, Unit};
use crate::source::{At, Span};
use chumsky::prelude::*;

/// The time that something takes which lasts as long as a show.
pub(super) const LASTING: &str = "how long it lasts";

/// No quantity of a patch comes near it in any unit; what is larger may have no number at all.
const LARGEST: f64 = 1e9;

/// How people write a unit out.
const IN_WORDS: &[(&str, Unit)] = &[
    ("hour", Unit::Hour),
    ("hours", Unit::Hour),
    ("hr", Unit::Hour),
    ("hrs", Unit::Hour),
    ("minute", Unit::Minute),
    ("minutes", Unit::Minute),
    ("mins", Unit::Minute),
    ("second", Unit::Second),
    ("seconds", Unit::Second),
    ("sec", Unit::Second),
    ("metre", Unit::Metre),
    ("metres", Unit::Metre),
    ("meter", Unit::Metre),
    ("meters", Unit::Metre),
    ("foot", Unit::Foot),
    ("feet", Unit::Foot),
];

/// What was read, and how many tokens it took.
struct Written {
    number: f64,
    /// The unit as written, `dB SPL`; empty where none stands there.
    unit: String,
    unit_span: Span,
    tokens: usize,
}

/// A quantity of one dimension. One of another dimension is a type error that names both.
pub(super) fn quantity<'t>(wanted: Dimension, thing: &'static str) -> Rule<'t, At<Quantity>> {
    custom(move |inp: &mut Reader<'t, '_>| {
        let before = inp.cursor();
        let left = rest(inp);
        let Some(written) = read(left) else {
            return Err(super::basics::wanted_here(inp, vec![Want::Thing(thing)]));
        };
        for _ in 0..written.tokens {
            inp.skip();
        }
        let span = inp.span_since(&before);
        if written.number.abs() > LARGEST {
            return Err(Problem::said(too_large(left, wanted, thing, span)));
        }
        match Unit::parse(&written.unit) {
            Some(unit) if unit.dimension() == wanted => Ok(At::new(Quantity { number: written.number, unit }, span)),
            Some(unit) => Err(Problem::said(wrong_dimension(wanted, unit, thing, span))),
            None => Err(Problem::said(unknown_unit(wanted, &written, thing, span))),
        }
    })
    .boxed()
}

fn read(left: &[Spanned<'_>]) -> Option<Written> {
    let (minus, left) = match left {
        [(dash, _), after @ ..] if dash.kind == TokenKind::Dash && after.first()?.0.glued => (true, after),
        _ => (false, left),
    };
    let ((first, span), after) = left.split_first()?;
    let digits = first.text.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(first.text.len());
    let (digits, stuck) = match first.kind {
        TokenKind::Number | TokenKind::Word if digits > 0 => first.text.split_at_checked(digits)?,
        _ => return None,
    };
    let number: f64 = digits.parse().ok()?;
    let mut tokens = 1 + usize::from(minus);
    let (mut unit, mut unit_span, mut after) = (stuck.to_string(), *span, after);
    if unit.is_empty() {
        match after.split_first() {
            Some(((word, at), rest)) if word.kind == TokenKind::Word && !word.first_on_line => {
                (unit, unit_span, after) = (word.text.to_string(), *at, rest);
                tokens += 1;
            }
            _ => {}
        }
    }
    match (unit.as_str(), after) {
        ("dB", [(spl, _), ..]) if spl.is_word("SPL") => {
            unit.push_str(" SPL");
            tokens += 1;
        }
        ("mV", [(slash, _), (pa, _), ..]) if slash.kind == TokenKind::Slash && pa.is_word("Pa") => {
            unit.push_str("/Pa");
            tokens += 2;
        }
        _ => {}
    }
    Some(Written { number: if minus { -number } else { number }, unit, unit_span, tokens })
}

fn too_large(left: &[Spanned<'_>], wanted: Dimension, thing: &str, span: Span) -> Diagnostic {
    let written = left.iter().map(|(sig, _)| sig.text).find(|text| text.starts_with(|c: char| c.is_ascii_digit()));
    let message = format!("`{}` is far too large for {thing}", shortened(written.unwrap_or("")));
    Diagnostic::error("bad-number", span, message).help(format!("write {wanted}, such as `{}`", wanted.sample()))
}

fn wrong_dimension(wanted: Dimension, unit: Unit, thing: &str, span: Span) -> Diagnostic {
    let message = format!("expected {thing}, found {} (`{unit}`)", unit.dimension());
    Diagnostic::error("wrong-unit", span, message).help(format!("write {wanted}, such as `{}`", wanted.sample()))
}

fn unknown_unit(wanted: Dimension, written: &Written, thing: &str, span: Span) -> Diagnostic {
    let in_words = IN_WORDS.iter().find(|(word, _)| *word == written.unit.to_lowercase()).map(|(_, unit)| *unit);
    if let Some(unit) = Unit::parse_any_case(&written.unit).or(in_words) {
        let diagnostic = Diagnostic::error(
            "wrong-unit",
            written.unit_span,
            format!("the unit `{}` is written `{unit}`", written.unit),
        );
        let edit = Edit { span: written.unit_span, text: unit.to_string() };
        return if written.unit_span.start == span.start {
            diagnostic.help(format!("write `{} {unit}`", written.number))
        } else {
            diagnostic.help(format!("write `{unit}`")).fix(format!("write `{unit}`"), vec![edit], true)
        };
    }
    let units = Unit::ALL.iter().filter(|unit| unit.dimension() == wanted).map(|unit| unit.symbol());
    // The parts of `mV/Pa` are read apart.
    let near = nearest(&written.unit, units.clone()).or_else(|| units.clone().find(|unit| *unit == "mV/Pa"));
    let message = match written.unit.as_str() {
        "" => format!("expected {thing}, found `{}` without a unit", written.number),
        unit => format!("expected {thing}, and `{}` is no unit", shortened(unit)),
    };
    let problem = Diagnostic::error("wrong-unit", span, message);
    match near.filter(|_| !written.unit.is_empty()) {
        Some(near) => problem.help(format!("did you mean `{near}`?")),
        None => problem.help(format!("write {wanted}, such as `{}`", sample(wanted, thing))),
    }
}

/// What lasts as long as a show is said in hours.
fn sample(wanted: Dimension, thing: &str) -> &'static str {
    if thing == LASTING { "3 h" } else { wanted.sample() }
}
