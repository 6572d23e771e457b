//! Words, numbers, names, lists and texts: what every row is made of.
//! Whether a name exists or a number fits is not asked here.

use super::super::ast::{Date, Dotted, Name, Numbers, Range, Term, Terms, Text, Time};
use super::super::significant::{Sig, Spanned, is_control, nfc, shortened};
use super::super::tokens::TokenKind;
use super::problem::{Problem, Want};
use crate::diagnostics::{Diagnostic, Edit};
use crate::source::{At, Span};
use chumsky::input::{InputRef, MappedInput};
use chumsky::prelude::*;

pub(in crate::syntax) type Tokens<'t> = MappedInput<'t, Sig<'t>, Span, &'t [Spanned<'t>]>;
pub(super) type Extra = extra::Err<Problem>;
/// A production, boxed: it is built once a file and is cheap to clone.
pub(super) type Rule<'t, T> = Boxed<'t, 't, Tokens<'t>, T, Extra>;
pub(super) type Reader<'t, 'p> = InputRef<'t, 'p, Tokens<'t>, Extra>;

/// The tokens that are left in the row.
pub(super) fn rest<'t>(inp: &mut Reader<'t, '_>) -> &'t [Spanned<'t>] {
    let here = inp.cursor();
    inp.slice_from(&here..)
}

pub(super) fn next_is(inp: &mut Reader<'_, '_>, word: &str) -> bool {
    rest(inp).first().is_some_and(|(sig, _)| sig.is_word(word))
}

pub(super) fn kind_at(rest: &[Spanned<'_>], at: usize) -> Option<TokenKind> {
    rest.get(at).map(|(sig, _)| sig.kind)
}

/// "expected …" at the next token.
pub(super) fn wanted_here(inp: &mut Reader<'_, '_>, wanted: Vec<Want>) -> Problem {
    let before = inp.cursor();
    let found = inp.next().map(|sig| sig.kind);
    Problem::wanted(wanted, found, inp.span_since(&before))
}

fn is(sig: &Sig<'_>, kind: TokenKind) -> bool {
    sig.kind == kind
}

pub(super) fn kw<'t>(word: &'static str) -> Rule<'t, Span> {
    select! { sig if Sig::is_word(&sig, word) => () }
        .map_with(|(), extra| extra.span())
        .labelled(Want::Word(word))
        .boxed()
}

/// Two or more words of the language in a row.
pub(super) fn kws<'t>(words: &[&'static str]) -> Rule<'t, Span> {
    let mut words = words.iter();
    let first = words.next().copied().unwrap_or("");
    words.fold(kw(first), |so_far, word| so_far.then(kw(word)).map(|(a, b): (Span, Span)| a.to(b)).boxed())
}

/// `word` and what must follow it, or nothing.
pub(super) fn when<'t, T: 't>(word: &'static str, then: Rule<'t, T>) -> Rule<'t, Option<T>> {
    custom(move |inp: &mut Reader<'t, '_>| {
        if !next_is(inp, word) {
            return Ok(None);
        }
        inp.skip();
        inp.parse(&then).map(Some)
    })
    .boxed()
}

pub(super) fn flag<'t>(word: &'static str) -> Rule<'t, Option<Span>> {
    kw(word).or_not().boxed()
}

/// Items joined by commas, or by a word. After the joint an item must follow.
pub(super) fn joined<'t, T: 't>(item: Rule<'t, T>, by: Option<&'static str>) -> Rule<'t, Vec<T>> {
    custom(move |inp: &mut Reader<'t, '_>| {
        let mut items = vec![inp.parse(&item)?];
        while rest(inp).first().is_some_and(|(sig, _)| match by {
            None => sig.kind == TokenKind::Comma,
            Some(word) => sig.is_word(word),
        }) {
            inp.skip();
            items.push(inp.parse(&item)?);
        }
        Ok(items)
    })
    .boxed()
}

pub(super) fn list<'t, T: 't>(item: Rule<'t, T>) -> Rule<'t, Vec<T>> {
    joined(item, None)
}

pub(super) fn name<'t>(thing: &'static str) -> Rule<'t, Name> {
    select! { sig if is(&sig, TokenKind::Word) => sig.text }
        .map_with(|text: &str, extra| At::new(nfc(text), extra.span()))
        .labelled(Want::Thing(thing))
        .boxed()
}

/// One of a few words, each with what it means.
pub(super) fn one_of_words<'t, T: Copy + 't>(words: &'static [(&'static str, T)]) -> Rule<'t, At<T>> {
    custom(move |inp: &mut Reader<'t, '_>| {
        let found = rest(inp).first().and_then(|(sig, span)| {
            let known = words.iter().find(|(word, _)| sig.is_word(word))?;
            Some(At::new(known.1, *span))
        });
        match found {
            Some(found) => {
                inp.skip();
                Ok(found)
            }
            None => Err(wanted_here(inp, words.iter().map(|(word, _)| Want::Word(word)).collect())),
        }
    })
    .boxed()
}

/// A whole number from 1.
pub(super) fn at_least_one<'t>(thing: &'static str) -> Rule<'t, At<u32>> {
    number(thing)
        .validate(move |number, _, emitter| {
            if number.value == 0 {
                let told = Diagnostic::error("bad-number", number.span, format!("{thing} is at least 1"));
                emitter.emit(Problem::said(told.help("write how many belong together, such as `8`")));
            }
            At::new(number.value.max(1), number.span)
        })
        .boxed()
}

/// A whole number.
pub(super) fn number<'t>(thing: &'static str) -> Rule<'t, At<u32>> {
    select! { sig if is(&sig, TokenKind::Number) => sig.text }
        .labelled(Want::Thing(thing))
        .validate(|text: &str, extra, emitter| {
            let span: Span = extra.span();
            At::new(
                whole(text, span).unwrap_or_else(|problem| {
                    emitter.emit(problem);
                    whole_part(text)
                }),
                span,
            )
        })
        .boxed()
}

fn whole(text: &str, span: Span) -> Result<u32, Problem> {
    text.parse().map_err(|_| {
        let message = match text.contains('.') {
            true => format!("`{text}` is not a whole number"),
            false => format!("`{}` is far too large", shortened(text)),
        };
        Problem::said(Diagnostic::error("bad-number", span, message).help("write a whole number, such as `12`"))
    })
}

/// `12`, `1-8`
pub(super) fn range<'t>(thing: &'static str) -> Rule<'t, Range> {
    custom(move |inp: &mut Reader<'t, '_>| {
        let left = rest(inp);
        let before = inp.cursor();
        match left {
            [(sig, span), ..] if sig.kind == TokenKind::Range => {
                inp.skip();
                let (first, last) = sig.text.split_once(['-', '\u{2013}']).unwrap_or((sig.text, sig.text));
                ascending(inp, first, last, *span)
            }
            [(first, _), (dash, _), (last, _), ..]
                if (first.kind, dash.kind, last.kind) == (TokenKind::Number, TokenKind::Dash, TokenKind::Number) =>
            {
                inp.skip();
                inp.skip();
                inp.skip();
                let span = inp.span_since(&before);
                let right = format!("{}-{}", first.text, last.text);
                let diagnostic = Diagnostic::error("bad-range", span, "a range takes no blanks")
                    .help(format!("write `{right}`"))
                    .fix("take the blanks out", vec![Edit { span, text: right }], true);
                inp.emit(Problem::said(diagnostic));
                ascending(inp, first.text, last.text, span)
            }
            [(sig, span), ..] if sig.kind == TokenKind::Number => {
                inp.skip();
                let only = read_whole(inp, sig.text, *span);
                Ok(Range { first: only, last: only, span: *span })
            }
            _ => Err(wanted_here(inp, vec![Want::Thing(thing)])),
        }
    })
    .boxed()
}

fn read_whole(inp: &mut Reader<'_, '_>, text: &str, span: Span) -> u32 {
    whole(text, span).unwrap_or_else(|problem| {
        inp.emit(problem);
        whole_part(text)
    })
}

/// What `1.5` goes on as, so that only the number itself is told; 0 for what is far too large.
fn whole_part(text: &str) -> u32 {
    text.split('.').next().and_then(|whole| whole.parse().ok()).unwrap_or(0)
}

fn ascending(inp: &mut Reader<'_, '_>, first: &str, last: &str, span: Span) -> Result<Range, Problem> {
    let (first, last) = (read_whole(inp, first, span), read_whole(inp, last, span));
    if first <= last {
        return Ok(Range { first, last, span });
    }
    let right = format!("{last}-{first}");
    let diagnostic = Diagnostic::error("bad-range", span, format!("this range counts down, from {first} to {last}"))
        .help(format!("write `{right}`"))
        .fix(format!("write `{right}`"), vec![Edit { span, text: right }], false);
    inp.emit(Problem::said(diagnostic));
    Ok(Range { first: last, last: first, span })
}

pub(super) fn numbers<'t>(thing: &'static str) -> Rule<'t, Numbers> {
    list(range(thing)).map_with(|ranges, extra| Numbers { ranges, span: extra.span() }).boxed()
}

/// `foh.local`, `toms.1`. Dots take no blanks.
pub(super) fn dotted<'t>(thing: &'static str) -> Rule<'t, Dotted> {
    let first = name(thing);
    custom(move |inp: &mut Reader<'t, '_>| {
        let before = inp.cursor();
        let mut parts = vec![inp.parse(&first)?];
        while let [(dot, at), (part, span), ..] = rest(inp) {
            if dot.kind != TokenKind::Dot || !matches!(part.kind, TokenKind::Word | TokenKind::Number) {
                break;
            }
            inp.skip();
            inp.skip();
            if !dot.glued || !part.glued {
                inp.emit(Problem::said(Diagnostic::error("unreadable-row", *at, "a dotted name takes no blanks")));
            }
            // `2.4` after a dot is two parts.
            parts.extend(part.text.split('.').map(|text| At::new(nfc(text), *span)));
        }
        Ok(Dotted { parts, span: inp.span_since(&before) })
    })
    .boxed()
}

/// `main 1-2`, `drums`. A `48 V` after a name is phantom power, not a point.
pub(super) fn term<'t>(thing: &'static str) -> Rule<'t, Term> {
    let (name, range) = (dotted(thing), range("a number"));
    custom(move |inp: &mut Reader<'t, '_>| {
        let before = inp.cursor();
        let name = inp.parse(&name)?;
        let left = rest(inp);
        let numbered = matches!(kind_at(left, 0), Some(TokenKind::Number | TokenKind::Range));
        let range = if numbered && !is_volts(left) { Some(inp.parse(&range)?) } else { None };
        Ok(Term { name: Some(name), range, span: inp.span_since(&before) })
    })
    .boxed()
}

/// `48 V`, with a blank.
pub(super) fn is_volts(rest: &[Spanned<'_>]) -> bool {
    matches!(rest, [(number, _), (unit, _), ..] if number.kind == TokenKind::Number && number.text == "48" && unit.is_word("V"))
}

/// `kick-in, main 1-2`, `foh.out 1-2, 5`
pub(super) fn terms<'t>(thing: &'static str) -> Rule<'t, Terms> {
    let (term, range) = (term(thing), range(thing));
    custom(move |inp: &mut Reader<'t, '_>| {
        let before = inp.cursor();
        let mut terms = vec![inp.parse(&term)?];
        while kind_at(rest(inp), 0) == Some(TokenKind::Comma) {
            inp.skip();
            let numbered = matches!(kind_at(rest(inp), 0), Some(TokenKind::Number | TokenKind::Range));
            let in_a_bank = terms.last().is_some_and(|last| last.range.is_some());
            terms.push(if numbered && in_a_bank {
                let range = inp.parse(&range)?;
                Term { name: None, span: range.span, range: Some(range) }
            } else {
                inp.parse(&term)?
            });
        }
        Ok(Terms { terms, span: inp.span_since(&before) })
    })
    .boxed()
}

pub(super) fn text<'t>(thing: &'static str) -> Rule<'t, Text> {
    select! { sig if is(&sig, TokenKind::Text) => sig.text }
        .labelled(Want::Thing(thing))
        .validate(|text: &str, extra, emitter| {
            let span: Span = extra.span();
            let (value, closed) = unquoted(text);
            if !closed {
                emitter.emit(Problem::said(unclosed(text, span)));
            }
            At::new(value, span)
        })
        .boxed()
}

/// What stands between the quotes; control characters are read as blanks.
fn unquoted(text: &str) -> (String, bool) {
    let mut inside = text.chars();
    let open = inside.next();
    let rest = inside.as_str();
    let closed = rest.ends_with(if open == Some('"') { &['"'][..] } else { &['\u{201c}', '\u{201d}'][..] });
    let mut inside = rest.chars();
    if closed {
        inside.next_back();
    }
    (inside.as_str().trim_end_matches('\r').chars().map(|c| if is_control(c) { ' ' } else { c }).collect(), closed)
}

fn unclosed(text: &str, span: Span) -> Diagnostic {
    let quote = if text.starts_with('"') { "\"" } else { "\u{201d}" };
    let put = Span { start: span.end, ..span };
    Diagnostic::error("unclosed-text", span, "this text is not closed on its line")
        .help(format!("write {quote} where the text ends"))
        .fix("close it at the end of the line", vec![Edit { span: put, text: quote.to_string() }], false)
}

/// `None` where there is no such day.
pub(super) fn date<'t>() -> Rule<'t, Option<At<Date>>> {
    select! { sig if is(&sig, TokenKind::Date) => sig.text }
        .labelled(Want::Thing("a date such as 2026-07-04"))
        .validate(|text: &str, extra, emitter| {
            let span: Span = extra.span();
            let date = calendar(text);
            if date.is_none() {
                let message = format!("`{text}` is no day of the calendar");
                let diagnostic = Diagnostic::error("bad-date", span, message);
                emitter.emit(Problem::said(diagnostic.help("a date is year-month-day, such as `2026-07-04`")));
            }
            date.map(|date| At::new(date, span))
        })
        .boxed()
}

fn calendar(text: &str) -> Option<Date> {
    let mut parts = text.split('-');
    let date = Date {
        year: parts.next()?.parse().ok()?,
        month: parts.next()?.parse().ok()?,
        day: parts.next()?.parse().ok()?,
    };
    let leap = date.year % 4 == 0 && (date.year % 100 != 0 || date.year % 400 == 0);
    let days = match date.month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 => 28 + u8::from(leap),
        _ => 0,
    };
    (1..=days).contains(&date.day).then_some(date)
}

pub(super) fn time<'t>() -> Rule<'t, At<Time>> {
    select! { sig if is(&sig, TokenKind::Time) => sig.text }
        .labelled(Want::Thing("a time such as 14:05"))
        .validate(|text: &str, extra, emitter| {
            let span: Span = extra.span();
            let minutes = clock_time(text);
            if minutes.is_none() {
                let diagnostic = Diagnostic::error("bad-time", span, format!("`{text}` is no time of the day"));
                emitter.emit(Problem::said(diagnostic.help("times run from `00:00` to `23:59`")));
            }
            At::new(Time(minutes.unwrap_or(0)), span)
        })
        .boxed()
}

fn clock_time(text: &str) -> Option<u16> {
    let (hours, minutes) = text.split_once(':')?;
    let (hours, minutes): (u16, u16) = (hours.parse().ok()?, minutes.parse().ok()?);
    (hours < 24 && minutes < 60).then_some(hours * 60 + minutes)
}
