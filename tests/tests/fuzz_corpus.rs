//! The bodies of the fuzz targets over the kept corpus: what once made trouble stays cured, without a fuzzer.

#[path = "../fuzz/bodies.rs"]
mod bodies;

use std::fs;
use std::path::Path;

fn over(target: &str, body: fn(&[u8])) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/corpus").join(target);
    let mut inputs: Vec<_> = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    inputs.sort();
    assert!(inputs.len() > 15, "{} has hardly any inputs", folder.display());
    for input in &inputs {
        let name = input.display();
        // Printed only where the test fails: the last one is the culprit.
        println!("{name}");
        body(&fs::read(input).unwrap());
    }
    println!("{target}: {} inputs", inputs.len());
}

#[test]
fn everything_kept_parses() {
    over("parse", bodies::parse);
}

#[test]
fn everything_kept_compiles() {
    over("compile", bodies::compile);
}

#[test]
fn everything_kept_can_be_laid_out() {
    over("parse", bodies::tidy);
    over("compile", bodies::tidy);
}

#[test]
fn everything_kept_merges() {
    over("merge", bodies::merge);
}

#[test]
fn everything_kept_can_be_compared() {
    over("compare", bodies::compare);
}
