//! Ratios measured in one run, so that they hold on any machine: `cargo bench -p fantail-tests --bench ratios`.
//! `-- --quick` takes small shows, `-- --compare` measures comparing alone. CPU time and counted steps, with the command's own allocator; nothing here fails a build.

use cpu_time::ProcessTime;
use fantail::at_once::{at_once, both};
use fantail::compare::{Said, compare};
use fantail::project::InMemory;
use fantail_tests::sized;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const ROOT: &str = "show.fantail";

/// What a whole check of a show took.
struct Measured {
    rows: usize,
    lexing: f64,
    parsing: f64,
    check: f64,
    steps: u64,
    /// The rules alone.
    rules: f64,
}

fn main() {
    if std::env::args().any(|a| a == "--compare") {
        return comparing();
    }
    let sizes: &[usize] = if std::env::args().any(|a| a == "--quick") { &[32, 500] } else { &[32, 500, 5_000, 50_000] };
    println!(
        "{:>8} {:>10} {:>10} {:>10} {:>10} {:>10} {:>12} {:>10}",
        "rows", "lex s", "parse s", "check s", "us a row", "x lexing", "rows/s", "rules"
    );
    let all: Vec<Measured> = sizes.iter().map(|rows| measured(*rows)).collect();
    for it in &all {
        let (ratio, rate) = (it.check / it.lexing, it.rows as f64 / it.check);
        println!(
            "{:>8} {:>10.5} {:>10.5} {:>10.5} {:>10.1} {ratio:>10.1} {rate:>12.0} {:>8.1} %",
            it.rows,
            it.lexing,
            it.parsing,
            it.check,
            1e6 / rate,
            it.rules / it.check * 100.0
        );
    }
    println!("aims at 50,000 rows: check at most 12 times lexing, 300,000 rows a second on two cores");
    for pair in all.windows(2) {
        let [small, large] = pair else { continue };
        let times = large.rows as f64 / small.rows as f64;
        let steps = large.steps as f64 / small.steps.max(1) as f64;
        let slope = (large.check / small.check).ln() / times.ln();
        println!(
            "{:>8} to {:>6} rows: {times:.1} times the rows, {steps:.1} times the steps, slope of time {slope:.2} (aim 1.1)",
            small.rows, large.rows
        );
    }
    comparing();
    startup();
}

/// Two shows of 5,000 rows, in the second all gains turned and another microphone at every fourth socket: from texts to
/// the comparison, and to the list of sheets to print again, beside one check; both sides at once, as the command does.
fn comparing() {
    let rows = if std::env::args().any(|a| a == "--quick") { 500 } else { 5_000 };
    let old = sized::show(rows);
    let new = old.replace(" dynamic    from", " ribbon     from").replace("gain 24 dB", "gain 22 dB");
    let plan = |text: &str| fantail::compile(Path::new(ROOT), &InMemory::default().with(ROOT, text));
    let told = |text: &str| {
        let compiled = plan(text);
        assert!(!compiled.has_errors(), "the shows to compare have errors");
        let origins = compiled.origins();
        (compiled.plan, origins)
    };
    let check = took(5, || drop(plan(&old)));
    let sides = || at_once(&[old.as_str(), &new], |text| told(text));
    let read = took(5, || drop(sides()));
    let sides = sides();
    let [was, now] = sides.as_slice() else { return };
    let (one, other) = (Said { plan: &was.0, origins: &was.1 }, Said { plan: &now.0, origins: &now.1 });
    let paper = || fantail::sheets::to_print_again(&was.0, &now.0);
    let alone = took(5, || drop(compare(one, other)));
    let list = took(5, || drop(paper()));
    let together = took(5, || drop(both(paper, || compare(one, other))));
    let changes = compare(one, other).changes.len();
    println!("compare two shows of {rows} rows, {changes} changes, in checks (aim: 3 of wall time on two cores)");
    println!("{:>28} {:>6} {:>6}", "", "wall", "CPU");
    for (what, it) in [
        ("both sides read", read),
        ("the comparison", alone),
        ("the list of sheets", list),
        ("in all, without the list", read.and(alone)),
        ("in all, with the list", read.and(together)),
    ] {
        println!("{what:>28} {:>6.2} {:>6.2}", it.wall / check.wall, it.cpu / check.cpu);
    }
}

/// Seconds for one round.
#[derive(Clone, Copy)]
struct Took {
    wall: f64,
    cpu: f64,
}

impl Took {
    fn and(self, other: Took) -> Took {
        Took { wall: self.wall + other.wall, cpu: self.cpu + other.cpu }
    }
}

/// The least of some tries, of each clock by itself.
fn took(tries: usize, mut work: impl FnMut()) -> Took {
    let mut best = Took { wall: f64::MAX, cpu: f64::MAX };
    for _ in 0..tries {
        let (start, busy) = (Instant::now(), ProcessTime::now());
        work();
        best.cpu = best.cpu.min(busy.elapsed().as_secs_f64());
        best.wall = best.wall.min(start.elapsed().as_secs_f64());
    }
    best
}

fn measured(rows: usize) -> Measured {
    let text = sized::show(rows);
    let rounds = (20_000 / rows).clamp(1, 50);
    let lexing = cpu(rounds * 4, || drop(fantail::syntax::tokens::tokens(&text)));
    let parsing = cpu(rounds, || drop(fantail::syntax::parse(fantail::source::FileId(0), &text)));
    let files = InMemory::default().with(ROOT, text.as_str());
    let check = cpu(rounds, || drop(fantail::compile(Path::new(ROOT), &files)));
    let analysis = fantail::analyse(Path::new(ROOT), &files);
    let errors: Vec<_> = analysis.found.iter().filter(|found| found.is_error()).map(|found| &found.message).collect();
    assert!(errors.is_empty(), "the show of {rows} rows has errors: {errors:?}");
    let facts = fantail::rules::Facts::new(
        &analysis.show,
        &analysis.scenes,
        &analysis.solution,
        &analysis.plan,
        &analysis.found,
    );
    let rules = cpu(rounds, || drop(fantail::rules::check(&facts, &analysis.found)));
    Measured { rows, lexing, parsing, check, steps: analysis.solution.steps, rules }
}

/// Seconds of CPU for one round: the least of three tries.
fn cpu(rounds: usize, mut work: impl FnMut()) -> f64 {
    let mut best = f64::MAX;
    for _ in 0..3 {
        let start = ProcessTime::now();
        (0..rounds).for_each(|_| work());
        best = best.min(start.elapsed().as_secs_f64() / rounds as f64);
    }
    best
}

/// A show of 32 rows against `fantail --version`, run in turn.
fn startup() {
    let Some(command) = command() else {
        println!("start: build the command first, `cargo build --release`");
        return;
    };
    let show = std::env::temp_dir().join(format!("fantail-ratios-{}.fantail", std::process::id()));
    if std::fs::write(&show, sized::show(32)).is_err() {
        println!("start: no room for a temporary file");
        return;
    }
    let run = |arguments: &[&std::ffi::OsStr]| {
        let start = Instant::now();
        let done = Command::new(&command).args(arguments).output();
        done.map(|_| start.elapsed().as_secs_f64() * 1000.0).unwrap_or(f64::NAN)
    };
    let mut more: Vec<f64> =
        (0..41).map(|_| run(&["check".as_ref(), show.as_os_str()]) - run(&["--version".as_ref()])).collect();
    more.sort_by(f64::total_cmp);
    let _ = std::fs::remove_file(&show);
    println!("check of 32 rows takes {:.2} ms more than --version (median of 41; aim 3)", more[more.len() / 2]);
}

/// The release command beside this benchmark.
fn command() -> Option<PathBuf> {
    let own = std::env::current_exe().ok()?;
    let command = own.parent()?.parent()?.join("fantail");
    command.is_file().then_some(command)
}
