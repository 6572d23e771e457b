//! Bad input, of every kind that a disk, an editor or a slip of the hand makes: it is told at its line and
//! column, costs its own row, and leaves the others read and checked. The command's side of it (exit status,
//! what is no file) is in `compiler/tests/bad_input.rs`.

use fantail::Compiled;
use fantail::diagnostics::{Diagnostic, human};
use fantail::project::InMemory;
use std::fmt::Write;
use std::path::Path;
use std::time::Instant;

/// Before the bad part: five lines. After it, a row that is right and one that is not.
const BEFORE: &str = "show \"Night Ferry\"\ndesk foh is desk-48\nbox stage-left on foh.portA offset 1\ninputs foh {\n  1 kick dynamic from stage-left 1\n";
const AFTER: &str = "\n  13 hat dynamic from stage-left 13\n  14 ride dynamic from nowhere 4\n}\n";

fn compile(bytes: impl Into<Vec<u8>>) -> Compiled {
    fantail::compile(Path::new("show"), &InMemory::default().with("show", bytes))
}

fn place(compiled: &Compiled, diagnostic: &Diagnostic) -> String {
    let file = compiled.sources.get(diagnostic.span.file).unwrap();
    let at = file.lines.line_col(&file.text, diagnostic.span.start);
    format!("{}:{} {}", at.line, at.column, diagnostic.rule)
}

fn told(compiled: &Compiled) -> Vec<String> {
    let errors = compiled.diagnostics.iter().filter(|diagnostic| diagnostic.is_error());
    errors.map(|diagnostic| place(compiled, diagnostic)).collect()
}

/// What a person is shown stays readable, however long the file is.
fn printed(compiled: &Compiled) -> String {
    let mut out = Vec::new();
    human::write(&mut out, &compiled.sources, &compiled.diagnostics, human::Look::default()).unwrap();
    let text = String::from_utf8(out).unwrap();
    assert!(text.len() < 4096 * (1 + compiled.diagnostics.len()), "{} bytes for a reader", text.len());
    text
}

/// A bad row among good ones. `expected` is what is told of it; the wrong row after it is told as well,
/// and the right rows around it are sources of the show.
fn row(bad: impl AsRef<[u8]>, expected: &[&str]) {
    let bad = bad.as_ref();
    let name = String::from_utf8_lossy(&bad[..bad.len().min(60)]).into_owned();
    let compiled = compile([BEFORE.as_bytes(), bad, AFTER.as_bytes()].concat());
    let mut all: Vec<String> = expected.iter().map(|one| format!("6:{one}")).collect();
    // An editor ends a line there as well.
    let lone_returns = bad.windows(2).filter(|two| two[0] == b'\r' && two[1] != b'\n').count();
    all.push(format!("{}:24 unknown-name", 8 + lone_returns));
    assert_eq!(told(&compiled), all, "{name:?}\n{}", printed(&compiled));
    let sources: Vec<&str> = compiled.scenes[0].rows.iter().map(|row| row.name.as_str()).collect();
    assert!(sources.contains(&"kick") && sources.contains(&"hat"), "{name:?}: {sources:?}");
    assert!(compiled.plan.settings.is_empty());
    printed(&compiled);
}

/// A bad statement before a block that has a wrong row.
fn statement(bad: &str, expected: &[&str]) {
    let lines = bad.lines().count();
    let compiled = compile(format!("{BEFORE}}}\n{bad}\ninputs foh {{{AFTER}"));
    let mut all: Vec<String> = expected.iter().map(|one| one.to_string()).collect();
    all.push(format!("{}:24 unknown-name", 6 + lines + 3));
    assert_eq!(told(&compiled), all, "{bad:?}\n{}", printed(&compiled));
}

#[test]
fn characters_that_a_patch_should_not_hold() {
    row("  2 sn\0are dynamic from stage-left 2", &["7 strange-character"]);
    row("  2 snare\r dynamic from stage-left 2", &["10 strange-character"]);
    row("  2 snare\u{1b}[31m dynamic from stage-left 2", &["10 strange-character"]);
    row("  2 snare\u{202e} dynamic from stage-left 2", &["10 strange-character"]);
    row("  2 snare dynamic from stage-left 2 note \"a\u{2066}b\"", &["44 strange-character"]);
    row("  2 sna\u{200d}re dynamic from stage-left 2", &["8 strange-character"]);
    row("  2 👩‍🎤 dynamic from stage-left 2", &["5 strange-character"]);
}

#[test]
fn bytes_that_are_no_text() {
    row(b"  2 sna\xff\xfere dynamic from stage-left 2", &["8 not-utf-8"]);
    row(b"  2 snare dynamic from stage-left 2 note \"\xe2\x82", &["43 not-utf-8"]);
    row(b"  # \xf0\x28\x8c\xbc", &["5 not-utf-8"]);
}

/// Columns count characters; what is printed never lets a control through.
#[test]
fn wide_and_combining_text_keeps_its_columns() {
    row("  2 スネア dynamic from stage-left 2 gaim 3 dB", &["35 unknown-attribute"]);
    row("  2 snare\u{301} dynamic from stage-left 2 gaim 3 dB", &["38 unknown-attribute"]);
    let compiled = compile("show \"x\"\ninputs foh { 1 \u{1b}[31mkick\u{202e} dynamic }\n");
    let text = printed(&compiled);
    assert!(!text.contains(['\u{1b}', '\u{202e}']), "{text:?}");
}

#[test]
fn the_byte_order_mark_and_line_ends_move_nothing() {
    let text = format!("{BEFORE}{}", AFTER.trim_start_matches('\n'));
    let windows = format!("\u{feff}{}", text.replace('\n', "\r\n"));
    let lines = |compiled: &Compiled| -> Vec<String> { told(compiled) };
    assert_eq!(lines(&compile(windows)), lines(&compile(text)));
}

#[test]
fn lines_of_ten_megabytes() {
    let ten = 10_000_000;
    row(format!("  2 snare dynamic from {}", "a, ".repeat(ten / 3)), &["3 row-too-long"]);
    row(format!("  2 {}", "a".repeat(ten)), &["5 row-too-long"]);
    row(format!("  2 {}", "é".repeat(ten / 2)), &["5 row-too-long"]);
    row(format!("  2 snare dynamic from stage-left 2 note \"{}", "a".repeat(ten)), &["42 row-too-long"]);
    row(format!("  2 snare dynamic from stage-left {}", "9".repeat(ten)), &["35 row-too-long"]);
    row(format!("  # {}", "a".repeat(ten)), &[]);
    row(" ".repeat(ten), &[]);
}

#[test]
fn a_hundred_thousand_brackets() {
    row("{".repeat(100_000), &["1 row-too-long"]);
    row("(".repeat(100_000), &["1 row-too-long"]);
    row("[".repeat(100_000), &["1 row-too-long"]);
    for piece in ["}", "{\n", "act a {", "act a {\n", "model m {\n", "inputs foh {\n", "\"", ";", ".", "-"] {
        let compiled = compile(format!("show \"x\"\ndesk foh\n{}", piece.repeat(100_000)));
        printed(&compiled);
        assert!(compiled.diagnostics.len() <= 200_001, "{piece:?}: {}", compiled.diagnostics.len());
    }
}

#[test]
fn numbers_past_any_range() {
    row("  4294967295 snare dynamic from stage-left 2", &["3 no-such-point"]);
    row("  0 snare dynamic from stage-left 2", &["3 no-such-point"]);
    row("  2 snare dynamic from stage-left 1-4294967295", &["35 no-such-point"]);
    row(format!("  2 snare dynamic from stage-left 2 gain {} dB", "9".repeat(400)), &["42 bad-number"]);
    row("  2 snare dynamic from stage-left 2 gain 1e308 dB", &["42 wrong-unit"]);
    row(format!("  2 snare dynamic from stage-left 2 level {} dB SPL", "9".repeat(23)), &["43 bad-number"]);
    statement("box b on stage-left.thru offset 4294967295", &["7:33 offset-not-possible"]);
    statement("box b on stage-left.thru offset 0", &["7:33 offset-not-possible"]);
    statement(&format!("box b on stage-left.thru cable {} m", "9".repeat(320)), &["7:32 bad-number"]);
    statement("rate 999999999999 kHz", &["7:6 bad-number"]);
    statement("rate 0 Hz", &["7:6 wrong-unit"]);
    statement("act a \"A\" from 99:99 to 25:61 { }", &["7:16 bad-time", "7:25 bad-time"]);
    statement("snake s to stage-left 1-4294967295", &["7:23 no-such-point"]);
    statement("outside truck \"T\" in 1-4294967295", &["7:22 bank-out-of-size"]);
    statement("model m {\n  in 1-4294967295 mic\n}", &["8:6 bank-out-of-size"]);
    statement("model m {\n  in 1-8 mic phantom in groups of 0\n}", &["8:35 bad-number"]);
    for day in ["2026-02-30", "2026-13-01", "0000-00-00", "9999-99-99"] {
        let compiled = compile(format!("show \"x\" on {day}\n{AFTER}"));
        assert_eq!(told(&compiled).first().map(String::as_str), Some("1:13 bad-date"), "{day}");
    }
}

/// What is far too large is told once as that, and the number that stands in for it is not told as well.
#[test]
fn a_number_too_large_to_hold_is_at_least_told() {
    for bad in ["  99999999999 snare dynamic from stage-left 2", "  2 snare dynamic from stage-left 99999999999"] {
        let compiled = compile(format!("{BEFORE}{bad}{AFTER}"));
        let told = told(&compiled);
        assert!(told.iter().any(|one| one.starts_with("6:") && one.ends_with("bad-number")), "{told:?}");
        assert!(told.contains(&"8:24 unknown-name".to_string()), "{told:?}");
    }
}

#[test]
fn files_that_cannot_be_read() {
    let files = InMemory::default()
        .with("show", "include \"rog\"\ninclude \"gear\"\ninclude \"a\"\nshow \"x\"\ndesk foh\ninputs foh { 1 kick dynamic from nowhere 1 }\n")
        .with("rig", "")
        .with("gear/boxes", "")
        .with("a", "include \"b\"")
        .with("b", "include \"a\"");
    let compiled = fantail::compile(Path::new("show"), &files);
    let told = told(&compiled);
    for expected in ["1:9 file-missing", "2:9 folder-in-place-of-file", "1:9 include-cycle"] {
        assert!(told.contains(&expected.to_string()), "{expected}: {told:?}");
    }
    assert!(fantail::compile(Path::new("none"), &files).root_unread);
    assert!(fantail::compile(Path::new("gear"), &files).root_unread);
}

#[test]
fn things_that_contain_themselves() {
    for text in [
        "desk a\nbox b on b.thru\nbox c on d.thru\nbox d on c.thru\ninputs a { 1 k dynamic from c 1 }",
        "desk a\nlink a.portA to a.portB\nlink a.portC to a.portC",
        "desk a\nsnake s to s 1-12\nsnake t to u 1-12\nsnake u to t 1-12\ninputs a { 1 k dynamic from t 1 }",
        "desk a\ngroup g g, h\ngroup h g\nkeep g out of pa",
    ] {
        let compiled = compile(format!("show \"x\"\n{text}\n"));
        assert!(compiled.has_errors(), "{text}");
    }
    compile("show \"x\"\ndesk a\ndesk b\ninputs a same as b\ninputs b same as a\n");
}

#[test]
fn nothing_at_all() {
    for text in ["", "\n", "\u{feff}", "# nothing\n", " \t "] {
        assert_eq!(told(&compile(text)), [""; 0], "{text:?}");
    }
}

/// Twenty times the rows cost less than sixty times the time: nothing here is quadratic.
#[test]
fn a_hundred_thousand_rows() {
    let rows = |count: usize| {
        let mut text = String::from("show \"x\"\ndesk foh\ninputs foh {\n");
        for n in 1..=count {
            writeln!(text, "  {n} source-{n} dynamic from box-{} {}", n / 16, n % 16 + 1).unwrap();
        }
        text + "}\n"
    };
    let timed = |count| {
        let (text, began) = (rows(count), Instant::now());
        let compiled = compile(text);
        (compiled, began.elapsed())
    };
    let (_, few) = timed(5_000);
    let (compiled, many) = timed(100_000);
    assert!(compiled.diagnostics.len() >= 100_000, "{}", compiled.diagnostics.len());
    assert!(compiled.diagnostics.len() <= 300_000, "{}", compiled.diagnostics.len());
    println!("5,000 wrong rows in {few:?}, 100,000 in {many:?}");
    assert!(many < few * 60, "{few:?} became {many:?}");
    assert!(printed(&compiled).len() < 4_000_000);
}
