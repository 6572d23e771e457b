//! A thousand random shows that are right by construction draw no error and no warning. `FANTAIL_CORRECT` says how many.
#![allow(clippy::unwrap_used)]

use fantail::diagnostics::Severity;
use fantail::project::InMemory;
use fantail_tests::correct;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};

#[test]
fn correct_shows_draw_nothing() {
    let shows = std::env::var("FANTAIL_CORRECT").ok().and_then(|text| text.parse().ok()).unwrap_or(1_000);
    let next = AtomicU64::new(0);
    let told: Mutex<BTreeMap<&str, (u32, u64, String)>> = Mutex::default();
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                loop {
                    let seed = next.fetch_add(1, Ordering::Relaxed);
                    if seed >= shows {
                        break;
                    }
                    let files = InMemory::default().with("show.fantail", correct::show(seed));
                    let compiled = fantail::compile(Path::new("show.fantail"), &files);
                    for found in compiled.diagnostics.iter().filter(|found| found.severity != Severity::Note) {
                        let mut told = told.lock().unwrap();
                        told.entry(found.rule).or_insert((0, seed, found.message.clone())).0 += 1;
                    }
                }
            });
        }
    });
    let told = told.into_inner().unwrap();
    for (rule, (count, seed, message)) in &told {
        println!("{rule}: {count} times, first in show {seed}: {message}\n{}", correct::show(*seed));
    }
    assert!(told.is_empty(), "false alarms of {} rules", told.len());
}
