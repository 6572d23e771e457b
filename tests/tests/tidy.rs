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
use fantail_tests::golden::{diff, pages};
use fantail_tests::mangled::mangled;
use fantail_tests::{correct, large, sized, small};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Instant;

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_path_buf()
}

/// All fantail files below a folder, with their names from the top.
fn files(folder: &str) -> Vec<(String, String)> {
    let (mut found, mut open) = (Vec::new(), vec![top().join(folder)]);
    while let Some(at) = open.pop() {
        for path in fs::read_dir(at).unwrap().map(|entry| entry.unwrap().path()) {
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|ending| ending == "fantail") {
                let name = path.strip_prefix(top()).unwrap().to_string_lossy().into_owned();
                found.push((name, fs::read_to_string(&path).unwrap()));
            }
        }
    }
    assert!(!found.is_empty(), "{folder}");
    found.sort();
    found
}

/// The samples of a page; of several files in one, each.
fn samples(page: &str) -> Vec<(String, String)> {
    let text = fs::read_to_string(top().join(page)).unwrap();
    let fences = text.split("```fantail\n").skip(1).filter_map(|after| after.split("\n```").next());
    let parts = fences.flat_map(|fence| fence.split("# file: ").map(|part| format!("{}\n", part.trim_end())));
    parts.enumerate().map(|(at, part)| (format!("sample {at} of {page}"), part)).collect()
}

/// What holds of any text, and of one that reads: the layout is the text's, not that of who wrote it.
fn holds(name: &str, text: &str) {
    bodies::tidy(text.as_bytes());
    for seed in 1..=3 {
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
    let mut all = files("examples");
    all.extend(files("compiler/std"));
    all.extend(files("compiler/src/bin/fantail/start"));
    for page in ["README.md", "grammar/README.md", "grammar/grammar.md"] {
        all.extend(samples(page));
    }
    let mut wrong = String::new();
    for (name, text) in &all {
        let laid_out = tidy(text);
        if laid_out != *text {
            wrong.push_str(&format!("{name}:\n{}\n", diff(text, &laid_out)));
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    assert!(all.len() > 60, "only {} texts", all.len());
}

#[test]
fn examples_and_the_library_in_any_layout() {
    let examples = files("examples");
    for (name, text) in examples.iter().chain(&files("compiler/std")) {
        holds(name, text);
    }
    for (root, _) in examples.iter().filter(|(_, text)| text.contains("\nshow ")) {
        same_plan(&examples, root, 3);
    }
}

#[test]
fn sources_of_all_golden_cases_in_any_layout() {
    let pages = pages(&Path::new(env!("CARGO_MANIFEST_DIR")).join("golden"));
    for case in pages.iter().flat_map(|page| &page.cases) {
        for (name, text) in &case.sources {
            holds(&format!("{}, {name}", case.name), text);
        }
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
fn a_hundred_thousand_rows() {
    let timed = |rows| {
        let text = mangled(&sized::show(rows), 1);
        let began = Instant::now();
        let laid_out = tidy(&text);
        (began.elapsed(), laid_out.lines().count())
    };
    let ((few, _), (many, lines)) = (timed(5_000), timed(100_000));
    println!("5,000 rows in {few:?}, 100,000 ({lines} lines) in {many:?}");
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
