//! What the parser says when a row does not read, and how that becomes a diagnostic. The words after
//! "expected" are a technician's.

use super::super::significant::{Sig, shortened};
use super::super::tokens::TokenKind;
use super::super::words::{CARRIER_WORDS, KIND_WORDS, MIC_WORDS};
use super::basics::Tokens;
use crate::diagnostics::{Diagnostic, nearest};
use crate::source::Span;
use chumsky::DefaultExpected;
use chumsky::error::{Error, LabelError};
use chumsky::util::MaybeRef;

/// What would have been right.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(in crate::syntax) enum Want {
    /// In words: `a channel number`.
    Thing(&'static str),
    /// A word of the language.
    Word(&'static str),
}

impl Want {
    fn word(&self) -> Option<&'static str> {
        match self {
            Want::Word(word) => Some(word),
            Want::Thing(_) => None,
        }
    }
}

/// What a problem is about, for those who know other words for it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(in crate::syntax) enum Topic {
    InputAttribute,
    OutputAttribute,
    Stand,
    Priority,
    /// An output row without `to`.
    GoesNowhere,
    Other,
}

/// Nothing more was expected.
pub(super) const END: Want = Want::Thing("the end of the row");

#[derive(Clone, Debug)]
pub(in crate::syntax) struct Problem {
    pub span: Span,
    pub found: Option<TokenKind>,
    pub wanted: Vec<Want>,
    /// Where more is known than what was expected.
    pub said: Option<Box<Diagnostic>>,
    topic: Topic,
}

impl Problem {
    pub fn said(diagnostic: Diagnostic) -> Self {
        Problem {
            span: diagnostic.span,
            found: None,
            wanted: Vec::new(),
            said: Some(Box::new(diagnostic)),
            topic: Topic::Other,
        }
    }

    pub fn about(self, topic: Topic) -> Self {
        Problem { topic, ..self }
    }

    pub fn topic(&self) -> Topic {
        let wants = |word| self.wanted.contains(&Want::Word(word));
        match (wants("tall"), wants("must")) {
            (true, _) => Topic::Stand,
            (_, true) => Topic::Priority,
            _ => self.topic,
        }
    }

    pub fn wanted(wanted: Vec<Want>, found: Option<TokenKind>, span: Span) -> Self {
        Problem { span, found, wanted, said: None, topic: Topic::Other }
    }

    /// Where the row was to end, `thing` was to stand instead.
    pub fn ending_in(mut self, thing: &'static str) -> Self {
        for want in self.wanted.iter_mut().filter(|want| **want == END) {
            *want = Want::Thing(thing);
        }
        self
    }

    pub fn diagnostic(self, text: &str) -> Diagnostic {
        if let Some(said) = self.said {
            return *said;
        }
        let written = shortened(text.get(self.span.range()).unwrap_or(""));
        let found = match self.found {
            None => "the row ends here".to_string(),
            Some(TokenKind::Text) => format!("found the text {written}"),
            Some(_) => format!("found `{written}`"),
        };
        let slug = match self.found {
            Some(TokenKind::Bracket | TokenKind::BlockOpen | TokenKind::BlockClose) => "stray-bracket",
            _ => "unreadable-row",
        };
        let diagnostic = Diagnostic::error(slug, self.span, format!("expected {}, {found}", list(&self.wanted)));
        match (slug, self.found) {
            ("stray-bracket", Some(TokenKind::Bracket)) => {
                diagnostic.help("the language has no brackets but `{` and `}`")
            }
            (_, Some(TokenKind::Comma)) => {
                diagnostic.help("commas join the items of one list; none stand between attributes")
            }
            // Two facts of a microphone or a kind on one line.
            (_, Some(_)) if self.wanted == [END] && one_a_line(&written) => {
                diagnostic.help(format!("put `;` before `{written}`, or begin a new line"))
            }
            (_, Some(TokenKind::Word)) => {
                diagnostic.near(self.span, nearest(&written, self.wanted.iter().filter_map(Want::word)))
            }
            _ => diagnostic,
        }
    }
}

fn one_a_line(word: &str) -> bool {
    [MIC_WORDS, KIND_WORDS, CARRIER_WORDS].iter().any(|words| words.contains(&word))
}

fn list(wanted: &[Want]) -> String {
    let mut words: Vec<String> = Vec::new();
    for want in wanted {
        let word = match want {
            Want::Thing(thing) => (*thing).to_string(),
            Want::Word(word) => format!("`{word}`"),
        };
        if !words.contains(&word) {
            words.push(word);
        }
    }
    match words.split_last() {
        None => "something else".to_string(),
        Some((last, [])) => last.clone(),
        Some((last, before)) => format!("{} or {last}", before.join(", ")),
    }
}

impl<'t> Error<'t, Tokens<'t>> for Problem {
    fn merge(mut self, mut other: Self) -> Self {
        if self.said.is_some() || self.span.start > other.span.start {
            return self;
        }
        if other.said.is_some() || other.span.start > self.span.start {
            return other;
        }
        self.wanted.append(&mut other.wanted);
        self
    }
}

impl<'t> LabelError<'t, Tokens<'t>, DefaultExpected<'t, Sig<'t>>> for Problem {
    fn expected_found<E: IntoIterator<Item = DefaultExpected<'t, Sig<'t>>>>(
        expected: E,
        found: Option<MaybeRef<'t, Sig<'t>>>,
        span: Span,
    ) -> Self {
        let at_end = expected.into_iter().any(|one| matches!(one, DefaultExpected::EndOfInput));
        let wanted = if at_end { vec![END] } else { Vec::new() };
        Problem::wanted(wanted, found.map(|sig| sig.kind), span)
    }
}

impl<'t> LabelError<'t, Tokens<'t>, Want> for Problem {
    fn expected_found<E: IntoIterator<Item = Want>>(
        expected: E,
        found: Option<MaybeRef<'t, Sig<'t>>>,
        span: Span,
    ) -> Self {
        Problem::wanted(expected.into_iter().collect(), found.map(|sig| sig.kind), span)
    }

    fn label_with(&mut self, label: Want) {
        if self.said.is_none() {
            self.wanted = vec![label];
        }
    }
}

/// Chumsky marks places with the compiler's own spans.
impl chumsky::span::Span for Span {
    type Context = crate::source::FileId;
    type Offset = u32;

    fn new(file: Self::Context, range: std::ops::Range<u32>) -> Self {
        Span { file, start: range.start, end: range.end.max(range.start) }
    }

    fn context(&self) -> Self::Context {
        self.file
    }

    fn start(&self) -> u32 {
        self.start
    }

    fn end(&self) -> u32 {
        self.end
    }
}
