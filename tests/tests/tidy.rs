//! The formatter against all the texts that there are, laid out anyhow before: what a text says stays, how
//! it stood does not matter, and the plan is the same to the byte. What is published is tidy itself.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[allow(dead_code)]
#[path = "../fuzz/bodies.rs"]
mod bodies;

use fantail::plan::json;
use fantail::project::InMemory;
use fantail::source::FileId;
use fantail::syntax::{parse, tidy::tidy};
use fantail_tests::golden::diff;
use fantail_tests::mangled::mangled;
use fantail_tests::{correct, large, sized, small, texts};
use std::fs;
use std::path::Path;
use std::time::Instant;

/// What holds of any text, and of one that reads: the layout is the text's, not that of who wrote it.
fn holds(name: &str, text: &str) {
    bodies::tidy(text.as_bytes());
    for seed in 1..=2 {
        let other = mangled(text, seed);
        bodies::tidy(other.as_bytes());
        if parse(FileId(0), text).diagnostics.is_empty() {
            let (laid_out, again) = (tidy(text), tidy(&other));
            assert!(laid_out == again, "{name}, laid out otherwise before:\n{}", diff(&laid_out, &again));
        }
    }
}

fn plan(texts: &[(String, String)], root: &str) -> String {
    let files = texts.iter().fold(InMemory::default(), |files, (name, text)| files.with(name, text.as_str()));
    json(&fantail::analyse(Path::new(root), &files).plan, &[])
}

/// The same plan from the texts laid out, and from the texts laid out anyhow.
fn same_plan(texts: &[(String, String)], root: &str, seed: u64) {
    let before = plan(texts, root);
    for lay_out in [|text: &str, _| tidy(text), mangled] {
        let texts: Vec<_> = texts.iter().map(|(name, text)| (name.clone(), lay_out(text, seed))).collect();
        assert!(plan(&texts, root) == before, "{root}: another plan in another layout");
    }
}

#[test]
fn what_is_published_is_tidy() {
    let golden = |name: &str| name.contains(": ");
    let mut all: Vec<_> = texts::all().into_iter().filter(|(name, _)| !golden(name)).collect();
    all.extend(texts::files("compiler/src/bin/fantail/start"));
    let mut wrong = String::new();
    for (name, text) in &all {
        let laid_out = tidy(text);
        if laid_out != *text {
            wrong.push_str(&format!("{name}:\n{}\n", diff(text, &laid_out)));
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    assert!(all.len() > 40, "only {} texts", all.len());
}

#[test]
fn every_text_in_any_layout() {
    texts::all().iter().for_each(|(name, text)| holds(name, text));
}

#[test]
fn examples_give_their_plans_in_any_layout() {
    let examples = texts::files("examples");
    for (root, _) in examples.iter().filter(|(_, text)| text.contains("\nshow ")) {
        same_plan(&examples, root, 3);
    }
}

#[test]
fn random_shows_in_any_layout() {
    for seed in 0..40 {
        let (shown, _) = large::draw(seed);
        let shown = shown.sources();
        let others = [small::draw(seed).text(), correct::show(seed)].map(|text| ("show".to_string(), text));
        for (name, text) in shown.iter().chain(&others) {
            holds(&format!("{name} {seed}"), text);
        }
        same_plan(&shown, &shown[0].0, seed);
        same_plan(&others[1..], "show", seed);
    }
}

/// Twenty times the rows cost less than sixty times the time.
#[test]
fn twenty_thousand_rows() {
    let timed = |rows| {
        let text = mangled(&sized::show(rows), 1);
        let began = Instant::now();
        let laid_out = tidy(&text);
        (began.elapsed(), laid_out.lines().count())
    };
    let ((few, _), (many, lines)) = (timed(1_000), timed(20_000));
    println!("1,000 rows in {few:?}, 20,000 ({lines} lines) in {many:?}");
    assert!(many < few * 60, "{few:?} became {many:?}");
}

/// Layouts to be looked at, before and after. `BLESS=1` writes what comes after.
#[test]
fn the_page_of_layouts_is_current() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tidy.md");
    let page = fs::read_to_string(&path).unwrap();
    let mut parts = page.split("```before\n");
    let mut text = parts.next().unwrap().to_string();
    for part in parts {
        let (before, rest) = part.split_once("\n```\n").unwrap();
        let rest = rest
            .split_once("```after\n")
            .and_then(|(_, after)| after.split_once("\n```\n"))
            .map_or(rest, |(_, rest)| rest);
        let after = tidy(&format!("{before}\n"));
        text.push_str(&format!("```before\n{before}\n```\n\n```after\n{after}```\n{rest}"));
    }
    if std::env::var_os("BLESS").is_some() {
        fs::write(&path, &text).unwrap();
    }
    assert!(text == page, "BLESS=1 writes tests/tidy.md:\n{}", diff(&page, &text));
}
