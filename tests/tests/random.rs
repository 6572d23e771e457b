//! Large random shows: what compiles is proven twice over, in any order of rows; what does not is told with
//! rows of which none can be left out and changes that work. `FANTAIL_SHOWS` says how many shows (150 take
//! some forty seconds unoptimised on two processors), `FANTAIL_SEED` the first seed, `FANTAIL_FAILURES` how
//! many failures of a kind are made small and shown.

use fantail_tests::large::{CONFLICTS, Judged, Text, draw, judge, shrunk};
use fantail_tests::outside::Folder;
use std::collections::BTreeMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

fn number(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

/// Shows, tidy ones and others.
#[derive(Default)]
struct Counts {
    shows: [u64; 2],
    clean: [u64; 2],
    conflicting: [u64; 2],
    conflicts: u64,
    largest: usize,
    fixes: u64,
    without_fix: u64,
    errors: BTreeMap<&'static str, [u64; 2]>,
    faults: BTreeMap<&'static str, u64>,
    slowest: Vec<(Duration, u64)>,
    failures: Vec<(u64, Text, &'static str, String)>,
}

impl Counts {
    fn add(&mut self, seed: u64, text: Text, tidy: bool, judged: Judged, took: Duration) {
        let at = usize::from(!tidy);
        self.shows[at] += 1;
        self.clean[at] += u64::from(judged.errors.is_empty());
        self.conflicting[at] += u64::from(judged.conflicts > 0);
        self.conflicts += judged.conflicts;
        self.largest = self.largest.max(judged.largest);
        self.fixes += judged.fixes;
        self.without_fix += judged.without_fix;
        for rule in judged.errors.keys() {
            self.errors.entry(rule).or_default()[at] += 1;
        }
        self.slowest.push((took, seed));
        self.slowest.sort_by(|a, b| b.cmp(a));
        self.slowest.truncate(5);
        for (fault, said) in judged.faults {
            *self.faults.entry(fault).or_default() += 1;
            self.failures.push((seed, text.clone(), fault, said));
        }
    }

    fn print(&self) {
        for (at, word) in ["tidy", "untidy"].iter().enumerate() {
            println!(
                "{} {word} shows: {} clean ({} %), {} with conflicts of rows",
                self.shows[at],
                self.clean[at],
                self.clean[at] * 100 / self.shows[at].max(1),
                self.conflicting[at],
            );
        }
        println!(
            "{} conflicts, the largest of {} rows; {} changes applied, {} times none was found",
            self.conflicts, self.largest, self.fixes, self.without_fix
        );
        for (rule, [tidy, untidy]) in &self.errors {
            let mark = if CONFLICTS.contains(rule) { " (conflict)" } else { "" };
            println!("  {rule}{mark}: {tidy} tidy shows, {untidy} untidy");
        }
        println!("  faults: {:?}", self.faults);
        println!("  slowest: {:?}", self.slowest);
    }
}

/// All shows, on as many threads as there are processors; the clean plans go into the folder.
fn run(first: u64, shows: u64, folder: &Folder) -> Counts {
    let counts = Mutex::new(Counts::default());
    let next = AtomicU64::new(first);
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                loop {
                    let seed = next.fetch_add(1, Ordering::Relaxed);
                    if seed >= first + shows {
                        break;
                    }
                    let (text, tidy) = draw(seed);
                    let start = Instant::now();
                    let judged = judge(&text, None);
                    if let Some(plan) = &judged.plan {
                        folder.put(&format!("show-{seed}"), plan);
                    }
                    counts.lock().unwrap().add(seed, text, tidy, judged, start.elapsed());
                }
            });
        }
    });
    counts.into_inner().unwrap()
}

/// One of each fault, made small.
fn shown(mut failures: Vec<(u64, Text, &'static str, String)>) -> String {
    failures.sort_by_key(|(seed, _, fault, _)| (*fault, *seed));
    let each = number("FANTAIL_FAILURES", 2) as usize;
    let mut told: BTreeMap<&'static str, usize> = BTreeMap::new();
    let mut out = String::new();
    for (seed, text, fault, said) in failures {
        let count = told.entry(fault).or_default();
        *count += 1;
        if *count > each {
            continue;
        }
        let small = shrunk(&text, fault);
        let now = judge(&small, Some(fault)).faults.into_iter().find(|(name, _)| *name == fault);
        let now = now.map_or(String::new(), |(_, said)| said);
        out.push_str(&format!("\n=== seed {seed}: {fault}: {said}\nmade small: {now}\n{}", small.shown()));
    }
    out
}

#[test]
fn every_show_is_proven_or_told() {
    let shows = number("FANTAIL_SHOWS", 150);
    let folder = Folder::new("random");
    let counts = run(number("FANTAIL_SEED", 0), shows, &folder);
    counts.print();
    let (right, told) = folder.recompute();
    let failures = shown(counts.failures);
    assert!(failures.is_empty(), "{failures}");
    assert!(right, "{told}");
    if shows >= 100 {
        let [clean, _] = counts.clean;
        assert!(clean * 100 >= counts.shows[0] * 40, "only {clean} of {} tidy shows are clean", counts.shows[0]);
    }
}
