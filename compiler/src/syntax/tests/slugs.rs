//! Each thing that can be wrong with a row, and where it is said to be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::super::ast::*;
use super::{clean, read, said};

/// Input rows that could be read, by name.
fn names(text: &str) -> Vec<String> {
    let rows = |kind: &StatementKind| match kind {
        StatementKind::Inputs { rows, .. } => rows.iter().map(|row| row.name.value.clone()).collect(),
        StatementKind::Outputs { rows, .. } => rows.iter().map(|row| row.bank.value.clone()).collect(),
        _ => Vec::new(),
    };
    read(text).statements.iter().flat_map(|statement| rows(&statement.kind)).collect()
}

#[test]
fn texts() {
    assert_eq!(said("show \"Night\non"), [("unclosed-text", "\"Night"), ("unknown-statement", "on")]);
    assert_eq!(said("show \"a\r\nclock b"), [("unclosed-text", "\"a")]);
    assert_eq!(said("show “a\""), [("unclosed-text", "“a\"")]);
}

#[test]
fn blocks() {
    assert_eq!(said("inputs foh {\n 1 a\n"), [("unclosed-block", "{")]);
    let text = "inputs foh {\n 1 a\nrecord all inputs\noutputs {\n mix 1 to b 1\n}\n";
    assert_eq!(said(text), [("unclosed-block", "{")]);
    assert_eq!(read(text).statements.len(), 3);
    assert_eq!(said("act a {\n clock b\n"), [("unclosed-block", "{"), ("not-in-an-act", "clock")]);
    let text = "act a {\n  snake b\nact c {\n  snake d\n}\n";
    assert_eq!(said(text), [("unclosed-block", "{")]);
    assert_eq!(read(text).statements.len(), 2);
    assert_eq!(said("act a {\n inputs {\n 1 b\n snake c\n}\n"), [("unclosed-block", "{")]);
    assert_eq!(said("model a {\n in 1-8 mic\nbox c\nmodel b {\n}\n").first(), Some(&("unclosed-block", "{")));
}

#[test]
fn brackets() {
    assert_eq!(said("clock foh }"), [("stray-bracket", "}")]);
    assert_eq!(said("box a { 1 b }\nclock c"), [("stray-bracket", "{")]);
    assert_eq!(read("box a { 1 b }\nclock c").statements.len(), 2);
    assert_eq!(said("imputs a { 1 b }\nclock c"), [("unknown-statement", "imputs")]);
    assert_eq!(read("imputs a { 1 b }\nclock c").statements.len(), 1);
    assert!(read("imputs a {\n 1 b\n}\nclock c").broken.contains("b"), "nobody misses what was passed over");
    assert_eq!(said("imputs a { 1 b\nclock c"), [("stray-bracket", "{")]);
    assert_eq!(said("box a (b)"), [("stray-bracket", "(")]);
    assert_eq!(said("inputs foh (\n 1 a\n 2 b\n)\nclock b"), [("stray-bracket", "(")]);
    assert_eq!(names("inputs foh (\n 1 a\n 2 b\n)\nclock b"), ["a", "b"]);
    assert_eq!(said("inputs foh [\n 1 a\n}\nclock b"), [("stray-bracket", "[")]);
    assert_eq!(said("inputs foh {\n 1 a\n]\nclock b"), [("stray-bracket", "]")]);
    assert_eq!(said("act c (\n inputs foh {\n 1 a\n ]\n}\n"), [("stray-bracket", "("), ("stray-bracket", "]")]);
    assert_eq!(said("imputs foh (\n 1 a\n)\nclock b"), [("unknown-statement", "imputs"), ("stray-bracket", "(")]);
    assert_eq!(said("inputs foh\n{\n 1 a\n}\nclock b"), [("stray-bracket", "{")]);
    assert_eq!(names("inputs foh\n{\n 1 a\n}\nclock b"), ["a"]);
    assert_eq!(said("inputs {\n 1 a { x }\n 2 b\n}"), [("stray-bracket", "{")]);
    assert_eq!(names("inputs {\n 1 a { x }\n 2 b\n}"), ["a", "b"]);
    assert_eq!(said("inputs b same as a { 1 c }"), [("stray-bracket", "{")]);
    assert_eq!(said("inputs foh { 1 a } clock b"), [("unreadable-row", "clock")]);
    assert_eq!(said("inputs foh"), [("unreadable-row", "")]);
    assert_eq!(said("act a {\n act b { act c { act d { clock e } } }\n}").first().unwrap().0, "not-in-an-act");
}

#[test]
fn units() {
    assert_eq!(said("rate 48"), [("wrong-unit", "48")]);
    assert_eq!(said("rate 48 khz"), [("wrong-unit", "khz")]);
    assert_eq!(said("rate 48 m"), [("wrong-unit", "48 m")]);
    assert_eq!(said("box a cable 60 dB offset 9"), [("wrong-unit", "60 dB")]);
    let parsed = read("inputs { 1 a level 30 dB }");
    assert_eq!(parsed.diagnostics[0].message, "expected a sound pressure, found a gain in dB (`dB`)");
    assert_eq!(said("inputs { 1 a gain 30 quux }"), [("wrong-unit", "30 quux")]);
}

#[test]
fn numbers_and_ranges() {
    assert_eq!(said("box a offset 2.5"), [("bad-number", "2.5")]);
    assert_eq!(said("box a offset 99999999999"), [("bad-number", "99999999999")]);
    assert_eq!(said("inputs { 8-1 a }"), [("bad-range", "8-1")]);
    assert_eq!(said("inputs { 1 - 8 a }"), [("bad-range", "1 - 8")]);
    assert_eq!(said("model a { in 1-8 mic gain 54 dB to -6 dB }"), [("bad-range", "54 dB to -6 dB")]);
    assert_eq!(names("inputs { 8–1 a }"), ["a"]);
    clean("inputs { 1–8 a }");
}

#[test]
fn dates_and_times() {
    assert_eq!(said("show \"a\" on 2026-02-29"), [("bad-date", "2026-02-29")]);
    assert_eq!(said("show \"a\" on 2026-13-01"), [("bad-date", "2026-13-01")]);
    clean("show \"a\" on 2028-02-29");
    // The Gregorian rule: 2000 was a leap year, 1900 was not.
    clean("show \"a\" on 2000-02-29");
    assert_eq!(said("show \"a\" on 1900-02-29"), [("bad-date", "1900-02-29")]);
    assert_eq!(said("act a from 24:00 { }"), [("bad-time", "24:00")]);
    assert_eq!(said("act a to 12:60 { }"), [("bad-time", "12:60")]);
}

#[test]
fn unknown_words() {
    assert_eq!(said("boxx a"), [("unknown-statement", "boxx")]);
    assert_eq!(read("boxx a").diagnostics[0].help, ["did you mean `box`?"]);
    assert_eq!(said("12 a"), [("unreadable-row", "12")]);
    assert_eq!(said("inputs { 1 a mic fromm b 1 pad }"), [("unknown-attribute", "fromm")]);
    assert_eq!(said("inputs { 1 a fromm b 1 pad }"), [("unknown-attribute", "fromm")]);
    assert_eq!(said("box a offst 9 cable 1 m"), [("unknown-attribute", "offst")]);
    assert_eq!(said("box a place DSX"), [("unknown-place", "DSX")]);
    assert_eq!(said("kind a { signl mic }"), [("unknown-attribute", "signl")]);
    assert_eq!(said("model a { in 1-8 mic phantm }"), [("unknown-attribute", "phantm")]);
    assert_eq!(said("change input a no phantm"), [("unknown-attribute", "phantm")]);
    assert_eq!(said("change inptu a"), [("unreadable-row", "inptu")]);
}

#[test]
fn what_can_be_read_is_kept() {
    let parsed = read("inputs { 1 a mic from b 1 fnord x stereo; 2 c }\nclock d");
    assert_eq!(parsed.diagnostics.len(), 1);
    let StatementKind::Inputs { rows, .. } = &parsed.statements[0].kind else { panic!() };
    let kinds: Vec<_> = rows[0].attrs.iter().map(|attr| &attr.kind).collect();
    assert!(matches!(kinds[..], [AttrKind::Mic(_), AttrKind::From(_), AttrKind::Stereo]));
    assert_eq!((rows.len(), parsed.statements.len()), (2, 2));
    assert!(["a", "b", "fnord", "x"].iter().all(|word| parsed.broken.contains(*word)));
    assert!(!parsed.broken.contains("c") && !parsed.broken.contains("d"));
}

#[test]
fn said_twice() {
    assert_eq!(said("inputs { 1 a pad pad }"), [("attribute-twice", "pad")]);
    assert_eq!(said("inputs { 1 a 48V phantom }"), [("attribute-twice", "phantom")]);
    assert_eq!(said("outputs { mix 1 to a 1 pa sub }"), [("attribute-twice", "sub")]);
    assert_eq!(said("outputs { mix 1 to a 1 \"b\" \"c\" }"), [("attribute-twice", "\"c\"")]);
    assert_eq!(said("mic a { kind b; kind c }"), [("attribute-twice", "kind")]);
    assert_eq!(said("model a { in 1-8 mic pad pad }"), [("attribute-twice", "pad")]);
    assert_eq!(said("show \"a\" at \"b\" at \"c\""), [("attribute-twice", "at")]);
    assert_eq!(said("box a \"b\", \"c\""), [("attribute-twice", "\"c\"")]);
}

#[test]
fn strange_characters() {
    assert_eq!(said("clock foh = b"), [("strange-character", "=")]);
    assert_eq!(said("clock→ foh §\nrate 48 kHz"), [("strange-character", "→")]);
    assert!(read("clock→ foh §").diagnostics[0].message.contains("1 more"));
    for strange in
        ["\u{0}", "\r", "\u{202e}", "\u{2066}", "\u{200e}", "\u{61c}", "\u{b}", "\u{c}", "\u{85}", "\u{2028}"]
    {
        for text in
            [format!("clock{strange}foh\n"), format!("clock foh # a{strange}b\n"), format!("show \"a{strange}b\"\n")]
        {
            assert_eq!(said(&text), [("strange-character", strange)], "{text:?}");
            assert_eq!(read(&text).statements.len(), 1, "{text:?}");
        }
    }
    let parsed = read("show \"a\u{202e}b\"");
    assert!(matches!(&parsed.statements[0].kind, StatementKind::Show { title, .. } if title.value == "a b"));
}

#[test]
fn lists_that_end_with_a_comma() {
    assert_eq!(said("group a b, c,\nclock d"), [("unfinished-list", ",")]);
    assert_eq!(read("group a b, c,\nclock d").statements.len(), 2);
    clean("group a b, c, # more\n\n  d, e\nclock f");
    let text = "inputs {\n 1 a mic from b 1,\n 2 c mic from b 2\n}";
    assert_eq!(said(text), [("unfinished-list", ",")]);
    assert_eq!(names(text), ["a", "c"]);
    let text = "outputs {\n mix 1 to b 1,\n mix 2, 3 to b 2, 3\n}";
    assert_eq!((said(text), names(text)), (vec![("unfinished-list", ",")], vec!["mix".to_string(), "mix".to_string()]));
    assert_eq!(said("group a b, ; clock c"), [("unfinished-list", ",")]);
    assert_eq!(said("inputs { 1 a from b 1, }"), [("unfinished-list", ",")]);
    assert_eq!(said("group a b,, c"), [("unreadable-row", ",")]);
}

#[test]
fn words_after_expected() {
    let message = |text: &str| read(text).diagnostics[0].message.clone();
    assert_eq!(message("clock 12"), "expected a device, found `12`");
    assert_eq!(message("link a.b"), "expected `to`, the row ends here");
    assert_eq!(message("inputs { , a }"), "expected a channel number, found `,`");
    assert_eq!(message("inputs { 1 }"), "expected the input's name, the row ends here");
    assert_eq!(message("inputs foh bar {\n}"), "expected `same` or the end of the row, found `bar`");
    assert_eq!(message("outputs foh bar"), "expected `{`, found `bar`");
    assert_eq!(
        message("inputs { 1 a stand high }"),
        "expected `tall`, `short`, `clip`, `straight` or `none`, found `high`"
    );
    assert_eq!(message("outputs { mix 1 wedge }"), "`mix 1` goes nowhere");
    assert_eq!(message("expect a reach b"), "expected `not` or `reaches`, found `reach`");
    assert_eq!(message("allow x because y"), "expected a reason in quotes, found `y`");
}

#[test]
fn in_an_act() {
    for word in ["fantail 1", "show \"a\"", "rate 48 kHz", "clock a", "kind a { }", "expect a reaches b", "act b { }"] {
        let text = format!("act a {{\n{word}\nsnake c\n}}");
        let word = word.split(' ').next().unwrap();
        assert_eq!(said(&text), [("not-in-an-act", word)]);
        let parsed = read(&text);
        let StatementKind::Act(act) = &parsed.statements[0].kind else { panic!() };
        assert_eq!(act.statements.len(), 1);
    }
}
