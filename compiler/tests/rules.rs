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
