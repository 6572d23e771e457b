//! What a person sees, on texts that are out to spoil it.
#![allow(clippy::unwrap_used)]

use super::*;
use crate::diagnostics::{Diagnostic, Edit};

const PLAIN: Look = Look { colour: false, ascii: true };

fn one_file(text: &str) -> (Sources, FileId) {
    let mut sources = Sources::default();
    let id = sources.add("show.fantail".into(), None, text.into());
    (sources, id)
}

fn drawn(sources: &Sources, diagnostics: &[Diagnostic]) -> String {
    let mut out = Vec::new();
    write(&mut out, sources, diagnostics, PLAIN).unwrap();
    String::from_utf8(out).unwrap()
}

fn span_of(sources: &Sources, id: FileId, what: &str) -> Span {
    let at = sources.get(id).unwrap().text.find(what).unwrap();
    Span::new(id, at, at + what.len())
}

#[test]
fn both_places_and_the_help_are_there() {
    let (sources, id) = one_file("desk foh\nbox a on foh.portA\nbox a on foh.portB\n");
    let diagnostic = Diagnostic::error("name-declared-twice", Span::new(id, 32, 33), "`a` is declared twice")
        .label(Span::new(id, 13, 14), "first here")
        .help("give one of them another name");
    let drawn = drawn(&sources, &[diagnostic]);
    assert_eq!(
        drawn,
        "\
error: `a` is declared twice [name-declared-twice]
   ,-[ show.fantail:3:5 ]
   |
 2 | box a on foh.portA
   |     |  
   |     `-- first here
 3 | box a on foh.portB
   |     |  
   |     `-- here
   | 
   | Help: give one of them another name
---'

"
    );
}

#[test]
fn a_place_that_a_label_speaks_of_is_not_marked_twice() {
    let (sources, id) = one_file("1 kick from stage 1\n2 snare\n");
    let row = Diagnostic::error("x", Span::new(id, 0, 19), "m").label(Span::new(id, 12, 19), "needs this");
    let elsewhere = Diagnostic::error("x", Span::new(id, 0, 6), "m").label(Span::new(id, 12, 19), "needs this");
    assert!(!drawn(&sources, &[row]).contains("here"));
    assert!(drawn(&sources, &[elsewhere]).contains("here"));
}

#[test]
fn a_label_in_another_file_has_its_own_place_there() {
    let (mut sources, id) = one_file("include \"rig.fantail\"\nbox ギター on foh.portA\n");
    let rig = sources.add("rig.fantail".into(), None, format!("# {}\nbox ギター on foh.portB\n", "日本語".repeat(10)));
    let diagnostic = Diagnostic::error("x", span_of(&sources, id, "ギター"), "twice")
        .label(span_of(&sources, rig, "ギター"), "first here");
    let drawn = drawn(&sources, &[diagnostic]);
    assert!(drawn.contains("show.fantail:2:5 ]") && drawn.contains("rig.fantail:2:5 ]"), "{drawn}");
}

#[test]
fn no_span_can_hide_the_snippet_or_stop_the_drawing() {
    for text in
        ["", "a", "a\n", "日本", "日本\n\n", "\r\n\r\n", "e\u{301}\u{301}", "\u{feff}x", "\t\tx\r\n", "a\rb\u{85}c"]
    {
        let (sources, id) = one_file(text);
        let n = text.len() as u32 + 3;
        for (start, end) in (0..n).flat_map(|start| (0..n).map(move |end| (start, end))) {
            let diagnostic = Diagnostic::error("x", Span { file: id, start, end }, "m")
                .label(Span { file: id, start: end, end: start }, "l")
                .label(Span { file: id, start: 0, end: n }, "all");
            let drawn = drawn(&sources, &[diagnostic]);
            assert!(drawn.contains("show.fantail:") && drawn.contains("all"), "{text:?} {start}..{end}\n{drawn}");
        }
    }
}

#[test]
fn an_empty_text_is_named_and_not_drawn() {
    let (sources, id) = one_file("");
    let drawn = drawn(&sources, &[Diagnostic::error("x", Span::new(id, 0, 0), "nothing in it").help("write a show")]);
    assert_eq!(drawn, "error: nothing in it [x]\n  at show.fantail:1:1\n  help: write a show\n\n");
}

#[test]
fn an_unknown_file_still_gets_its_message() {
    let (sources, id) = one_file("a\n");
    let nowhere = Span::new(FileId(9), 0, 1);
    let diagnostics = [
        Diagnostic::error("x", nowhere, "message").help("do this"),
        Diagnostic::error("x", Span::new(id, 0, 1), "m").label(nowhere, "told anyway"),
    ];
    let drawn = drawn(&sources, &diagnostics);
    assert!(drawn.contains("error: message [x]\n  help: do this") && drawn.contains("told anyway"), "{drawn}");
}

#[test]
fn nothing_of_the_file_reaches_the_terminal_raw() {
    let (mut sources, _) = one_file("");
    let id = sources.add("a\u{1b}[31m.fantail".into(), None, "x \u{1b}]0;title\u{7} \u{202e}evil\u{2028}y\n".into());
    let mut diagnostic = Diagnostic::error("x", Span::new(id, 2, 3), "m\u{1b}[2J\nsecond")
        .label(Span::new(id, 0, 1), "l\u{1b}\nnext\u{202e}")
        .help("h\u{1b}[0m\u{9b}");
    diagnostic.act = Some("k\u{1b}".into());
    let drawn = drawn(&sources, &[diagnostic]);
    let raw = |c: char| c != '\n' && c.is_control() || matches!(c, '\u{202e}' | '\u{2028}');
    assert!(!drawn.contains(raw), "{drawn:?}");
    assert!(drawn.contains(":1:3 ]") && drawn.contains("(in act `k␛`)"), "{drawn}");
}

#[test]
fn a_line_of_a_megabyte_is_cut_and_its_column_right() {
    let text = format!("ok\n{} here {}\nlast\n", "é".repeat(500_000), "x".repeat(500_000));
    let (sources, id) = one_file(&text);
    let diagnostics = [
        Diagnostic::error("x", span_of(&sources, id, "here"), "m").label(span_of(&sources, id, "ok"), "first"),
        Diagnostic::error("x", span_of(&sources, id, "last"), "n"),
    ];
    let drawn = drawn(&sources, &diagnostics);
    assert!(drawn.len() < 2500 && drawn.contains("é here x"), "{} bytes\n{drawn}", drawn.len());
    assert!(drawn.contains("show.fantail:2:500002 ]") && drawn.contains("show.fantail:3:1 ]"), "{drawn}");
}

#[test]
fn many_and_distant_labels_are_told_in_words() {
    let (sources, id) = one_file(&"row\n".repeat(5000));
    let mut diagnostic = Diagnostic::error("x", Span::new(id, 0, 3), "m").label(Span::new(id, 16_000, 16_003), "far");
    for n in 1..1000 {
        diagnostic = diagnostic.label(Span::new(id, n * 4, n * 4 + 3), format!("label {n}"));
    }
    let drawn = drawn(&sources, &[diagnostic]);
    assert!(drawn.contains("show.fantail:4001:1: far") && drawn.contains("and 992 more places"), "{drawn}");
    assert!(drawn.lines().count() < 60);
}

#[test]
fn a_span_of_many_lines_is_shown_at_its_first() {
    let (sources, id) = one_file(&format!("inputs foh {{\r\n{}}}\r\n", "row\r\n".repeat(50)));
    let drawn = drawn(&sources, &[Diagnostic::warning("x", Span::new(id, 0, 200), "m")]);
    assert!(drawn.contains("inputs foh {") && !drawn.contains("row"), "{drawn}");
}

#[test]
fn colour_only_where_asked_and_fixes_where_no_help() {
    let (sources, id) = one_file("a\n");
    let edits = vec![Edit { span: Span::new(id, 0, 1), text: "b".into() }];
    let diagnostics = [
        Diagnostic::note("x", Span::new(id, 0, 1), "m").fix("write `b`", edits, true),
        Diagnostic::error("x", Span::new(id, 0, 1), "m"),
    ];
    let mut coloured = Vec::new();
    write(&mut coloured, &sources, &diagnostics, Look { colour: true, ascii: false }).unwrap();
    assert!(coloured.contains(&0x1b));
    let plain = drawn(&sources, &diagnostics);
    assert!(!plain.contains('\u{1b}') && plain.contains("can be mended: write `b`"), "{plain}");
}

#[test]
fn a_hundred_thousand_rows_cost_once() {
    let (sources, id) = one_file(&"1 kick dynamic from foh.local 1\n".repeat(100_000));
    let diagnostics: Vec<_> =
        (0..1000).map(|n| Diagnostic::error("x", Span::new(id, n * 3200, n * 3200 + 1), "m")).collect();
    let started = std::time::Instant::now();
    assert!(drawn(&sources, &diagnostics).len() > 100_000);
    // measured 0.1 s; the bound only tells once from once a message
    assert!(started.elapsed().as_secs() < 5, "{:?}", started.elapsed());
}

#[test]
fn of_very_many_the_errors_are_drawn_and_the_rest_counted() {
    let (sources, id) = one_file("a\n");
    let mut diagnostics = vec![Diagnostic::warning("x", Span::new(id, 0, 1), "warned"); 3000];
    diagnostics.push(Diagnostic::error("x", Span::new(id, 0, 1), "the one error"));
    let drawn = drawn(&sources, &diagnostics);
    assert!(drawn.contains("the one error") && drawn.ends_with("json` writes\n"));
    assert_eq!((drawn.matches("warned").count(), drawn.contains("and 1001 more, ")), (1999, true));
}
