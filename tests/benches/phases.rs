//! The phases of a check, one by one, on shows of growing size, with the rows that each does in a second: where that
//! number falls with the size, a phase costs more than its rows. `cargo bench -p fantail-tests --bench phases`.

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use fantail::project::{self, InMemory, Show};
use fantail::{Analysis, draft, plan, rig, route, rules, source, syntax, verify, wants};
use fantail_tests::sized;
use std::path::Path;
use std::sync::Arc;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const ROWS: &[usize] = &[500, 5_000, 50_000];
const ROOT: &str = "show.fantail";

fn main() {
    divan::main();
}

/// Times one phase on what the phases before it made of a show.
fn phase<T>(bencher: Bencher, rows: usize, work: impl Fn(&Analysis) -> T) {
    let files = files(rows);
    let analysis = fantail::analyse(Path::new(ROOT), &files);
    bencher.counter(ItemsCount::new(rows)).bench_local(|| black_box(work(&analysis)));
}

fn files(rows: usize) -> InMemory {
    InMemory::default().with(ROOT, sized::show(rows))
}

#[divan::bench(args = ROWS, sample_count = 5, sample_size = 1)]
fn a_lexing(bencher: Bencher, rows: usize) {
    let text = sized::show(rows);
    bencher.counter(ItemsCount::new(rows)).bench_local(|| syntax::tokens::tokens(&text));
}

#[divan::bench(args = ROWS, sample_count = 5, sample_size = 1)]
fn b_parsing(bencher: Bencher, rows: usize) {
    let text = sized::show(rows);
    bencher.counter(ItemsCount::new(rows)).bench_local(|| syntax::parse(source::FileId(0), &text));
}

#[divan::bench(args = ROWS, sample_count = 5, sample_size = 1)]
fn c_gathering(bencher: Bencher, rows: usize) {
    phase(bencher, rows, |analysis| project::gather(&analysis.project));
}

#[divan::bench(args = ROWS, sample_count = 5, sample_size = 1)]
fn d_rig(bencher: Bencher, rows: usize) {
    phase(bencher, rows, |analysis| rig_of(&analysis.show));
}

#[divan::bench(args = ROWS, sample_count = 5, sample_size = 1)]
fn e_rig_and_wants(bencher: Bencher, rows: usize) {
    phase(bencher, rows, |Analysis { show, .. }| {
        wants::scene(show, &show.house, rig_of(show), &Arc::new(wants::of_acts(show)), &mut Vec::new())
    });
}

fn rig_of(show: &Show) -> rig::Rig {
    rig::build(show, &rig::Gear::of(show, &mut Vec::new()), &show.house, None, &mut Vec::new())
}

#[divan::bench(args = ROWS, sample_count = 5, sample_size = 1)]
fn f_routing(bencher: Bencher, rows: usize) {
    phase(bencher, rows, routed);
}

fn routed(analysis: &Analysis) -> route::Solution {
    route::route(&analysis.scenes, &route::Effort::default(), &mut Vec::new())
}

#[divan::bench(args = ROWS, sample_count = 5, sample_size = 1)]
fn g_routing_and_drafting(bencher: Bencher, rows: usize) {
    phase(bencher, rows, |analysis| -> plan::Plan {
        draft::draft(&analysis.show, &analysis.scenes, &mut routed(analysis))
    });
}

#[divan::bench(args = ROWS, sample_count = 5, sample_size = 1)]
fn h_proving(bencher: Bencher, rows: usize) {
    phase(bencher, rows, |analysis| verify::verify(&analysis.plan, &analysis.wanted));
}

#[divan::bench(args = ROWS, sample_count = 5, sample_size = 1)]
fn i_rules(bencher: Bencher, rows: usize) {
    phase(bencher, rows, |Analysis { show, scenes, solution, plan, found, .. }| {
        rules::check(&rules::Facts::new(show, scenes, solution, plan, found), found)
    });
}

#[divan::bench(args = ROWS, sample_count = 5, sample_size = 1)]
fn j_plan_as_text(bencher: Bencher, rows: usize) {
    phase(bencher, rows, |analysis| plan::text(&analysis.plan, None, None));
}

#[divan::bench(args = ROWS, sample_count = 5, sample_size = 1)]
fn k_tidying(bencher: Bencher, rows: usize) {
    let text = sized::show(rows);
    bencher.counter(ItemsCount::new(rows)).bench_local(|| syntax::tidy::tidy(&text));
}

#[divan::bench(args = ROWS, sample_count = 5, sample_size = 1)]
fn z_whole_check(bencher: Bencher, rows: usize) {
    let files = files(rows);
    bencher.counter(ItemsCount::new(rows)).bench_local(|| fantail::compile(Path::new(ROOT), &files));
}
