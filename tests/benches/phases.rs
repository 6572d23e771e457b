//! The phases of a check, on shows of growing size: `cargo bench -p fantail-tests --bench phases`.

use fantail::project::InMemory;
use fantail_tests::sized;
use std::path::Path;

const ROWS: &[usize] = &[32, 500, 5_000];

fn main() {
    divan::main();
}

#[divan::bench(args = ROWS)]
fn lexing(bencher: divan::Bencher, rows: usize) {
    let text = sized::show(rows);
    bencher.bench_local(|| fantail::syntax::tokens::tokens(&text));
}

#[divan::bench(args = ROWS)]
fn parsing(bencher: divan::Bencher, rows: usize) {
    let text = sized::show(rows);
    bencher.bench_local(|| fantail::syntax::parse(fantail::source::FileId(0), &text));
}

#[divan::bench(args = ROWS, sample_count = 10)]
fn whole_check(bencher: divan::Bencher, rows: usize) {
    let files = InMemory::default().with("show.fantail", sized::show(rows));
    bencher.bench_local(|| fantail::compile(Path::new("show.fantail"), &files));
}
