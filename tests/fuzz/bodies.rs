//! What the fuzz targets hold any bytes against. The same bodies run over the kept corpus as a normal test,
//! so nothing here may know the fuzzer.

mod merging;

use fantail::compare::{self, Comparison, Said};
use fantail::diagnostics::{Diagnostic, human, json};
use fantail::project::InMemory;
use fantail::source::{FileId, Sources};
use fantail::syntax::TokenKind;
use fantail::{plan, rules, syntax, verify};
use std::io::sink;
use std::path::Path;

/// Between two files of one input.
const NEXT_FILE: &str = "\n=====\n";

/// The names of an input's files, in order; the first is the root.
const NAMES: &[&str] = &["show.fantail", "a.fantail", "b.fantail", "c.fantail"];

/// Any bytes parse: no token is lost, and every message stands at a place that the text has.
pub fn parse(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let parsed = syntax::parse(FileId(0), &text);
    let joined: String = parsed.tokens.iter().map(|token| token.text(&text)).collect();
    assert!(joined == text, "the tokens are not the text");
    for diagnostic in &parsed.diagnostics {
        stands(diagnostic, |_| Some(&text));
    }
}

/// Any bytes can be laid out: the same tokens and comments in the same order, what does not read as it
/// stood, and nothing more to do after it.
pub fn tidy(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let laid_out = syntax::tidy::tidy(&text);
    let (before, after) = (syntax::parse(FileId(0), &text), syntax::parse(FileId(0), &laid_out));
    assert_eq!(said(&before, &text), said(&after, &laid_out), "tokens or comments were changed");
    let mut lines = after_the_mark(&laid_out).split_inclusive('\n');
    for line in unread(&before, &text) {
        let same = |other: &str| other.trim_end_matches(['\r', '\n']) == line.trim_end_matches(['\r', '\n']);
        assert!(lines.any(same), "a row that does not read was changed: {line:?}");
    }
    assert!(syntax::tidy::tidy(&laid_out) == laid_out, "laid out twice, it is another text");
    let mut free = 0;
    for (at, put) in syntax::tidy::tidy_edits(&text, None) {
        assert!(free <= at.start && text.get(at.clone()).is_some(), "edits overlap at {at:?}");
        assert!(put.trim_end_matches(['\r', '\n']) == put.trim_end(), "blanks stand behind {put:?}");
        free = at.end;
    }
}

/// The tokens that mean something, and the comments without the blanks behind them.
fn said(parsed: &syntax::Parsed, text: &str) -> Vec<String> {
    let trivia = |kind: TokenKind| kind.is_trivia() && !matches!(kind, TokenKind::Comment | TokenKind::Strange);
    let tokens = parsed.tokens.iter().filter(|token| !trivia(token.kind));
    tokens.map(|token| format!("{:?} {}", token.kind, token.text(text).trim_end())).collect()
}

fn after_the_mark(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

/// The lines on which something was told.
fn unread<'t>(parsed: &syntax::Parsed, text: &'t str) -> Vec<&'t str> {
    let told = |start: usize, end: usize| {
        parsed.diagnostics.iter().any(|told| (told.span.start as usize) < end && start < told.span.end as usize)
    };
    let lines = after_the_mark(text);
    let mut at = text.len() - lines.len();
    let lines = lines.split_inclusive('\n').filter(|line| {
        at += line.len();
        told(at - line.len(), at)
    });
    lines.collect()
}

/// Any bytes compile: to a plan that is proven and can be printed, or to errors that can be.
pub fn compile(bytes: &[u8]) {
    let whole = String::from_utf8_lossy(bytes);
    let texts = whole.split(NEXT_FILE).zip(NAMES);
    let files = texts.fold(InMemory::default(), |files, (text, name)| files.with(name, text));
    let compiled = fantail::compile(Path::new("show.fantail"), &files);
    for diagnostic in &compiled.diagnostics {
        assert!(diagnostic.rule != "plan-not-proven", "a plan was not proven: {}", diagnostic.message);
        stands(diagnostic, |file| text_of(&compiled.sources, file));
    }
    if !compiled.has_errors() {
        assert_eq!(verify::verify(&compiled.plan, &compiled.wanted), []);
        assert!(plan::text(&compiled.plan, None, None).is_ok());
    }
    let (sources, told) = (&compiled.sources, &compiled.diagnostics);
    assert!(human::write(&mut sink(), sources, told, human::Look::default()).is_ok());
    assert!(json::write(&mut sink(), sources, told, rules::ALL).is_ok());
}

/// Any three texts merge: a side alone is the result, and nothing that either wrote is lost.
pub fn merge(bytes: &[u8]) {
    let whole = String::from_utf8_lossy(bytes);
    let mut texts = whole.split(NEXT_FILE);
    let [base, ours, theirs] = [(); 3].map(|()| texts.next().unwrap_or_default());
    merging::one_side(base, ours, "ours");
    merging::one_side(base, theirs, "theirs");
    merging::two_sides(base, ours, theirs, "two sides");
}

/// Any two texts that plan compare, and each with itself is the same; what there is to say can be printed.
pub fn compare(bytes: &[u8]) {
    let whole = String::from_utf8_lossy(bytes);
    let plans = whole.split(NEXT_FILE).take(2).filter_map(|text| {
        let told = fantail::analyse(Path::new(NAMES[0]), &InMemory::default().with(NAMES[0], text));
        (!told.found.iter().any(Diagnostic::is_error)).then_some(told.plan)
    });
    let plans: Vec<_> = plans.collect();
    for old in &plans {
        for new in &plans {
            let all = [compare::compare(Said::alone(old), Said::alone(new))];
            let said = [compare::text(&all), compare::markdown(&all), compare::json(&all)];
            assert_eq!(all.iter().all(Comparison::is_empty), old == new, "{}", said[0]);
            assert!(said.iter().all(|said| !said.is_empty()));
        }
    }
}

fn text_of(sources: &Sources, file: FileId) -> Option<&str> {
    sources.get(file).map(|file| file.text.as_str())
}

/// The message and its labels point into their texts, at whole characters.
fn stands<'t>(diagnostic: &Diagnostic, text: impl Fn(FileId) -> Option<&'t str>) {
    for span in std::iter::once(diagnostic.span).chain(diagnostic.labels.iter().map(|label| label.span)) {
        let inside = text(span.file).is_some_and(|text| text.get(span.range()).is_some());
        assert!(inside, "{} points outside its text: {span:?}", diagnostic.rule);
    }
    assert!(diagnostic.message.len() < 16 * 1024, "{} is {} bytes long", diagnostic.rule, diagnostic.message.len());
}
