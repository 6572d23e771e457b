//! Prints a show of so many input rows: `cargo run -p fantail-tests --example sized -- 5000 > long.fantail`.

fn main() {
    let rows = std::env::args().nth(1).and_then(|rows| rows.parse().ok()).unwrap_or(500);
    print!("{}", fantail_tests::sized::show(rows));
}
