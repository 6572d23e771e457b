//! The most memory that a whole check has in use at once, a row of the show:
//! `cargo bench -p fantail-tests --bench memory`. The aim is 2,500 bytes a row at 100,000 rows.

use fantail::project::InMemory;
use fantail_tests::sized;
use peak_alloc::PeakAlloc;
use std::path::Path;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

fn main() {
    for rows in [500, 5_000, 100_000] {
        let files = InMemory::default().with("show.fantail", sized::show(rows));
        MEMORY.reset_peak_usage();
        let before = MEMORY.current_usage();
        let compiled = fantail::compile(Path::new("show.fantail"), &files);
        let most = MEMORY.peak_usage().saturating_sub(before);
        assert!(!compiled.has_errors(), "the show of {rows} rows has errors");
        println!("{rows:>8} rows: {:>7} bytes a row at most", most / rows);
    }
}
