//! A thousand random shows that are right by construction draw no error and no warning. `FANTAIL_CORRECT` says how many.
#![allow(clippy::unwrap_used)]

use fantail::diagnostics::Severity;
use fantail::project::InMemory;
use fantail_tests::correct;
use std::collections::BTreeMap;
use std::path::Path;

#[test]
fn correct_shows_draw_nothing() {
    let shows = std::env::var("FANTAIL_CORRECT").ok().and_then(|text| text.parse().ok()).unwrap_or(1_000);
    let mut told: BTreeMap<&str, (u32, u64, String)> = BTreeMap::new();
    for seed in 0..shows {
        let files = InMemory::default().with("show.fantail", correct::show(seed));
        let compiled = fantail::compile(Path::new("show.fantail"), &files);
        for found in compiled.diagnostics.iter().filter(|found| found.severity != Severity::Note) {
            let entry = told.entry(found.rule).or_insert((0, seed, found.message.clone()));
            entry.0 += 1;
        }
    }
    for (rule, (count, seed, message)) in &told {
        println!("{rule}: {count} times, first in show {seed}: {message}\n{}", correct::show(*seed));
    }
    assert!(told.is_empty(), "false alarms of {} rules", told.len());
}
