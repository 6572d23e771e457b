//! `change` and `without`: what they name, and what a change may say of it.

use super::super::ast::{Attr, AttrKind, StatementKind, What};
use super::super::significant::Spanned;
use super::super::tokens::TokenKind;
use super::super::words::{CHANGE_TARGETS, DEVICE_WORDS};
use super::attributes::{Loose, Vocabulary, attributes};
use super::basics::{Reader, Rule, dotted, kind_at, kw, name, numbers, one_of_words, rest, term, wanted_here, when};
use super::gear::{DEVICES, cable_words, device_words};
use super::lists::{input_words, mic, output_words, personal_words};
use super::problem::{Problem, Want};
use super::quantities::quantity;
use super::values::{with_no, words};
use crate::diagnostics::{Diagnostic, Edit, nearest};
use crate::quantity::Dimension;
use crate::source::Span;
use chumsky::prelude::*;
use std::collections::HashMap;
use std::rc::Rc;

type Change<'t> = Rule<'t, (What, Vec<Attr>)>;

/// `change input kick-in from stage-left 13`
pub(super) fn change<'t>() -> Rule<'t, StatementKind> {
    let mut table: HashMap<&'static str, Change<'t>> = targets();
    table.remove("act");
    table.remove("record");
    let vocabularies = [
        ("input", Vocabulary::new("an input", Loose::Nothing, with_no(input_words(), &["channel"]))),
        ("output", Vocabulary::new("an output", Loose::Nothing, with_no(output_words(), &[]))),
        ("personal", Vocabulary::new("a personal feed", Loose::Nothing, with_no(personal_words(), &["of"]))),
        ("link", Vocabulary::new("a link", Loose::Nothing, with_no(cable_words(), &[]))),
        ("loom", Vocabulary::new("a loom", Loose::Nothing, with_no(cable_words(), &["to"]))),
        ("group", Vocabulary::new("a group", Loose::Nothing, words(&["of"], Vec::new()))),
    ];
    for (word, vocabulary) in vocabularies {
        let vocabulary = Rc::new(vocabulary);
        let Some(target) = table.remove(word) else { continue };
        let head = if word == "input" { mic(vocabulary.clone()) } else { empty().to(None).boxed() };
        let rule = target.then(head).then(attributes(vocabulary));
        let rule = rule.map(|(((what, _), mic), attrs)| (what, mic.into_iter().chain(attrs).collect()));
        table.insert(word, rule.boxed());
    }
    table.extend(devices());
    table.insert("rate", rate());
    table.insert("clock", clock());
    after("change", table).map(|(what, attrs)| StatementKind::Change { what, attrs }).boxed()
}

/// `without input click`
pub(super) fn without<'t>() -> Rule<'t, StatementKind> {
    let mut table = targets();
    table.extend(DEVICE_WORDS.iter().map(|word| (*word, device())));
    after("without", table).map(|(what, _)| StatementKind::Without { what }).boxed()
}

/// The statement's word, then a word of the table with its rule.
fn after<'t>(word: &'static str, table: HashMap<&'static str, Change<'t>>) -> Change<'t> {
    let head = kw(word);
    custom(move |inp: &mut Reader<'t, '_>| {
        inp.parse(&head)?;
        let first = rest(inp).first().filter(|(sig, _)| sig.kind == TokenKind::Word);
        let Some((sig, span)) = first else {
            return Err(wanted_here(inp, vec![Want::Thing("what it is about, such as `input` or `box`")]));
        };
        if let Some(rule) = table.get(sig.text) {
            return inp.parse(rule);
        }
        let message = format!("`{}` is nothing that `{word}` can name", sig.text);
        let diagnostic = Diagnostic::error("unreadable-row", *span, message);
        if ["expect", "keep", "allow", "set"].contains(&sig.text) {
            let help =
                format!("`{0}` has no name: move its line out of this rig, into the venues where it holds", sig.text);
            return Err(Problem::said(diagnostic.help(help)));
        }
        let noun = noun_meant(rest(inp));
        Err(Problem::said(match nearest(sig.text, table.keys().copied()) {
            Some(near) if noun.as_ref().is_none_or(|(noun, _)| *noun != "output") => diagnostic.near(*span, Some(near)),
            _ => {
                let (noun, name) = noun.unwrap_or(("input", sig.text.to_string()));
                let put = Edit { span: Span { end: span.start, ..*span }, text: format!("{noun} ") };
                diagnostic.help(format!("write the kind of thing first: `{word} {noun} {name} …`")).fix(
                    format!("write `{noun}`"),
                    vec![put],
                    false,
                )
            }
        }))
    })
    .boxed()
}

/// What somebody means who leaves the kind of thing out, and its name: `mix 2` is an output, and what has a
/// model, a port or an offset is gear.
fn noun_meant(left: &[Spanned<'_>]) -> Option<(&'static str, String)> {
    let dots = |at: usize| kind_at(left, at) == Some(TokenKind::Dot);
    let parts = (1..).step_by(2).take_while(|at| dots(*at)).count();
    let name: String = left.iter().take(2 * parts + 1).map(|(sig, _)| sig.text).collect();
    let after = left.get(2 * parts + 1..).unwrap_or_default();
    if let Some((number, _)) =
        after.first().filter(|(sig, _)| sig.kind == TokenKind::Number || sig.kind == TokenKind::Range)
    {
        return Some(("output", format!("{name} {}", number.text)));
    }
    let said =
        |words: &[&str]| after.iter().position(|(sig, _)| sig.kind == TokenKind::Word && words.contains(&sig.text));
    let model = said(&["is"]).and_then(|at| after.get(at + 1)).map_or("", |(sig, _)| sig.text);
    let gear = said(&["is", "on", "offset", "slot", "cable", "redundant"]);
    match gear {
        Some(_) if model.starts_with("desk") => Some(("desk", name)),
        Some(_) => Some(("box", name)),
        None => Some(("input", name)).filter(|_| !after.is_empty()),
    }
}

/// All that is named without attributes.
fn targets<'t>() -> HashMap<&'static str, Change<'t>> {
    let bare = |rule: Rule<'t, What>| rule.map(|what| (what, Vec::new())).boxed();
    CHANGE_TARGETS.iter().filter_map(|word| Some((*word, bare(target(word)?)))).collect()
}

fn target<'t>(word: &'static str) -> Option<Rule<'t, What>> {
    let after = kw(word);
    Some(match word {
        "input" => after.ignore_then(dotted("an input's name")).map(What::Input).boxed(),
        "output" => output(),
        "personal" => personal(),
        "link" => after
            .ignore_then(dotted("a port"))
            .then(when("to", dotted("a port")))
            .map(|(from, to)| What::Link { from, to })
            .boxed(),
        "loom" => after.ignore_then(dotted("where the loom begins")).map(|from| What::Loom { from }).boxed(),
        "group" => after.ignore_then(name("a group")).map(What::Group).boxed(),
        "act" => after.ignore_then(name("an act")).map(What::Act).boxed(),
        "record" => after.map(What::Record).boxed(),
        "rate" => after.map(What::Rate).boxed(),
        "clock" => after.map(What::Clock).boxed(),
        _ => return None,
    })
}

/// `output mix 1`: a bank without a number is no output.
fn output<'t>() -> Rule<'t, What> {
    let (head, term) = (kw("output"), term("a bank such as `mix`"));
    custom(move |inp: &mut Reader<'t, '_>| {
        inp.parse(&head)?;
        let term = inp.parse(&term)?;
        if term.range.is_none() {
            return Err(wanted_here(inp, vec![Want::Thing("the output's number")]));
        }
        Ok(What::Output(term))
    })
    .boxed()
}

fn personal<'t>() -> Rule<'t, What> {
    let (head, desk, feeds) = (kw("personal"), name("a desk"), numbers("a feed's number"));
    custom(move |inp: &mut Reader<'t, '_>| {
        inp.parse(&head)?;
        let named = kind_at(rest(inp), 0) == Some(TokenKind::Word);
        let desk = if named { Some(inp.parse(&desk)?) } else { None };
        Ok(What::Personal { desk, numbers: inp.parse(&feeds)? })
    })
    .boxed()
}

fn device<'t>() -> Change<'t> {
    one_of_words(DEVICES)
        .then(name("the device's name"))
        .map(|(word, name)| (What::Device { word, name }, Vec::new()))
        .boxed()
}

fn devices<'t>() -> Vec<(&'static str, Change<'t>)> {
    let vocabulary = |loose| Rc::new(Vocabulary::new("a device", loose, with_no(device_words(), &[])));
    let rule = |loose| {
        let rule = device().then(attributes(vocabulary(loose)));
        rule.map(|((what, _), attrs)| (what, attrs)).boxed()
    };
    let (inside, outside): (Change<'t>, Change<'t>) = (rule(Loose::Mode), rule(Loose::Bank));
    let pick = |word: &str| if word == "outside" { outside.clone() } else { inside.clone() };
    DEVICE_WORDS.iter().map(|word| (*word, pick(word))).collect()
}

/// `rate 96 kHz`
fn rate<'t>() -> Change<'t> {
    kw("rate")
        .then(quantity(Dimension::Frequency, "a sample rate"))
        .map(|(word, rate)| {
            let attr = Attr { span: rate.span, kind: AttrKind::Quantity(rate) };
            (What::Rate(word), vec![attr])
        })
        .boxed()
}

/// `clock monitors`
fn clock<'t>() -> Change<'t> {
    kw("clock")
        .then(name("a device"))
        .map(|(word, name)| {
            let attr = Attr { span: name.span, kind: AttrKind::Is(name) };
            (What::Clock(word), vec![attr])
        })
        .boxed()
}
