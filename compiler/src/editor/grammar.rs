//! What may come next in a row, by the written grammar: its page is read here, so that what an editor offers
//! is never a second grammar. A token that fits nowhere is passed over, as the parser passes over it.

use crate::syntax::TokenKind;
use std::collections::{BTreeMap, BTreeSet};
use std::iter::{Copied, Peekable};
use std::slice::Iter;
use std::sync::OnceLock;

const PAGE: &str = include_str!("../../../grammar/grammar.md");

/// Parts that mean what the place they are used in means.
const BASICS: &[&str] =
    &["numbers", "number-or-range", "dotted", "point", "points", "names", "quantity", "unit", "place-name"];

/// What one token of a row may be.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Sign {
    Word(&'static str),
    Name,
    Number,
    Range,
    Text,
    Date,
    Time,
}

/// A token that the grammar has, and where it has it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Want {
    pub sign: Sign,
    /// The part of the page, but for those that mean nothing of their own.
    pub part: &'static str,
    /// The language's word before it in that part; empty before the first.
    pub word: &'static str,
    /// How many names, numbers and lists stand between that word and this.
    pub nth: u8,
    /// The word that the attribute begins with that this belongs to; empty outside attributes.
    pub head: &'static str,
    /// It may begin an attribute.
    pub opens: bool,
    /// It is a part of a list, a point or a quantity.
    pub inner: bool,
    /// It is a unit, or a part of one.
    pub unit: bool,
}

/// Tokens as the grammar sees them.
pub(super) type Said<'t> = (TokenKind, &'t str);

/// How far a row has come.
pub(super) struct Next {
    /// What may come now, in the page's order.
    pub wants: Vec<Want>,
    /// What the last token was.
    pub last: Vec<Want>,
}

#[derive(Debug)]
enum Part {
    Word(&'static str),
    Rule(&'static str),
    All(Vec<Part>),
    OneOf(Vec<Part>),
    Maybe(Box<Part>),
    Many(Box<Part>),
}

type Rules = BTreeMap<&'static str, Part>;

/// One sort of row as a machine of forks and tokens.
#[derive(Default)]
pub(super) struct Row {
    nodes: Vec<Node>,
    start: usize,
}

enum Node {
    End,
    Take(Want, usize),
    Fork(Vec<usize>),
}

const END: usize = 0;

/// The sorts of rows, by their names on the page.
pub(super) const ROWS: &[&str] = &[
    "statement",
    "act-statement",
    "input-row",
    "output-row",
    "personal-row",
    "carrier-row",
    "kind-row",
    "mic-row",
    "model-row",
];

/// A sort of row by its name on the page.
pub(super) fn row(name: &str) -> Option<&'static Row> {
    static KNOWN: OnceLock<BTreeMap<&'static str, Row>> = OnceLock::new();
    let known = KNOWN.get_or_init(|| {
        let rules = rules();
        ROWS.iter().map(|name| (*name, Row::of(&rules, name))).collect()
    });
    known.get(name)
}

fn rules() -> Rules {
    let mut rules: Vec<Vec<&'static str>> = Vec::new();
    let mut inside = false;
    for line in PAGE.lines() {
        match rules.last_mut() {
            _ if line.starts_with("```") => inside = line == "```ebnf",
            Some(rule) if inside && line.starts_with(' ') => rule.extend(line.split_whitespace()),
            _ if inside => rules.push(line.split_whitespace().collect()),
            _ => {}
        }
    }
    let rule = |signs: &Vec<&'static str>| match signs.as_slice() {
        [name, "=", body @ ..] => Some((*name, one_of(&mut body.iter().copied().peekable()))),
        _ => None,
    };
    rules.iter().filter_map(rule).collect()
}

type Signs<'s> = Peekable<Copied<Iter<'s, &'static str>>>;

fn one_of(signs: &mut Signs<'_>) -> Part {
    let mut ways = vec![all(signs)];
    while signs.next_if_eq(&"|").is_some() {
        ways.push(all(signs));
    }
    if ways.len() > 1 { Part::OneOf(ways) } else { ways.pop().unwrap_or(Part::All(Vec::new())) }
}

fn all(signs: &mut Signs<'_>) -> Part {
    let mut parts = Vec::new();
    while let Some(sign) = signs.next_if(|sign| !["|", ")", "]", "}"].contains(sign)) {
        parts.push(match sign {
            "(" => closed(signs),
            "[" => Part::Maybe(Box::new(closed(signs))),
            "{" => Part::Many(Box::new(closed(signs))),
            word if word.starts_with('"') => Part::Word(word.trim_matches('"')),
            rule => Part::Rule(rule),
        });
    }
    if parts.len() == 1 { parts.pop().unwrap_or(Part::All(Vec::new())) } else { Part::All(parts) }
}

fn closed(signs: &mut Signs<'_>) -> Part {
    let part = one_of(signs);
    signs.next();
    part
}

fn sign(name: &str) -> Option<Sign> {
    Some(match name {
        "name" => Sign::Name,
        "number" => Sign::Number,
        "range" => Sign::Range,
        "text" => Sign::Text,
        "date" => Sign::Date,
        "time" => Sign::Time,
        _ => return None,
    })
}

/// The word that a part is, or the first of those that it is one of.
fn word_of(part: &Part) -> Option<&'static str> {
    match part {
        Part::Word(word) => Some(word),
        Part::OneOf(ways) if ways.iter().all(|way| matches!(way, Part::Word(_))) => ways.first().and_then(word_of),
        _ => None,
    }
}

impl Row {
    fn of(rules: &Rules, name: &'static str) -> Row {
        let mut row = Row { nodes: vec![Node::End], start: END };
        let here =
            Want { sign: Sign::Name, part: "", word: "", nth: 0, head: "", opens: false, inner: false, unit: false };
        row.start = row.rule(rules, name, END, here);
        row
    }

    fn add(&mut self, node: Node) -> usize {
        self.nodes.push(node);
        self.nodes.len() - 1
    }

    /// The node where a part begins that goes on at `next`.
    fn build(&mut self, rules: &Rules, part: &Part, next: usize, here: Want) -> usize {
        match part {
            Part::Word(word) => {
                let head = if here.opens && here.head.is_empty() { word } else { here.head };
                self.add(Node::Take(Want { sign: Sign::Word(word), head, ..here }, next))
            }
            Part::Rule(rule) => self.rule(rules, rule, next, here),
            Part::All(parts) => self.all(rules, parts, next, here),
            Part::OneOf(ways) => {
                let ways = ways.iter().map(|way| self.build(rules, way, next, here)).collect();
                self.add(Node::Fork(ways))
            }
            Part::Maybe(part) => {
                let inside = self.build(rules, part, next, here);
                self.add(Node::Fork(vec![inside, next]))
            }
            Part::Many(part) => {
                let again = self.add(Node::Fork(Vec::new()));
                let opens = here.head.is_empty() && !here.inner && first_word(part).is_none_or(is_a_word);
                let inside = self.build(rules, part, again, Want { opens, ..here });
                if let Some(node) = self.nodes.get_mut(again) {
                    *node = Node::Fork(vec![inside, next]);
                }
                again
            }
        }
    }

    fn rule(&mut self, rules: &Rules, rule: &'static str, next: usize, here: Want) -> usize {
        if let Some(sign) = sign(rule) {
            return self.add(Node::Take(Want { sign, ..here }, next));
        }
        let Some(part) = rules.get(rule) else { return next };
        let here = match BASICS.contains(&rule) {
            true => Want { unit: here.unit || rule == "unit", inner: true, ..here },
            false => Want { part: rule, word: "", nth: 0, inner: false, ..here },
        };
        self.build(rules, part, next, here)
    }

    /// Parts one after the other; what stands behind `{` are rows of their own.
    fn all(&mut self, rules: &Rules, parts: &[Part], next: usize, here: Want) -> usize {
        let (mut here, mut next, mut steps) = (here, next, Vec::new());
        for part in parts {
            let word = word_of(part);
            if let Some(word) = word.filter(|_| here.opens && here.head.is_empty()) {
                here.head = word;
            }
            steps.push((part, here));
            match word {
                _ if here.inner => {}
                Some(word) if is_a_word(word) => (here.word, here.nth) = (word, 0),
                Some(_) => {}
                None => here.nth += 1,
            }
            here.opens = false;
            if matches!(part, Part::Word("{")) {
                next = END;
                break;
            }
        }
        steps.into_iter().rev().fold(next, |next, (part, here)| self.build(rules, part, next, here))
    }

    /// The tokens that can be taken from these nodes, in the page's order.
    fn open(&self, from: &[usize]) -> Vec<usize> {
        self.takes(from, false)
    }

    /// The tokens on from these nodes; `through` them too, else only the first on each way.
    fn takes(&self, from: &[usize], through: bool) -> Vec<usize> {
        let mut seen = vec![false; self.nodes.len()];
        let (mut out, mut left): (Vec<usize>, Vec<usize>) = (Vec::new(), from.iter().rev().copied().collect());
        while let Some(at) = left.pop() {
            if seen.get_mut(at).is_none_or(|seen| std::mem::replace(seen, true)) {
                continue;
            }
            match self.nodes.get(at) {
                Some(Node::Fork(ways)) => left.extend(ways.iter().rev()),
                Some(Node::Take(_, next)) => {
                    out.push(at);
                    left.extend(through.then_some(*next));
                }
                _ => {}
            }
        }
        out
    }

    fn want(&self, at: usize) -> Option<&Want> {
        match self.nodes.get(at) {
            Some(Node::Take(want, _)) => Some(want),
            _ => None,
        }
    }

    fn fitting(&self, open: &[usize], fits: impl Fn(&Want) -> bool) -> Vec<usize> {
        open.iter().copied().filter(|at| self.want(*at).is_some_and(&fits)).collect()
    }

    /// Takes tokens, one after the other. A word of the language counts as one wherever it can stand.
    fn walk(&self, said: &[Said<'_>]) -> Walk {
        let mut walk = Walk { open: self.open(&[self.start]), last: Vec::new(), passed: BTreeSet::new() };
        for (kind, text) in said {
            let is_word = |want: &Want| matches!(want.sign, Sign::Word(word) if word == *text);
            let words = match kind {
                TokenKind::Text => Vec::new(),
                _ => self.fitting(&walk.open, is_word),
            };
            let taken = if words.is_empty() { self.fitting(&walk.open, |want| is(want.sign, *kind)) } else { words };
            if taken.is_empty() {
                continue;
            }
            let next = taken.iter().filter_map(|at| match self.nodes.get(*at) {
                Some(Node::Take(_, next)) => Some(*next),
                _ => None,
            });
            walk.open = self.open(&next.collect::<Vec<_>>());
            walk.passed.extend(&taken);
            walk.last = taken;
        }
        walk
    }

    /// What may come after these tokens.
    pub(super) fn after(&self, said: &[Said<'_>]) -> Next {
        let walk = self.walk(said);
        let wants = |nodes: &[usize]| nodes.iter().filter_map(|at| self.want(*at)).copied().collect();
        Next { wants: wants(&walk.open), last: wants(&walk.last) }
    }

    /// What these tokens are, and all that may come at any time after them, in the page's order.
    pub(super) fn whole(&self, said: &[Said<'_>]) -> Vec<Want> {
        let walk = self.walk(said);
        let may: BTreeSet<usize> = walk.passed.into_iter().chain(self.reached(&walk.open)).collect();
        let all = self.reached(&[self.start]).into_iter().filter(|at| may.contains(at));
        all.filter_map(|at| self.want(at)).copied().collect()
    }

    /// Every token that can be taken from these nodes on, in the page's order.
    fn reached(&self, from: &[usize]) -> Vec<usize> {
        self.takes(from, true)
    }
}

/// Nodes of a row after some tokens.
struct Walk {
    /// Those that can be taken now.
    open: Vec<usize>,
    /// Those that the last token was taken by.
    last: Vec<usize>,
    /// Those of all tokens.
    passed: BTreeSet<usize>,
}

fn first_word(part: &Part) -> Option<&'static str> {
    match part {
        Part::All(parts) => parts.first().and_then(first_word),
        other => word_of(other),
    }
}

/// A word, and no comma or brace.
pub(super) fn is_a_word(word: &str) -> bool {
    word.starts_with(char::is_alphanumeric)
}

fn is(sign: Sign, kind: TokenKind) -> bool {
    matches!(
        (sign, kind),
        (Sign::Name, TokenKind::Word)
            | (Sign::Number, TokenKind::Number)
            | (Sign::Range, TokenKind::Range)
            | (Sign::Text, TokenKind::Text)
            | (Sign::Date, TokenKind::Date)
            | (Sign::Time, TokenKind::Time)
    )
}
