//! Holds `grammar/grammar.md` and the parser together. The page is read as a grammar here, by a small
//! recogniser that shares nothing with the parser but the tokens.

use fantail::diagnostics::Diagnostic;
use fantail::source::FileId;
use fantail::syntax::tokens::tokens;
use fantail::syntax::{Parsed, TokenKind, parse};
use fantail_tests::words::{LISTS, units};
use std::collections::{BTreeMap, BTreeSet, HashMap};

const PAGE: &str = include_str!("../../grammar/grammar.md");

/// The texts of the page's fenced blocks of one kind.
fn fenced(kind: &str) -> Vec<String> {
    let fence = format!("```{kind}\n");
    PAGE.split(&fence).skip(1).map(|after| after.split("```").next().unwrap().to_string()).collect()
}

#[derive(Clone, Debug)]
enum Part {
    Word(String),
    Rule(String),
    All(Vec<Part>),
    OneOf(Vec<Part>),
    Maybe(Box<Part>),
    Many(Box<Part>),
}

fn grammar() -> BTreeMap<String, Part> {
    let mut rules: Vec<String> = Vec::new();
    for line in fenced("ebnf").iter().flat_map(|block| block.lines()) {
        match line.starts_with(' ') {
            true => rules.last_mut().unwrap().push_str(line),
            false => rules.push(line.to_string()),
        }
    }
    let mut out = BTreeMap::new();
    for rule in rules {
        let (name, body) = rule.split_once(" = ").unwrap_or_else(|| panic!("no production: {rule}"));
        let signs: Vec<&str> = body.split_whitespace().collect();
        let mut at = 0;
        let part = one_of(&signs, &mut at);
        assert_eq!(at, signs.len(), "{rule}");
        assert!(out.insert(name.to_string(), part).is_none(), "{name} is written twice");
    }
    out
}

fn one_of(signs: &[&str], at: &mut usize) -> Part {
    let mut ways = vec![all(signs, at)];
    while signs.get(*at) == Some(&"|") {
        *at += 1;
        ways.push(all(signs, at));
    }
    if ways.len() == 1 { ways.remove(0) } else { Part::OneOf(ways) }
}

fn all(signs: &[&str], at: &mut usize) -> Part {
    let mut parts = Vec::new();
    while let Some(sign) = signs.get(*at).filter(|sign| !["|", ")", "]", "}"].contains(sign)) {
        *at += 1;
        let part = match *sign {
            "(" => one_of(signs, at),
            "[" => Part::Maybe(Box::new(one_of(signs, at))),
            "{" => Part::Many(Box::new(one_of(signs, at))),
            word if word.starts_with('"') => Part::Word(word.trim_matches('"').to_string()),
            rule => Part::Rule(rule.to_string()),
        };
        if ["(", "[", "{"].contains(sign) {
            assert!([")", "]", "}"].contains(&signs[*at]));
            *at += 1;
        }
        parts.push(part);
    }
    if parts.len() == 1 { parts.remove(0) } else { Part::All(parts) }
}

/// The signs that the page itself explains in words.
const SIGNS: [&str; 7] = ["name", "number", "range", "text", "date", "time", "end"];

fn visit<'g>(part: &'g Part, words: &mut BTreeSet<&'g str>, rules: &mut BTreeSet<&'g str>) {
    match part {
        Part::Word(word) => drop(words.insert(word)),
        Part::Rule(rule) => drop(rules.insert(rule)),
        Part::All(parts) | Part::OneOf(parts) => parts.iter().for_each(|part| visit(part, words, rules)),
        Part::Maybe(part) | Part::Many(part) => visit(part, words, rules),
    }
}

/// One token as the grammar sees it.
type Sign = (TokenKind, String);

fn signs(text: &str) -> Vec<Sign> {
    let mut out: Vec<Sign> = Vec::new();
    for token in tokens(text) {
        let continues = matches!(out.last(), Some((TokenKind::Comma, _)));
        match token.kind {
            TokenKind::Newline if continues => {}
            TokenKind::Newline | TokenKind::Semicolon => out.push((TokenKind::Newline, String::new())),
            kind if kind.is_trivia() => {}
            kind => out.push((kind, token.text(text).to_string())),
        }
    }
    out
}

struct Recogniser<'g> {
    rules: &'g BTreeMap<String, Part>,
    signs: Vec<Sign>,
    known: HashMap<(&'g str, usize), BTreeSet<usize>>,
}

impl<'g> Recogniser<'g> {
    fn accepts(rules: &'g BTreeMap<String, Part>, text: &str) -> bool {
        let signs = signs(text);
        let end = signs.len();
        let mut recogniser = Recogniser { rules, signs, known: HashMap::new() };
        recogniser.ends(&rules["file"], 0).contains(&end)
    }

    /// Where a part that begins here may end.
    fn ends(&mut self, part: &'g Part, at: usize) -> BTreeSet<usize> {
        match part {
            Part::Word(word) => {
                let here = self.signs.get(at).is_some_and(|(kind, text)| *kind != TokenKind::Text && text == word);
                here.then_some(at + 1).into_iter().collect()
            }
            Part::Rule(rule) => self.rule(rule, at),
            Part::All(parts) => parts.iter().fold(BTreeSet::from([at]), |starts, part| {
                starts.into_iter().flat_map(|start| self.ends(part, start)).collect()
            }),
            Part::OneOf(parts) => parts.iter().flat_map(|part| self.ends(part, at)).collect(),
            Part::Maybe(part) => self.ends(part, at).into_iter().chain([at]).collect(),
            Part::Many(part) => {
                let mut all = BTreeSet::from([at]);
                let mut new = vec![at];
                while let Some(start) = new.pop() {
                    new.extend(self.ends(part, start).into_iter().filter(|end| all.insert(*end)));
                }
                all
            }
        }
    }

    fn rule(&mut self, rule: &'g str, at: usize) -> BTreeSet<usize> {
        let kind = match rule {
            "name" => TokenKind::Word,
            "number" => TokenKind::Number,
            "range" => TokenKind::Range,
            "text" => TokenKind::Text,
            "date" => TokenKind::Date,
            "time" => TokenKind::Time,
            "end" => TokenKind::Newline,
            _ => {
                if let Some(known) = self.known.get(&(rule, at)) {
                    return known.clone();
                }
                let rules = self.rules;
                let ends = self.ends(&rules[rule], at);
                self.known.insert((rule, at), ends.clone());
                return ends;
            }
        };
        self.signs.get(at).is_some_and(|sign| sign.0 == kind).then_some(at + 1).into_iter().collect()
    }
}

fn read(text: &str) -> Parsed {
    parse(FileId(0), text)
}

/// What was read, without the places.
fn meaning(parsed: &Parsed) -> String {
    let told = format!("{:?}", parsed.statements);
    let mut out = String::new();
    let mut rest = told.as_str();
    while let Some((before, after)) = rest.split_once("Span {") {
        out.push_str(before);
        rest = after.split_once('}').unwrap().1;
    }
    out + rest
}

fn samples() -> Vec<String> {
    let samples = fenced("fantail");
    assert!(samples.len() > 15);
    samples
}

#[test]
fn every_sample_reads_and_is_in_the_grammar() {
    let rules = grammar();
    for sample in samples() {
        let told: Vec<Diagnostic> = read(&sample).diagnostics;
        assert_eq!(told, [], "{sample}");
        for statement in statements(&sample) {
            assert!(Recogniser::accepts(&rules, &statement), "not in the grammar: {statement}");
        }
    }
}

/// The sample's statements, each by itself.
fn statements(sample: &str) -> Vec<String> {
    read(sample).statements.iter().map(|statement| sample[statement.span.range()].to_string() + "\n").collect()
}

#[test]
fn every_part_is_written_and_used() {
    let rules = grammar();
    let (mut quoted, mut used) = (BTreeSet::new(), BTreeSet::from(["file"]));
    rules.values().for_each(|part| visit(part, &mut quoted, &mut used));
    for rule in &used {
        assert!(rules.contains_key(*rule) || SIGNS.contains(rule), "`{rule}` is used and not written");
    }
    for rule in rules.keys() {
        assert!(used.contains(rule.as_str()), "`{rule}` is written and not used");
    }
}

#[test]
fn every_word_of_the_language_stands_in_a_part_and_in_a_sample() {
    let rules = grammar();
    let (mut quoted, mut used) = (BTreeSet::new(), BTreeSet::new());
    rules.values().for_each(|part| visit(part, &mut quoted, &mut used));
    let samples = samples();
    let shown: BTreeSet<String> = samples.iter().flat_map(|sample| signs(sample)).map(|(_, text)| text).collect();
    for word in LISTS.iter().flat_map(|(_, words)| *words) {
        assert!(quoted.contains(word), "`{word}` stands in no part of the grammar");
        assert!(shown.contains(*word), "`{word}` stands in no sample");
    }
    let units = units();
    let known = |word: &str| {
        LISTS.iter().any(|(_, words)| words.contains(&word))
            || units.iter().any(|unit| unit.split(' ').any(|part| part == word))
    };
    for word in quoted.into_iter().filter(|word| word.chars().all(char::is_alphabetic)) {
        assert!(known(word) || ["mV", "Pa"].contains(&word), "`{word}` stands in no list of the language's words");
    }
}

/// Every sign of every sample says something: without it the row means something else or is broken. And
/// what is left, where it reads, is in the grammar.
#[test]
fn no_sign_can_go_unnoticed() {
    let rules = grammar();
    for statement in samples().iter().flat_map(|sample| statements(sample)) {
        let before = meaning(&read(&statement));
        for token in tokens(&statement) {
            // Line ends and `;` separate; the next test looks at them.
            if token.kind.is_trivia() || token.kind == TokenKind::Semicolon {
                continue;
            }
            let without = format!("{} {}", &statement[..token.start as usize], &statement[token.end as usize..]);
            let parsed = read(&without);
            if parsed.diagnostics.is_empty() {
                assert_ne!(meaning(&parsed), before, "`{}` says nothing in {statement}", token.text(&statement));
                assert!(Recogniser::accepts(&rules, &without), "reads, but is not in the grammar: {without}");
            }
        }
    }
}

/// Words from elsewhere in the language, put into a row: what then reads is in the grammar too.
#[test]
fn what_reads_is_in_the_grammar() {
    let rules = grammar();
    let extra =
        ["phantom", "to", "from", "12", "1-8", "\"x\"", "kick", "offset 3", "at DSL", ",", ".", "all inputs", "60 m"];
    for statement in samples().iter().flat_map(|sample| statements(sample)).filter(|statement| statement.len() < 200) {
        for (nth, token) in tokens(&statement).iter().filter(|token| !token.kind.is_trivia()).enumerate() {
            let at = token.end as usize;
            let word = extra[(nth * 7 + statement.len()) % extra.len()];
            let more = format!("{} {word} {}", &statement[..at], &statement[at..]);
            if read(&more).diagnostics.is_empty() {
                assert!(Recogniser::accepts(&rules, &more), "reads, but is not in the grammar: {more}");
            }
        }
    }
}
