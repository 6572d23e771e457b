#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
use super::{tidy, tidy_edits};

#[track_caller]
fn becomes(before: &str, after: &str) {
    assert_eq!(tidy(before), after);
    assert_eq!(tidy(after), after, "laid out twice");
}

#[test]
fn rows_stand_in_columns_and_numbers_on_the_right() {
    becomes(
        "inputs foh {\n1 kick boundary from stage 1 phantom\n 11-12   overheads condenser from stage 11-12 gain 6 dB\n\
         13 hat condenser from stage 13 gain 26 dB\n}\n",
        "inputs foh {\n      1  kick       boundary   from stage 1      phantom\n\
         \x20 11-12  overheads  condenser  from stage 11-12           gain  6 dB\n\
         \x20    13  hat        condenser  from stage 13              gain 26 dB\n}\n",
    );
}

#[test]
fn a_statement_alone_is_a_sentence() {
    becomes("box   a is  b on foh.portA   offset 1\n", "box a is b on foh.portA offset 1\n");
    becomes(
        "box a is b on foh.portA offset 1\ndesk foh is d\n",
        "box  a   is b  on foh.portA  offset 1\ndesk foh is d\n",
    );
}

#[test]
fn blank_lines_line_ends_and_the_mark_at_the_start() {
    becomes("\n \n\u{20}desk a\n\n\n\nclock b\t\n\n", "desk a\n\nclock b\n");
    becomes("\u{feff}\r\n desk  a\r\nclock b", "\u{feff}desk a\r\nclock b\r\n");
    for nothing in ["", "\u{feff}"] {
        becomes(nothing, nothing);
    }
    becomes(" \n\t", "");
}

#[test]
fn what_does_not_read_is_left() {
    let wrong = "inputs foh {\n 1   kick dynamic  form stage 1\n\t2 a from stage 1,\n\n\t 2 a b gaim\n}\n";
    becomes(wrong, wrong);
    let nothing = "imputs foh {\n 1  kick\n   # left\n  }\n desk \0 a  ";
    becomes(nothing, nothing);
    becomes(
        "desk  a\n<<<<<<< ours\nbox  b\n=======\nbox   c  is d\n>>>>>>>  theirs\n",
        "desk a\n<<<<<<< ours\nbox  b\n=======\nbox  c is d\n>>>>>>>  theirs\n",
    );
    becomes(
        "inputs foh {\n1  a b\n# no brace\nrecord  all   inputs",
        "inputs foh {\n  1  a  b\n# no brace\nrecord all inputs\n",
    );
}

#[test]
fn comments_keep_their_rows() {
    becomes(
        "act a {\n# at the start\n inputs {   # behind\n1 a b   # one\n 20 longer b # two  \n    # of its own\n}\n}\n",
        "act a {\n# at the start\n  inputs {  # behind\n     1  a       b  # one\n    20  longer  b  # two\n    # of its own\n  }\n}\n",
    );
}

#[test]
fn lists_that_go_on() {
    becomes("group  vocals a ,b,\n  # of the choir\nc\n", "group vocals a, b,\n# of the choir\n             c\n");
    becomes("record all inputs but a,\nb\n", "record all inputs but a,\n    b\n");
    becomes(
        "outputs {\nmix 1 to stage 1 of a,\nb at DSC\n}\n",
        "outputs {\n  mix 1  to stage 1  of a,\n                        b  at DSC\n}\n",
    );
}

#[test]
fn rows_on_one_line_stay_there() {
    becomes("inputs{1 a b;2 c d;}\n", "inputs { 1 a b; 2 c d; }\n");
    becomes(
        "kind a{signal mic;phantom needs}\nkind longer{signal line;phantom never;data}\n",
        "kind a       { signal mic;   phantom needs }\nkind longer  { signal line;  phantom never;  data }\n",
    );
}

#[test]
fn blanks_are_put_and_taken_only_where_nothing_reads_otherwise() {
    becomes("box a cable 75 m+30 m\n", "box a cable 75 m + 30 m\n");
    becomes("mic a{sensitivity 2.5mV/Pa}\n", "mic a { sensitivity 2.5mV/Pa }\n");
    becomes("model m {\n in 1-2 mic gain -6 dB to 54 dB\n}\n", "model m {\n  in 1-2  mic  gain -6 dB to 54 dB\n}\n");
}

#[test]
fn within_a_range_only_its_rows_change() {
    let text = "desk  a\nrecord  all inputs but a,\n b\nclock   a\n";
    let at = text.find(" b").unwrap();
    let edits = tidy_edits(text, Some(at..at));
    assert_eq!(edits.iter().map(|(_, put)| put.as_str()).collect::<Vec<_>>(), ["record all inputs but a,", "    b"]);
    assert_eq!(tidy_edits(text, Some(0..text.len())), tidy_edits(text, None));
    assert_eq!(tidy_edits("", Some(5..9)), []);
}

#[test]
fn wide_characters_count_as_wide() {
    becomes("personal {\n1 太鼓 at DSC\n2 kick at DSL\n}\n", "personal {\n  1  太鼓  at DSC\n  2  kick  at DSL\n}\n");
}

#[test]
fn a_long_row_does_not_push_the_others() {
    becomes(
        "personal {\n1 a at C\n2 b at C\n3 a-name-that-is-much-longer-than-the-others at C\n}\n",
        "personal {\n  1  a  at C\n  2  b  at C\n  3  a-name-that-is-much-longer-than-the-others  at C\n}\n",
    );
}
