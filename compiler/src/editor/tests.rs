//! What an editor is told about small shows.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::actions::{REASON, What, actions, mend_all};
use super::outline::outline;
use super::paint::{Paint, paint};
use super::rename::{prepare, rename};
use super::{Index, moved::moved, shape};
use crate::diagnostics::Edit;
use crate::project::InMemory;
use crate::{Compiled, compile};
use std::path::Path;

fn compiled(files: &[(&str, &str)]) -> Compiled {
    let files = files.iter().fold(InMemory::default(), |all, (name, text)| all.with(name, *text));
    compile(Path::new("show.fantail"), &files)
}

fn show(text: &str) -> Compiled {
    compiled(&[("show.fantail", text)])
}

/// The root's text with edits made.
fn edited(compiled: &Compiled, edits: &[Edit]) -> String {
    let mut text = compiled.sources.get(compiled.root).unwrap().text.clone();
    let mut edits = edits.to_vec();
    edits.sort_by_key(|edit| std::cmp::Reverse(edit.span.start));
    for edit in edits {
        assert_eq!(edit.span.file, compiled.root);
        text.replace_range(edit.span.range(), &edit.text);
    }
    text
}

const SHOW: &str = "\
# Two rows, one box.
# Left is the performer's.
fantail 1
show \"Night Ferry\" at \"Quayside Hall\"
desk foh is desk-48
box stage is box-32x16 on foh.portA offset 1
inputs {
  1 kick boundary from stage 1 phantom  # by the pedal
  2 hat condenser from stage 2 phantom
}
group drums kick, hat
outputs {
  mix 1 to stage 1 wedge \"Drums\" of drums
}
";

fn at(compiled: &Compiled, needle: &str) -> u32 {
    u32::try_from(compiled.sources.get(compiled.root).unwrap().text.find(needle).unwrap()).unwrap()
}

#[test]
fn a_name_changes_wherever_it_is_said() {
    let compiled = show(SHOW);
    let index = Index::of(&compiled);
    let name = prepare(&compiled, &index, compiled.root, at(&compiled, "kick, hat")).unwrap();
    let edits = rename(&index, &name.symbol, "kick-in").unwrap();
    let text = edited(&compiled, &edits);
    assert_eq!(text, SHOW.replace("kick", "kick-in"));
    let told: Vec<_> = show(&text).diagnostics.iter().map(|one| one.rule).collect();
    assert_eq!(told, compiled.diagnostics.iter().map(|one| one.rule).collect::<Vec<_>>());
}

#[test]
fn a_name_that_cannot_change_says_why() {
    let compiled = show(SHOW);
    let index = Index::of(&compiled);
    let prepared = |needle: &str| prepare(&compiled, &index, compiled.root, at(&compiled, needle));
    assert_eq!(prepared("desk-48").unwrap_err(), "`desk-48` belongs to the library, which keeps its names");
    assert_eq!(prepared("portA").unwrap_err(), "`portA` belongs to the library, which keeps its names");
    assert_eq!(prepared("Two rows").unwrap_err(), "there is no name here");
    let kick = &prepared("kick, hat").unwrap().symbol;
    assert_eq!(rename(&index, kick, "hat").unwrap_err(), "`hat` is taken already here");
    assert_eq!(rename(&index, kick, "stage").unwrap_err(), "`stage` is taken already here");
    assert!(rename(&index, kick, "two words").unwrap_err().starts_with("`two words` is no name"));
    assert!(rename(&index, kick, "12").unwrap_err().starts_with("`12` is no name"));
    assert!(rename(&index, kick, "太鼓").is_ok());
}

/// The bass is not told to have 48 V, and the microphone needs it.
const MISTAKES: &str = "\
fantail 1
show \"Night Ferry\"
desk foh is desk-48
box stage is box-32x16 on foh.portA offset 1
inputs {
  1 kick boundary from stage 1
  2 hat condensor from stage 2 phantom
}
";

#[test]
fn every_proposed_change_is_offered_where_it_is_told() {
    let compiled = show(MISTAKES);
    let here = at(&compiled, "condensor");
    let offered = actions(&compiled, compiled.root, here..here);
    let mends: Vec<&str> =
        offered.iter().filter(|one| one.what == What::Mend).map(|one| one.fix.label.as_str()).collect();
    assert_eq!(mends, ["write `condenser`"]);
    let text = edited(&compiled, &offered[0].fix.edits);
    assert!(text.contains("hat condenser from"));
    assert!(
        actions(&compiled, compiled.root, 0..0).iter().all(|one| one.what == What::MendAll),
        "nothing is told there"
    );
}

#[test]
fn a_warning_can_be_allowed_with_a_reason() {
    let text = SHOW.replace("wedge \"Drums\" of drums", "wedge \"Drums\"");
    let compiled = show(&text);
    let whole = 0..u32::MAX;
    let allow: Vec<_> =
        actions(&compiled, compiled.root, whole).into_iter().filter(|one| one.what == What::Allow).collect();
    for action in allow {
        let text = edited(&compiled, &action.fix.edits);
        assert!(text.contains(&format!("because \"{REASON}\"")));
        let answered: Vec<_> = action.answers.iter().map(|at| compiled.diagnostics[*at].clone()).collect();
        let after = show(&text).diagnostics;
        let told = |rule: &str, message: &str| after.iter().any(|one| one.rule == rule && one.message == message);
        assert!(answered.iter().all(|one| !told(one.rule, &one.message)), "{text}\n{after:#?}");
        assert!(!after.iter().any(|one| one.rule.starts_with("allow-")), "{text}\n{after:#?}");
    }
}

#[test]
fn all_safe_changes_are_made_at_once() {
    let compiled = show("fantail 1\nshow \"Night Ferry\"\ndesk foh is desk-48\nrate 48\u{a0}kHz,\n");
    if let Some(all) = mend_all(&compiled, compiled.root) {
        let text = edited(&compiled, &all.fix.edits);
        let after = show(&text).diagnostics;
        assert!(all.answers.iter().all(|at| !after.iter().any(|one| one.message == compiled.diagnostics[*at].message)));
    }
}

#[test]
fn the_outline_is_the_paper() {
    let compiled = show(SHOW);
    let entries = outline(&compiled, compiled.root);
    let names: Vec<_> = entries.iter().map(|one| one.name.as_str()).collect();
    assert_eq!(names, ["Night Ferry", "foh", "stage", "inputs", "drums", "outputs"]);
    let rows: Vec<_> = entries[3].inside.iter().map(|one| (one.name.as_str(), one.detail.as_str())).collect();
    assert_eq!(rows, [("kick", "boundary from stage 1 phantom"), ("hat", "condenser from stage 2 phantom")]);
    assert_eq!(entries[5].inside[0].name, "mix 1");
}

#[test]
fn words_and_names_have_colours_of_their_own() {
    let compiled = show(SHOW);
    let index = Index::of(&compiled);
    let text = &compiled.sources.get(compiled.root).unwrap().text;
    let painted = paint(&compiled, &index, compiled.root, 0..u32::MAX);
    let of = |needle: &str| {
        let start = at(&compiled, needle);
        painted.iter().find(|one| one.start == start).map(|one| (one.paint, one.declares))
    };
    assert_eq!(of("kick boundary"), Some((Paint::Source, true)));
    assert_eq!(of("kick, hat"), Some((Paint::Source, false)));
    assert_eq!(of("boundary"), Some((Paint::Kind, false)));
    assert_eq!(of("phantom  #"), Some((Paint::Word, false)));
    assert_eq!(of("# by"), Some((Paint::Comment, false)));
    assert_eq!(of("drums kick"), Some((Paint::Group, true)));
    assert_eq!(of("wedge"), Some((Paint::Word, false)));
    assert!(painted.windows(2).all(|two| two[0].end <= two[1].start), "no two overlap");
    let rows = at(&compiled, "  2 hat")..at(&compiled, "}\ngroup");
    let part = paint(&compiled, &index, compiled.root, rows.clone());
    let same: Vec<_> = painted.iter().filter(|one| rows.contains(&one.start)).copied().collect();
    assert_eq!(part, same);
    assert!(part.iter().all(|one| !text[one.start as usize..one.end as usize].contains('\n')));
}

#[test]
fn blocks_and_comments_fold() {
    let compiled = show(SHOW);
    let folds: Vec<_> =
        shape::folds(&compiled, compiled.root).iter().map(|fold| (fold.first, fold.last, fold.comment)).collect();
    assert_eq!(folds, [(0, 1, true), (6, 9, false), (11, 13, false)]);
}

#[test]
fn a_selection_grows_from_the_word_to_the_file() {
    let compiled = show(SHOW);
    let grown = shape::selections(&compiled, compiled.root, at(&compiled, "stage 1 phantom"));
    let texts: Vec<&str> = grown.iter().map(|span| compiled.sources.text_at(*span)).collect();
    assert_eq!(texts[..3], ["stage", "from stage 1", "1 kick boundary from stage 1 phantom"]);
    assert!(texts[3].starts_with("inputs {") && texts[4].starts_with("# Two rows"), "{texts:?}");
    assert!(grown.windows(2).all(|two| two[1].holds(two[0])));
}

#[test]
fn includes_follow_a_file_that_moves() {
    let text = "fantail 1\nshow \"Night Ferry\"\ninclude \"rig.fantail\"\n";
    let compiled = compiled(&[("show.fantail", text), ("rig.fantail", "desk foh is desk-48\n")]);
    let path = |id| compiled.sources.get(id).unwrap().path.clone().unwrap();
    let include = &compiled.includes[0];
    let (root, rig) = (path(include.from), path(include.to));
    let new = |from: &Path, to: &Path| {
        let edits = moved(&compiled, from, to);
        edits.iter().map(|edit| edit.text.clone()).collect::<Vec<_>>()
    };
    assert_eq!(new(&rig, &rig.with_file_name("gear.fantail")), ["\"gear.fantail\""]);
    assert_eq!(new(&root, &root.parent().unwrap().join("hall/show.fantail")), ["\"../rig.fantail\""]);
    assert_eq!(new(Path::new("/elsewhere"), Path::new("/other")), Vec::<String>::new());
    assert_eq!(shape::links(&compiled, compiled.root), [(include.path, rig.as_path())]);
}
