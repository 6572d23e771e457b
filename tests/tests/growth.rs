//! A check costs what its rows cost: sixteen times the rows, about sixteen times the work. A step that holds every
//! row against every other would cost 256 times; the bound lies at 64, by CPU time, so that neither a busy machine
//! nor a slow build decides anything.

use cpu_time::ProcessTime;
use fantail::project::InMemory;
use fantail::syntax::tidy::tidy;
use fantail_tests::sized;
use std::path::Path;

const ROWS: usize = 200;
const TIMES: usize = 16;
const MOST: f64 = 64.0;

/// Seconds of CPU: the least of some tries.
fn least(tries: usize, work: impl Fn()) -> f64 {
    let once = |_| {
        let start = ProcessTime::now();
        work();
        start.elapsed().as_secs_f64()
    };
    (0..tries).map(once).fold(f64::MAX, f64::min)
}

fn grows(what: &str, work: impl Fn(&str)) {
    let (small, large) = (sized::show(ROWS), sized::show(ROWS * TIMES));
    work(&small);
    let (few, many) = (least(5, || work(&small)), least(2, || work(&large)));
    let times = many / few;
    assert!(times < MOST, "{what}: {TIMES} times the rows cost {times:.0} times as much");
}

#[test]
fn a_check_and_a_layout_grow_with_their_rows() {
    grows("tidy", |text| drop(tidy(text)));
    grows("check", |text| {
        let files = InMemory::default().with("show.fantail", text);
        let compiled = fantail::compile(Path::new("show.fantail"), &files);
        assert!(!compiled.has_errors());
    });
}

#[test]
fn the_search_takes_as_many_steps_as_there_are_rows() {
    let steps = |rows: usize| {
        let files = InMemory::default().with("show.fantail", sized::show(rows));
        fantail::analyse(Path::new("show.fantail"), &files).solution.steps
    };
    let (few, many) = (steps(320), steps(3200));
    assert!(many <= few * 11, "{few} steps, then {many}");
}
