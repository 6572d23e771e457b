//! Every rule's page is tried: its example draws that rule and nothing else, the corrected one is clean.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::diagnostics::{Diagnostic, Severity};
use fantail::project::InMemory;
use fantail::rules::{ALL, page};
use std::path::Path;

fn said(example: &page::Example) -> Vec<Diagnostic> {
    let files =
        example.files.iter().fold(InMemory::default(), |files, file| files.with(&file.name, file.text.as_str()));
    fantail::compile(Path::new(&example.root().unwrap().name), &files).diagnostics
}

#[test]
fn every_page_does_what_it_says() {
    let mut wrong = Vec::new();
    for rule in ALL {
        let page = page::parse(rule.page).unwrap();
        let heard = |d: &Diagnostic| d.severity != Severity::Note || rule.severity == Severity::Note;
        let told = |list: &[Diagnostic]| list.iter().map(|d| format!("{}: {}", d.rule, d.told())).collect::<Vec<_>>();
        if !page.caught.files.is_empty() {
            let mut found = said(&page.caught);
            found.retain(|d| {
                if rule.severity == Severity::Note {
                    d.severity != Severity::Note || d.rule == rule.slug
                } else {
                    heard(d)
                }
            });
            let only = !found.is_empty() && found.iter().all(|d| d.rule == rule.slug && d.severity == rule.severity);
            if !only {
                wrong.push(format!("{} caught: {:?}", rule.slug, told(&found)));
            }
        }
        if !page.corrected.files.is_empty() {
            let mut found = said(&page.corrected);
            found.retain(|d| d.severity != Severity::Note || d.rule == rule.slug);
            if !found.is_empty() {
                wrong.push(format!("{} corrected: {:?}", rule.slug, told(&found)));
            }
        }
    }
    assert!(wrong.is_empty(), "{} pages:\n{}", wrong.len(), wrong.join("\n"));
}

/// What no file of text can be, or only one that nobody could read. Every other page shows its example.
const NOT_AS_TEXT: [&str; 10] = [
    "chain-too-long",
    "file-too-big",
    "file-unreadable",
    "folder-in-place-of-file",
    "nested-too-deep",
    "no-plain-file",
    "not-utf-8",
    "plan-not-proven",
    "row-too-long",
    "too-hard-to-route",
];

#[test]
fn every_page_shows_what_can_be_shown() {
    let without = ALL.iter().filter(|rule| {
        let page = page::parse(rule.page).unwrap();
        page.caught.files.is_empty() || page.corrected.files.is_empty()
    });
    let mut without: Vec<&str> = without.map(|rule| rule.slug).collect();
    without.sort_unstable();
    assert_eq!(without, NOT_AS_TEXT);
}

/// The slugs that the sources speak under, with the severity said there: what follows
/// `Diagnostic::error(` and its like as a quoted word.
fn emitted(folder: &Path, into: &mut Vec<(String, String)>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap().to_string();
        if path.is_dir() {
            if !["tests", "diagnostics"].contains(&name.as_str()) {
                emitted(&path, into);
            }
            continue;
        }
        if !name.ends_with(".rs") || name == "tests.rs" {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        let text = text.split("#[cfg(test)]").next().unwrap();
        for severity in ["error", "warning", "note"] {
            for rest in text.split(&format!("Diagnostic::{severity}(")).skip(1) {
                let quoted = rest.trim_start().strip_prefix('"').and_then(|rest| rest.split('"').next());
                into.extend(quoted.map(|slug| (slug.to_string(), severity.to_string())));
            }
        }
    }
}

#[test]
fn every_slug_of_the_sources_is_in_the_catalogue() {
    let mut slugs = Vec::new();
    for room in ["syntax", "project", "rig", "wants", "route", "draft", "rules"] {
        emitted(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(room), &mut slugs);
    }
    assert!(slugs.len() > 50, "the sources are read");
    let known = |(slug, severity): &&(String, String)| {
        fantail::rules::find(slug).is_some_and(|rule| rule.slug == slug && rule.severity.word() == severity)
    };
    let wrong: Vec<_> = slugs.iter().filter(|found| !known(found)).collect();
    assert!(wrong.is_empty(), "not in the catalogue under that severity: {wrong:?}");
}

/// The catalogue as a page, kept current: `BLESS=1` writes it.
#[test]
fn the_catalogue_page_is_current() {
    let mut text = String::from(
        "# The rules\n\nGenerated from the pages of the rules; `fantail explain RULE` prints one whole. An error stops the plan, \
         a warning does not,\na note is off unless asked for with `--notes`.\n",
    );
    for (letter, title) in fantail::rules::GROUPS {
        text.push_str(&format!("\n## {title}\n\n| code | rule | | |\n|---|---|---|---|\n"));
        for rule in ALL.iter().filter(|rule| rule.code.starts_with(*letter)) {
            let page = page::parse(rule.page).unwrap();
            text.push_str(&format!(
                "| {} | `{}` | {} | {} |\n",
                rule.code,
                rule.slug,
                rule.severity.word(),
                page.summary
            ));
        }
    }
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../grammar/rules.md");
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&path, &text).unwrap();
    }
    assert!(
        std::fs::read_to_string(&path).unwrap_or_default() == text,
        "run with BLESS=1 to bring grammar/rules.md up to date"
    );
}
