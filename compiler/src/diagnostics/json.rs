//! Diagnostics as JSON, for other programs: one object, in the form of `grammar/diagnostics.schema.json`.
//! Keys may be added there, never re-used.

use super::place::{Places, Stretch};
use super::plain::{plain, plain_lines};
use super::{Diagnostic, Rule, Severity, Summary, rule_of};
use crate::source::{Sources, Span};
use serde::{Serialize, Serializer};
use std::io::{self, Write};

#[derive(Serialize)]
struct Object<'a> {
    fantail: u32,
    summary: Summary,
    diagnostics: Forms<'a>,
}

/// Made one by one while they are written: a broken file can have a million.
struct Forms<'a> {
    places: Places<'a>,
    diagnostics: &'a [Diagnostic],
    rules: &'a [Rule],
}

impl Serialize for Forms<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.diagnostics.iter().map(|diagnostic| form(&self.places, diagnostic, self.rules)))
    }
}

#[derive(Serialize)]
struct Form<'a> {
    rule: &'a str,
    code: Option<&'a str>,
    severity: Severity,
    message: String,
    #[serde(flatten)]
    at: At<'a>,
    labels: Vec<LabelForm<'a>>,
    help: Vec<String>,
    fixes: Vec<FixForm<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    act: Option<&'a str>,
    #[serde(skip_serializing_if = "<[String]>::is_empty")]
    about: &'a [String],
}

/// Both null where the file is not known.
#[derive(Serialize)]
struct At<'a> {
    file: Option<&'a str>,
    span: Option<Stretch>,
}

#[derive(Serialize)]
struct LabelForm<'a> {
    #[serde(flatten)]
    at: At<'a>,
    message: String,
}

#[derive(Serialize)]
struct FixForm<'a> {
    label: String,
    safe: bool,
    edits: Vec<EditForm<'a>>,
}

#[derive(Serialize)]
struct EditForm<'a> {
    #[serde(flatten)]
    at: At<'a>,
    text: &'a str,
}

/// Writes the object and a newline. `rules` is the catalogue, for the codes.
///
/// # Errors
/// Only those of `out`.
pub fn write(out: &mut dyn Write, sources: &Sources, diagnostics: &[Diagnostic], rules: &[Rule]) -> io::Result<()> {
    let forms = Forms { places: Places::of(sources), diagnostics, rules };
    let object = Object { fantail: 1, summary: Summary::of(diagnostics), diagnostics: forms };
    serde_json::to_writer_pretty(&mut *out, &object)?;
    writeln!(out)
}

/// The diagnostics alone, for the plan's `diagnostics`.
pub fn values(sources: &Sources, diagnostics: &[Diagnostic], rules: &[Rule]) -> Vec<serde_json::Value> {
    let places = Places::of(sources);
    let forms = diagnostics.iter().map(|diagnostic| form(&places, diagnostic, rules));
    forms.filter_map(|form| serde_json::to_value(form).ok()).collect()
}

fn form<'a>(places: &Places<'a>, diagnostic: &'a Diagnostic, rules: &'a [Rule]) -> Form<'a> {
    let label = |label: &super::Label| LabelForm { at: at(places, label.span), message: plain(&label.message).into() };
    Form {
        rule: diagnostic.rule,
        code: rule_of(rules, diagnostic.rule).map(|rule| rule.code),
        severity: diagnostic.severity,
        message: plain(&diagnostic.message).into(),
        at: at(places, diagnostic.span),
        labels: diagnostic.labels.iter().map(label).collect(),
        help: diagnostic.help.iter().map(|help| plain_lines(help).into()).collect(),
        fixes: diagnostic.fixes.iter().map(|fix| fix_form(places, fix)).collect(),
        act: diagnostic.act.as_deref(),
        about: &diagnostic.about,
    }
}

fn fix_form<'a>(places: &Places<'a>, fix: &'a super::Fix) -> FixForm<'a> {
    let edit = |edit: &'a super::Edit| EditForm { at: at(places, edit.span), text: &edit.text };
    FixForm { label: plain(&fix.label).into(), safe: fix.safe, edits: fix.edits.iter().map(edit).collect() }
}

fn at<'a>(places: &Places<'a>, span: Span) -> At<'a> {
    match places.stretch(span) {
        Some((file, stretch)) => At { file: Some(&file.name), span: Some(stretch) },
        None => At { file: None, span: None },
    }
}
