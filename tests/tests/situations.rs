//! The table of situations holds: its rules are in the catalogue, its golden cases are there and show the rule, and
//! the page in `grammar/` is the table. `BLESS=1` writes the page.
#![allow(clippy::unwrap_used, clippy::panic)]

use fantail::rules;
use fantail_tests::situations::{Answer, Situation, all, page};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// At most so many may be answered on paper alone.
const MOST_ON_PAPER: usize = 25;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The text of every golden case, by its heading.
fn cases() -> BTreeMap<String, String> {
    let mut cases = BTreeMap::new();
    for entry in std::fs::read_dir(root().join("tests/golden")).unwrap() {
        let text = std::fs::read_to_string(entry.unwrap().path()).unwrap();
        for case in text.split("\n## ").skip(1) {
            let (title, rest) = case.split_once('\n').unwrap_or((case, ""));
            cases.insert(title.trim().to_string(), rest.to_string());
        }
    }
    cases
}

#[test]
fn there_are_ninety_nine() {
    let all = all();
    assert_eq!(all.len(), 99);
    assert!(all.iter().zip(1..).all(|(row, number)| row.number == number));
}

#[test]
fn every_answer_is_there() {
    let cases = cases();
    let mut wrong = Vec::new();
    for Situation { number, answer, case, .. } in all() {
        let on_paper = matches!(answer, Answer::Paper(_) | Answer::Open(_));
        if on_paper && !case.is_empty() {
            wrong.push(format!("A{number:02}: nothing shows what stands on paper alone"));
        }
        let Some(text) = cases.get(case) else {
            if !on_paper {
                wrong.push(format!("A{number:02}: no golden case is called `{case}`"));
            }
            continue;
        };
        match answer {
            Answer::Rule(slug) if rules::find(slug).is_none() => wrong.push(format!("A{number:02}: no rule {slug}")),
            Answer::Rule(slug) if !text.contains(slug) => {
                wrong.push(format!("A{number:02}: the case `{case}` does not show {slug}"));
            }
            Answer::Expect(_) if !text.contains("expect ") => {
                wrong.push(format!("A{number:02}: the case `{case}` expects nothing"));
            }
            _ => {}
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn few_are_answered_on_paper_alone() {
    let on_paper = all().iter().filter(|row| matches!(row.answer, Answer::Paper(_))).count();
    assert!(on_paper <= MOST_ON_PAPER, "{on_paper} stand on paper alone");
}

#[test]
fn the_page_is_the_table() {
    let path = root().join("grammar/situations.md");
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&path, page()).unwrap();
    }
    assert_eq!(std::fs::read_to_string(&path).unwrap_or_default(), page(), "BLESS=1 writes it");
}
