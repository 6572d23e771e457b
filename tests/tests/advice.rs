//! What is proposed for several conflicts of one show holds together: all of it applied, the show compiles.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::diagnostics::{Diagnostic, Edit};
use fantail::project::InMemory;
use std::path::Path;

fn check(text: &str) -> Vec<Diagnostic> {
    let files = InMemory::default().with("/show.fantail", text);
    fantail::compile(Path::new("/show.fantail"), &files).diagnostics
}

/// The text with every proposed change in it.
fn mended(text: &str) -> String {
    let found = check(text);
    let mut edits: Vec<&Edit> = found.iter().flat_map(|one| &one.fixes).flat_map(|fix| &fix.edits).collect();
    edits.sort_by_key(|edit| std::cmp::Reverse(edit.span.start));
    let mut text = text.to_string();
    for edit in edits {
        text.replace_range(edit.span.range(), &edit.text);
    }
    text
}

#[test]
fn changes_for_two_conflicts_of_one_block_get_along() {
    let text = "\
desk foh is desk-40-eights
box left   is box-16x8 on foh.portA  offset 1
box right  is box-16x8 on left.thru  offset 9
inputs foh {
  9   bass    di-passive  from left 9
  10  vocal   dynamic     from right 10
  11  guitar  dynamic     from right 11
  12  talk    talkback    from foh.local 4
}
";
    let before = check(text);
    assert_eq!(before.iter().filter(|one| one.is_error()).count(), 2);
    assert!(before.iter().all(|one| one.fixes.len() == 1), "{before:?}");
    let after = check(&mended(text));
    assert!(!after.iter().any(Diagnostic::is_error), "{}\n{after:?}", mended(text));
}
