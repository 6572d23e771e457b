//! Writes `grammar/tree-sitter-fantail/src` from its `grammar.js`, with the generator as a library. With
//! `--check` it only tells whether what is there is up to date. It touches nothing else.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use tree_sitter_generate::{OptLevel, generate_parser_in_directory};

/// The newest that older editors read too.
const ABI: usize = 14;

/// What is generated; `scanner.c` is written by hand.
const WRITTEN: &[&str] = &[
    "parser.c",
    "grammar.json",
    "node-types.json",
    "tree_sitter/alloc.h",
    "tree_sitter/array.h",
    "tree_sitter/parser.h",
];

fn main() -> ExitCode {
    let grammar = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../grammar/tree-sitter-fantail");
    let check = std::env::args().any(|argument| argument == "--check");
    let out =
        if check { std::env::temp_dir().join(format!("fantail-{}", std::process::id())) } else { grammar.join("src") };
    let mut told = Vec::new();
    let made = generate_parser_in_directory::<_, _, PathBuf>(
        &grammar,
        Some(&out),
        None,
        ABI,
        None,
        Some("node"),
        true,
        OptLevel::default(),
        &mut told,
    );
    for line in told {
        eprintln!("{line:?}");
    }
    if let Err(problem) = made {
        eprintln!("{problem}");
        return ExitCode::FAILURE;
    }
    if !check {
        return ExitCode::SUCCESS;
    }
    let stale: Vec<&str> =
        WRITTEN.iter().copied().filter(|file| read(&out, file) != read(&grammar.join("src"), file)).collect();
    let _ = fs::remove_dir_all(&out);
    if stale.is_empty() {
        return ExitCode::SUCCESS;
    }
    eprintln!("out of date: {}; run tests/editors/generate and commit what it writes", stale.join(", "));
    ExitCode::FAILURE
}

fn read(folder: &Path, file: &str) -> Vec<u8> {
    fs::read(folder.join(file)).unwrap_or_default()
}
