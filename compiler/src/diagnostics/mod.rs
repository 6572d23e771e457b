//! A diagnostic is plain data. How it looks is decided in `human`, `json`, `sarif` and `github`,
//! each the only file that knows its form.

pub mod github;
pub mod human;
pub mod json;
mod missed;
mod nearest;
mod once;
mod place;
mod plain;
mod rule;
pub mod sarif;
mod shown;
mod summary;
mod vacancy;

pub use missed::{Missed, Sort};
pub use nearest::{did_you_mean, nearest};
pub use once::names_once;
pub use place::{Place, Places, Stretch};
pub use plain::{plain, plain_lines};
pub use rule::{CAN_HURT, Rule, rule_of};
pub use summary::{Summary, counted};
pub use vacancy::Vacancy;

use crate::source::Span;
use serde::Serialize;

/// What the reader must do: an error stops the plan, a warning does not, a note is off unless asked for.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    Error,
    Warning,
    Note,
}

/// A second place that belongs to the message.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Label {
    pub span: Span,
    pub message: String,
}

/// Text to put in place of a span; an empty span inserts.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Edit {
    pub span: Span,
    pub text: String,
}

/// A change that an editor can apply. `safe` where it cannot change what the show does beyond the
/// diagnostic it answers.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fix {
    pub label: String,
    pub edits: Vec<Edit>,
    pub safe: bool,
}

/// One thing to tell, at one place, under one rule of the catalogue.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Diagnostic {
    /// The rule's slug, as after `allow`: `phantom-on-ribbon`.
    pub rule: &'static str,
    pub severity: Severity,
    pub message: String,
    pub span: Span,
    pub labels: Vec<Label>,
    pub help: Vec<String>,
    pub fixes: Vec<Fix>,
    /// The act it holds in, where it does not hold in all.
    pub act: Option<String>,
    /// The thing it is about, as `allow … on THING` names it: a device, source or point.
    pub about: Vec<String>,
    /// The name that it misses.
    pub missed: Option<Missed>,
    /// Whether what was written is nearly a known word.
    pub slip: bool,
    /// What its first help leaves open.
    pub vacancy: Option<Vacancy>,
}

impl Diagnostic {
    pub fn new(severity: Severity, rule: &'static str, span: Span, message: impl Into<String>) -> Self {
        Diagnostic {
            rule,
            severity,
            message: message.into(),
            span,
            labels: Vec::new(),
            help: Vec::new(),
            fixes: Vec::new(),
            act: None,
            about: Vec::new(),
            missed: None,
            slip: false,
            vacancy: None,
        }
    }

    pub fn error(rule: &'static str, span: Span, message: impl Into<String>) -> Self {
        Self::new(Severity::Error, rule, span, message)
    }

    pub fn warning(rule: &'static str, span: Span, message: impl Into<String>) -> Self {
        Self::new(Severity::Warning, rule, span, message)
    }

    pub fn note(rule: &'static str, span: Span, message: impl Into<String>) -> Self {
        Self::new(Severity::Note, rule, span, message)
    }

    pub fn label(mut self, span: Span, message: impl Into<String>) -> Self {
        self.labels.push(Label { span, message: message.into() });
        self
    }

    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help.push(help.into());
        self
    }

    /// A help that names what is free, once that is known.
    pub fn help_with(mut self, vacancy: Vacancy, help: impl Into<String>) -> Self {
        self.vacancy = Some(vacancy);
        self.help(help)
    }

    pub fn fix(mut self, label: impl Into<String>, edits: Vec<Edit>, safe: bool) -> Self {
        self.fixes.push(Fix { label: label.into(), edits, safe });
        self
    }

    pub fn about(mut self, thing: impl Into<String>) -> Self {
        self.about.push(thing.into());
        self
    }

    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }

    /// The message as one line of plain text, with the act that it holds in.
    pub fn told(&self) -> String {
        match &self.act {
            Some(act) => format!("{} (in act `{}`)", plain(&self.message), plain(act)),
            None => plain(&self.message).into_owned(),
        }
    }
}

impl Severity {
    /// `error`, `warning`, `note`.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        }
    }
}

/// File order, then place, then severity, then rule: the order in which diagnostics are shown.
pub fn sort(diagnostics: &mut Vec<Diagnostic>) {
    diagnostics.sort_by(|a, b| {
        (a.span, a.severity, a.rule, &a.act, &a.message).cmp(&(b.span, b.severity, b.rule, &b.act, &b.message))
    });
    diagnostics.dedup();
}

/// What several acts have to say, each thing once: with its act where it does not hold in all of them.
pub fn merge_acts(per_act: Vec<(Option<&str>, Vec<Diagnostic>)>) -> Vec<Diagnostic> {
    if per_act.len() < 2 {
        return per_act.into_iter().flat_map(|(_, said)| said).collect();
    }
    // What is free may differ from act to act: the first act's help stands for all.
    let same = |a: &Diagnostic, b: &Diagnostic| {
        (a.rule, a.span, &a.message, &a.labels) == (b.rule, b.span, &b.message, &b.labels)
    };
    let in_all = |one: &Diagnostic| per_act.iter().all(|(_, said)| said.iter().any(|other| same(one, other)));
    let mut merged: Vec<Diagnostic> = Vec::new();
    for (act, said) in &per_act {
        for diagnostic in said {
            let mut diagnostic = diagnostic.clone();
            if !in_all(&diagnostic) {
                diagnostic.act = act.map(str::to_string);
            }
            let known = |other: &Diagnostic| same(&diagnostic, other) && diagnostic.act == other.act;
            if !merged.iter().any(known) {
                merged.push(diagnostic);
            }
        }
    }
    merged
}
