//! A list whose `{` was forgotten: its rows are read all the same, and the brace is all that is told.

use super::*;

const LISTS: &[(&str, &str)] = &[
    ("inputs foh", "  1  kick  dynamic  from stage 1\n  2-3  keys  di-active\n"),
    ("inputs", "  1  kick\n"),
    ("outputs foh", "  mix 1  to stage 1  wedge\n  main 1, 2  to foh.out 1-2  pa\n"),
    ("personal foh", "  1  kick\n  3-4  keys  stereo\n"),
];

/// The text with the one change that is proposed.
fn mended(text: &str) -> String {
    let parsed = read(text);
    let [told] = &parsed.diagnostics[..] else { panic!("{text}: {:?}", parsed.diagnostics) };
    assert!(told.message.starts_with("`{` is missing before the rows of"), "{}", told.message);
    let mut edits = told.fixes[0].edits.clone();
    edits.sort_by_key(|edit| std::cmp::Reverse(edit.span.start));
    edits.into_iter().fold(text.to_string(), |mut text, edit| {
        text.replace_range(edit.span.range(), &edit.text);
        text
    })
}

fn rows(parsed: &Parsed) -> usize {
    match &parsed.statements[0].kind {
        StatementKind::Inputs { rows, .. } => rows.len(),
        StatementKind::Outputs { rows, .. } => rows.len(),
        StatementKind::Personal { rows, .. } => rows.len(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn the_rows_of_a_list_without_its_brace_are_read_and_the_brace_is_told() {
    for (head, list) in LISTS {
        for (end, after) in [("}\n", ""), ("", ""), ("}\n", "record all inputs\n"), ("", "record all inputs\n")] {
            let text = format!("{head}\n{list}{end}{after}");
            let (wrong, right) = (read(&text), clean(&format!("{head} {{\n{list}}}\n{after}")));
            assert_eq!(rows(&wrong), list.lines().count(), "{text}");
            assert_eq!(wrong.statements.len(), right.statements.len(), "what stands behind is read: {text}");
            assert_eq!(clean(&mended(&text)).statements.len(), right.statements.len(), "{}", mended(&text));
        }
    }
}

#[test]
fn only_what_is_a_row_of_the_list_is_taken_for_one() {
    for text in ["inputs foh\nbox a is b\n", "outputs foh\n  1 kick dynamic\n", "personal foh\n\n# nothing\n"] {
        let told = read(text).diagnostics;
        assert!(told.iter().all(|one| !one.message.starts_with("`{` is missing before the rows")), "{text}: {told:?}");
    }
}
