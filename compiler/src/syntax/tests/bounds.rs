//! Texts that are too much, or nothing that anybody wrote: they are read to the end all the same.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::read;
use std::fmt::Write;

const AFTER: &str = "\nclock foh\n";

fn slugs(text: &str) -> Vec<&'static str> {
    let mut slugs: Vec<_> = read(text).diagnostics.iter().map(|diagnostic| diagnostic.rule).collect();
    slugs.dedup();
    slugs
}

#[test]
fn brackets_without_end() {
    for bracket in ["{", "}", "(", "[", "act a {", "inputs {", "{ \n", "act a {\n"] {
        let text = bracket.repeat(100_000) + AFTER;
        let parsed = read(&text);
        assert!(!parsed.diagnostics.is_empty(), "{bracket}");
    }
    assert_eq!(slugs(&("{".repeat(300) + AFTER)), ["nested-too-deep"]);
    assert_eq!(slugs(&("{".repeat(100_000) + AFTER)), ["row-too-long"]);
    assert_eq!(read(&("{".repeat(100_000) + AFTER)).statements.len(), 1);
    assert_eq!(read(&("(".repeat(100_000) + AFTER)).statements.len(), 1);
}

#[test]
fn a_very_long_line() {
    for piece in ["kick, ", "1", "\"", "# ", "a.", "-", "é", "\u{0}", "→ ", "gain 3 dB + ", "48 V "] {
        let text = format!("group a {}{AFTER}", piece.repeat(10_000_000 / piece.len()));
        let parsed = read(&text);
        assert_eq!(parsed.statements.last().map(|s| &text[s.span.range()]), Some("clock foh"), "{piece:?}");
        assert!(parsed.diagnostics.len() <= 2, "{piece:?}");
    }
}

#[test]
fn a_long_row_after_its_block_began() {
    let text = format!("inputs foh {{ 1 kick from a {}\n 2 snare\n}}", "1, ".repeat(4090));
    assert_eq!(slugs(&text), ["row-too-long"]);
    assert!(read(&text).broken.contains("kick"));
    let text = format!("group a {}b{AFTER}", "b,\n".repeat(5000));
    assert_eq!(slugs(&text), ["row-too-long"]);
    assert_eq!(read(&text).statements.len(), 1);
}

#[test]
fn a_hundred_thousand_rows() {
    let mut text = String::from("inputs foh {\n");
    for n in 1..=100_000 {
        writeln!(
            text,
            "  {n}  source-{n}  dynamic  from box-{} {}  phantom  gain 32 dB  note \"row\"",
            n / 32,
            n % 32 + 1
        )
        .unwrap();
    }
    text.push('}');
    assert_eq!(slugs(&text), [""; 0]);
    let broken = text.replace("phantom", "fantom");
    assert_eq!(read(&broken).diagnostics.len(), 100_000);
}

#[test]
fn any_cut_of_a_text_reads() {
    let text = super::SHOW;
    for (at, _) in text.char_indices().step_by(7) {
        read(&text[..at]);
        read(&text[at..]);
    }
    for seed in 0..200usize {
        let bytes: Vec<char> = text.chars().collect();
        let pick = |n: usize| bytes[(n * 7919 + seed * 104_729 + n * n * 31) % bytes.len()];
        read(&(0..300).map(pick).collect::<String>());
    }
}
