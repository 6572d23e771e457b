//! Compiles the grammar's parser and scanner.

fn main() {
    let mut build = cc::Build::new();
    // Tables of a megabyte: optimising them takes long and gains nothing.
    build.std("c11").include("src").opt_level(1).warnings(false);
    for file in ["src/parser.c", "src/scanner.c"] {
        println!("cargo:rerun-if-changed={file}");
        build.file(file);
    }
    println!("cargo:rerun-if-changed=src/statement_words.h");
    build.compile("tree-sitter-fantail");
}
