//! What may be written at a place: by the grammar, with the names and the free sockets of the show as it was
//! last compiled. It works on the text as it is now, in rows that are half written too.

mod known;
mod offers;
mod snippets;
mod sockets;
#[cfg(test)]
mod tests;

use super::grammar::{self, Row, Said, Sign};
use crate::Compiled;
use crate::quantity::Unit;
use crate::syntax::{Place, Token, TokenKind, place};
use known::{Known, Offer};
use std::collections::BTreeSet;
use std::ops::Range;

/// What is offered.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// A word of the language.
    Word,
    Unit,
    /// A socket, output or other number, free or used.
    Socket,
    /// A channel or feed that is free.
    Channel,
    Port,
    Bank,
    Device,
    Model,
    Source,
    Group,
    Act,
    Mic,
    Kind,
    Carrier,
    Rule,
    Use,
    File,
    /// A step on the way to a file.
    Folder,
    /// A whole row or block.
    Snippet,
}

impl Kind {
    /// In which order sorts of things are offered, a hundred apart at most.
    fn rank(self) -> usize {
        match self {
            Kind::Socket | Kind::Channel | Kind::Port | Kind::File | Kind::Unit => 0,
            Kind::Folder => 50,
            Kind::Snippet => 90,
            Kind::Source | Kind::Act => 100,
            Kind::Group => 110,
            Kind::Mic => 120,
            Kind::Kind | Kind::Carrier => 130,
            Kind::Bank => 140,
            Kind::Device => 150,
            Kind::Use => 180,
            Kind::Word => 200,
            Kind::Model | Kind::Rule => 210,
        }
    }
}

/// One thing to write.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Item {
    pub label: String,
    pub kind: Kind,
    /// In a few words: `free, 3 left`, `condenser on foh.channel 3`.
    pub detail: String,
    pub documentation: String,
    pub insert: Insert,
    /// The bytes that it takes the place of.
    pub replace: Range<usize>,
    /// Its place in the list.
    pub sort: usize,
    /// What is compared with what is being written.
    pub filter: String,
}

#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Insert {
    Text(String),
    /// With `${1:…}` where something is to be filled in.
    Snippet(String),
}

impl Item {
    /// The same for an editor that fills nothing in: a block's first word stays, a whole row does not.
    pub fn without_snippets(self) -> Option<Item> {
        let insert = match self.insert {
            Insert::Snippet(_) if self.label.contains(' ') => return None,
            Insert::Snippet(_) => Insert::Text(self.label.clone()),
            text => text,
        };
        Some(Item { insert, ..self })
    }
}

/// Names of files behind some steps.
pub type Files<'f> = dyn Fn(&str) -> Vec<String> + 'f;

/// A place in words.
struct Here<'t> {
    act: Option<&'t str>,
    /// What opens the block around it: `inputs`, `foh`.
    head: Vec<&'t str>,
    row: Vec<Said<'t>>,
    above: Vec<Said<'t>>,
    after: Vec<Said<'t>>,
}

/// Everything that may be written at a byte of a text. `show` is the last compiled show that has the file;
/// `files` are names that an `include` there could say behind the steps that it is given, `../shared/` or none:
/// files, and folders with a `/` behind.
pub fn complete(text: &str, offset: usize, show: Option<&Compiled>, files: &Files<'_>) -> Vec<Item> {
    let Some(place) = place(text, offset) else { return Vec::new() };
    let here = Here::of(text, &place);
    let known = show.map(|show| Known::of(show, here.act));
    let Some(row) = grammar::row(here.sort()) else { return Vec::new() };
    let next = row.after(&here.row);
    let offers = offers::Offers { here: &here, known: known.as_ref(), row, files };
    let mut found: Vec<Offer> = match place.in_text {
        true => offers.in_text(&next.wants, steps(text, &place.typed, offset)),
        false if text.get(place.typed.clone()).is_some_and(|typed| typed.starts_with(['"', '\u{201c}'])) => Vec::new(),
        false => next.wants.iter().flat_map(|want| offers.of(want)).collect(),
    };
    found.sort_by_key(|offer| offer.rank);
    let mut seen = BTreeSet::new();
    found.retain(|offer| seen.insert((offer.label.clone(), offer.snippet.is_some())));
    let replace = if place.in_text { inside(text, &place.typed) } else { place.typed.clone() };
    found.into_iter().enumerate().map(|(sort, offer)| item(offer, sort, replace.clone())).collect()
}

/// The row of a place, in the grammar and as it is said up to there.
pub(super) fn row_at<'t>(text: &'t str, place: &Place) -> Option<(&'static Row, Vec<Said<'t>>)> {
    let here = Here::of(text, place);
    Some((grammar::row(here.sort())?, here.row))
}

fn item(offer: Offer, sort: usize, replace: Range<usize>) -> Item {
    let Offer { label, kind, detail, doc, snippet, .. } = offer;
    let insert = snippet.map_or_else(|| Insert::Text(label.clone()), Insert::Snippet);
    Item { filter: label.clone(), label, kind, detail, documentation: doc, insert, replace, sort }
}

/// What stands between the first quote and a byte, up to the last step.
fn steps<'t>(text: &'t str, typed: &Range<usize>, offset: usize) -> &'t str {
    let said = text.get(inside(text, typed).start..offset).unwrap_or("");
    said.rfind('/').and_then(|last| said.get(..=last)).unwrap_or("")
}

/// What stands between the quotes of a text, closed or not.
fn inside(text: &str, typed: &Range<usize>) -> Range<usize> {
    let said = text.get(typed.clone()).unwrap_or("");
    let first = said.chars().next().map_or(0, char::len_utf8);
    let rest = said.get(first..).unwrap_or("");
    let last = rest.chars().next_back().filter(|last| ['"', '\u{201c}', '\u{201d}'].contains(last));
    typed.start + first..typed.end - last.map_or(0, char::len_utf8)
}

impl<'t> Here<'t> {
    fn of(text: &'t str, place: &Place) -> Here<'t> {
        let words = |head: &Vec<Token>| head.iter().map(|token| token.text(text)).collect::<Vec<_>>();
        let blocks: Vec<Vec<&str>> = place.blocks.iter().map(words).collect();
        let act = blocks.iter().find(|head| head.first() == Some(&"act")).and_then(|head| head.get(1));
        let said = |row: &[Token]| row.iter().flat_map(|token| said(token, text)).collect();
        Here {
            act: act.copied(),
            head: blocks.last().cloned().unwrap_or_default(),
            row: said(&place.row),
            above: said(&place.above),
            after: said(&place.after),
        }
    }

    /// Which sort of row it is, by its name in the grammar.
    fn sort(&self) -> &'static str {
        match self.head.first() {
            None => "statement",
            Some(&"act") => "act-statement",
            Some(&"inputs") => "input-row",
            Some(&"outputs") => "output-row",
            Some(&"personal") => "personal-row",
            Some(&"carrier") => "carrier-row",
            Some(&"kind") => "kind-row",
            Some(&"mic") => "mic-row",
            Some(&"model") => "model-row",
            Some(_) => "",
        }
    }

    /// The word at a place of the row.
    fn at(&self, nth: usize) -> Option<&'t str> {
        self.row.get(nth).map(|(_, text)| *text)
    }

    fn first(&self) -> &'t str {
        self.at(0).unwrap_or("")
    }

    fn last(&self) -> &'t str {
        self.row.last().map_or("", |(_, text)| *text)
    }

    /// Whether the row says a word of the language, before the place or behind it.
    fn says(&self, word: &str) -> bool {
        let is = |(kind, text): &Said<'_>| *text == word && *kind != TokenKind::Text;
        self.row.iter().skip(1).chain(&self.after).any(is)
    }

    /// The word after a word.
    fn after_word(&self, word: &str) -> Option<&'t str> {
        let at = self.row.iter().position(|(_, text)| *text == word)?;
        self.at(at + 1)
    }

    /// The name before the place, part by part: `foh`, `local`. Behind a comma the one that a list goes on in.
    fn dotted(&self) -> Vec<&'t str> {
        let kind = |at: usize| self.row.get(at).map(|(kind, _)| *kind);
        let mut end = self.row.len();
        let in_list = |kind| matches!(kind, TokenKind::Comma | TokenKind::Number | TokenKind::Range);
        while end.checked_sub(1).and_then(kind).is_some_and(in_list) {
            end -= 1;
        }
        if end.checked_sub(1).and_then(kind) == Some(TokenKind::Dot) {
            end -= 1;
        }
        let mut parts = Vec::new();
        while let Some(at) = end.checked_sub(1).filter(|at| kind(*at) == Some(TokenKind::Word)) {
            parts.extend(self.at(at));
            match at.checked_sub(1).filter(|dot| kind(*dot) == Some(TokenKind::Dot)) {
                Some(dot) => end = dot,
                None => break,
            }
        }
        parts.reverse();
        parts
    }
}

/// A token as the grammar sees it: `60m` is a number and a unit.
pub(super) fn said<'t>(token: &Token, text: &'t str) -> Vec<Said<'t>> {
    let word = token.text(text);
    let digits = word.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(word.len());
    match word.split_at_checked(digits) {
        Some((number, unit)) if token.kind == TokenKind::Word && digits > 0 && Unit::parse(unit).is_some() => {
            vec![(TokenKind::Number, number), (TokenKind::Word, unit)]
        }
        _ => vec![(token.kind, word)],
    }
}

/// How many points the numbers at a place of a row are: `1`, `3-4`, `5, 7`.
fn how_many(row: &[Said<'_>]) -> u32 {
    let numbers =
        row.iter().take_while(|(kind, _)| matches!(kind, TokenKind::Number | TokenKind::Range | TokenKind::Comma));
    numbers.fold(0, |sum, (_, text)| sum.saturating_add(last_of(text).map_or(0, |(first, last)| last + 1 - first)))
}

/// `12` and `1-8` as their first and last number.
fn last_of(text: &str) -> Option<(u32, u32)> {
    let (first, last) = text.split_once(['-', '\u{2013}']).unwrap_or((text, text));
    let (first, last) = (first.parse().ok()?, last.parse().ok()?);
    (first <= last && last < u32::MAX).then_some((first, last))
}

/// Whether a sign can be written as it stands.
fn plain(sign: Sign) -> Option<&'static str> {
    match sign {
        Sign::Word(word) if grammar::is_a_word(word) => Some(word),
        _ => None,
    }
}
