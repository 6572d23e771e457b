//! Diagnostics as SARIF 2.1.0 (OASIS standard, 27 March 2020), for code hosts and review programs. The
//! sections named here are that standard's.

use super::place::{Places, Stretch};
use super::plain::{plain, plain_lines};
use super::{Diagnostic, Edit, Rule, Severity, rule_of};
use crate::source::{SourceFile, Sources};
use serde::{Serialize, Serializer};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::io::{self, Write};

/// 3.13 sarifLog.
#[derive(Serialize)]
struct Log<'a> {
    #[serde(rename = "$schema")]
    schema: &'static str,
    version: &'static str,
    runs: [Run<'a>; 1],
}

/// 3.14 run.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Run<'a> {
    tool: Value,
    column_kind: &'static str,
    results: Results<'a>,
}

/// Made one by one while they are written: a broken file can have a million.
struct Results<'a> {
    places: Places<'a>,
    diagnostics: &'a [Diagnostic],
    rules: &'a [Rule],
    /// The slugs of the rules listed, in order.
    spoke: Vec<&'a str>,
}

impl Serialize for Results<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let result = |diagnostic| result(&self.places, diagnostic, self.rules, &self.spoke);
        serializer.collect_seq(self.diagnostics.iter().map(result))
    }
}

/// Writes one log with one run, and a newline. `rules` is the catalogue: those that spoke are listed.
///
/// # Errors
/// Only those of `out`.
pub fn write(out: &mut dyn Write, sources: &Sources, diagnostics: &[Diagnostic], rules: &[Rule]) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *out, &log(sources, diagnostics, rules))?;
    writeln!(out)
}

fn log<'a>(sources: &'a Sources, diagnostics: &'a [Diagnostic], rules: &'a [Rule]) -> Log<'a> {
    let spoke: BTreeSet<&str> = diagnostics.iter().map(|diagnostic| diagnostic.rule).collect();
    let spoke: Vec<&str> = spoke.into_iter().collect();
    // 3.18 tool, 3.19 toolComponent
    let tool = json!({"driver": {
        "name": "fantail",
        "semanticVersion": env!("CARGO_PKG_VERSION"),
        "rules": spoke.iter().map(|slug| descriptor(slug, rules)).collect::<Vec<_>>(),
    }});
    let results = Results { places: Places::of(sources), diagnostics, rules, spoke };
    Log {
        schema: "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        version: "2.1.0",
        runs: [Run { tool, column_kind: "unicodeCodePoints", results }],
    }
}

/// 3.49 reportingDescriptor: the code never changes and so is the id, the slug is the name.
fn descriptor(slug: &str, rules: &[Rule]) -> Value {
    match rule_of(rules, slug) {
        Some(rule) => json!({
            "id": rule.code,
            "name": rule.slug,
            "shortDescription": {"text": rule.summary()},
            "help": {"text": rule.page, "markdown": rule.page},
            "defaultConfiguration": {"level": level(rule.severity)},
        }),
        None => json!({"id": slug, "name": slug}),
    }
}

/// 3.27 result.
fn result(places: &Places, diagnostic: &Diagnostic, rules: &[Rule], spoke: &[&str]) -> Value {
    let id = rule_of(rules, diagnostic.rule).map_or(diagnostic.rule, |rule| rule.code);
    let mut result = serde_json::Map::new();
    result.insert("ruleId".into(), json!(id));
    result.insert("ruleIndex".into(), json!(spoke.binary_search(&diagnostic.rule).unwrap_or(0)));
    result.insert("level".into(), json!(level(diagnostic.severity)));
    result.insert("message".into(), json!({"text": text(diagnostic)}));
    if let Some((file, stretch)) = places.stretch(diagnostic.span) {
        result.insert("locations".into(), json!([{"physicalLocation": physical(file, &stretch)}]));
    }
    let related: Vec<_> = diagnostic.labels.iter().filter_map(|label| related(places, label)).collect();
    if !related.is_empty() {
        result.insert("relatedLocations".into(), json!(related));
    }
    let fixes: Vec<_> = diagnostic.fixes.iter().filter_map(|fix| fix_form(places, fix)).collect();
    if !fixes.is_empty() {
        result.insert("fixes".into(), json!(fixes));
    }
    Value::Object(result)
}

/// The message, then each help on a line of its own.
fn text(diagnostic: &Diagnostic) -> String {
    let mut text = diagnostic.told();
    for help in &diagnostic.help {
        text.push_str("\nHelp: ");
        text.push_str(&plain_lines(help));
    }
    text
}

fn related(places: &Places, label: &super::Label) -> Option<Value> {
    let (file, stretch) = places.stretch(label.span)?;
    Some(json!({"physicalLocation": physical(file, &stretch), "message": {"text": plain(&label.message)}}))
}

/// 3.55 fix: the edits by file, in the order in which the fix has them. None where a file is unknown,
/// since half a fix is worse than none.
fn fix_form(places: &Places, fix: &super::Fix) -> Option<Value> {
    let mut changes: Vec<(Value, Vec<Value>)> = Vec::new();
    for edit in &fix.edits {
        let (artifact, replacement) = replacement(places, edit)?;
        match changes.iter_mut().find(|(known, _)| *known == artifact) {
            Some((_, replacements)) => replacements.push(replacement),
            None => changes.push((artifact, vec![replacement])),
        }
    }
    let change = |(artifact, replacements)| json!({"artifactLocation": artifact, "replacements": replacements});
    let changes: Vec<_> = changes.into_iter().map(change).collect();
    (!changes.is_empty()).then(|| json!({"description": {"text": plain(&fix.label)}, "artifactChanges": changes}))
}

fn replacement(places: &Places, edit: &Edit) -> Option<(Value, Value)> {
    let (file, stretch) = places.stretch(edit.span)?;
    let change = json!({"deletedRegion": region(&stretch), "insertedContent": {"text": edit.text}});
    Some((artifact(file), change))
}

/// 3.29 physicalLocation.
fn physical(file: &SourceFile, stretch: &Stretch) -> Value {
    json!({"artifactLocation": artifact(file), "region": region(stretch)})
}

fn artifact(file: &SourceFile) -> Value {
    json!({"uri": uri(&file.name)})
}

/// 3.30 region: lines and columns from 1, the end column just after the last character.
fn region(Stretch { start, end }: &Stretch) -> Value {
    json!({
        "startLine": start.line, "startColumn": start.column,
        "endLine": end.line, "endColumn": end.column,
        "byteOffset": start.offset, "byteLength": end.offset.saturating_sub(start.offset),
    })
}

/// RFC 3986: an absolute path with its scheme, any other relative; whatever is not plainly allowed in a
/// path's segment is written as its bytes.
fn uri(name: &str) -> String {
    let name = name.replace('\\', "/");
    let mut uri = String::from(if name.starts_with('/') { "file://" } else { "" });
    for byte in name.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => uri.push(char::from(byte)),
            byte => uri.push_str(&format!("%{byte:02X}")),
        }
    }
    uri
}

/// 3.27.10: our words are the standard's.
fn level(severity: Severity) -> &'static str {
    severity.word()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::Span;

    #[test]
    fn names_of_files_become_references() {
        assert_eq!(uri("venues/quayside hall.fantail"), "venues/quayside%20hall.fantail");
        assert_eq!(uri("/tmp/ä#1"), "file:///tmp/%C3%A4%231");
        assert_eq!(uri("<stdin>"), "%3Cstdin%3E");
    }

    #[test]
    fn a_span_is_given_in_every_way_of_counting() {
        let mut sources = Sources::default();
        let id = sources.add("a.fantail".into(), None, "ä kick\n".into());
        let diagnostic = Diagnostic::warning("not-registered", Span::new(id, 3, 7), "hm").fix(
            "rename",
            vec![Edit { span: Span::new(id, 3, 7), text: "kick-in".into() }],
            true,
        );
        let diagnostics = [diagnostic];
        let log = json!(log(&sources, &diagnostics, &[]));
        let region =
            json!({"startLine": 1, "startColumn": 3, "endLine": 1, "endColumn": 7, "byteOffset": 3, "byteLength": 4});
        let result = &log["runs"][0]["results"][0];
        assert_eq!(result["locations"][0]["physicalLocation"]["region"], region);
        assert_eq!(result["fixes"][0]["artifactChanges"][0]["replacements"][0]["deletedRegion"], region);
        assert_eq!(result["ruleId"], log["runs"][0]["tool"]["driver"]["rules"][0]["id"]);
    }
}
