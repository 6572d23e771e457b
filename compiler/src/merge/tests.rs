#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
use super::rig::{RIG, with};
use super::*;
use crate::project::InMemory;
use std::path::Path;

fn of<'t>(ours: &'t str, theirs: &'t str) -> Merged<'t> {
    merge(Versions { base: RIG, ours, theirs })
}

fn clean(ours: &str, theirs: &str) -> String {
    let merged = of(ours, theirs);
    let text = merged.text(&Markers::default());
    assert!(merged.is_clean(), "{text}");
    assert_eq!(of(theirs, ours).text(&Markers::default()), text, "the other way round");
    text
}

fn marked(ours: &str, theirs: &str) -> String {
    let merged = of(ours, theirs);
    assert!(!merged.is_clean());
    merged.text(&Markers { base: Some("base".to_string()), ..Markers::default() })
}

#[test]
fn attributes_of_one_row_hold_together() {
    let text = clean(&with(&[("gain 20 dB", "gain 26 dB")]), &with(&[("from stage 3", "from stage 5")]));
    assert!(text.contains("3  guitar  dynamic    from stage 5  gain 26 dB\n"), "{text}");
    let text = clean(
        &with(&[("from stage 2", "from stage 2  pad")]),
        &with(&[("from stage 2", "from stage 2  gain 3 dB  # soft")]),
    );
    assert!(text.contains("from stage 2  gain 3 dB  pad  # soft\n"), "{text}");
}

#[test]
fn one_attribute_said_twice_is_marked_alone() {
    let text = marked(&with(&[("gain 20", "gain 26")]), &with(&[("gain 20", "gain 30"), ("snare ", "tom   ")]));
    let rows = "  # the loud one
<<<<<<< ours
  3  guitar  dynamic    from stage 3  gain 26 dB
||||||| base
  3  guitar  dynamic    from stage 3  gain 20 dB
=======
  3  guitar  dynamic    from stage 3  gain 30 dB
>>>>>>> theirs
}
";
    assert!(text.contains(rows), "{text}");
    assert!(text.contains("2  tom   ") && !text.contains("snare"), "{text}");
}

#[test]
fn a_renamed_row_takes_the_other_sides_change() {
    let text = clean(&with(&[("guitar", "banjo")]), &with(&[("gain 20 dB", "gain 26 dB")]));
    assert!(text.contains("3  banjo ") && text.contains("26 dB") && !text.contains("guitar"), "{text}");
    marked(&with(&[("guitar", "banjo")]), &with(&[("guitar", "fiddle")]));
}

#[test]
fn rows_on_one_line_are_merged_part_by_part() {
    let base = "act duo {\n  inputs foh { 1 fiddle condenser from left 1 phantom; 2 bass dynamic from left 2 }\n}\n";
    let changed = |from: &str, to: &str| base.replace(from, to);
    let (ours, theirs) = (changed("left 2", "left 4"), changed("phantom;", "phantom gain 3 dB;"));
    let merged = merge(Versions { base, ours: &ours, theirs: &theirs });
    assert_eq!(merged.text(&Markers::default()), theirs.replace("left 2", "left 4"));
    let wide = base.replace("{ 1", "{\n1").replace("; 2", "\n2").replace(" }", "\n}");
    assert_eq!(meaning(base), meaning(&wide));
    assert!(
        meaning(base).contains("act duo: inputs foh: bass\n  channel   2\n  from      left 2\n"),
        "{}",
        meaning(base)
    );
    let theirs = changed("left 2", "left 5");
    assert!(!merge(Versions { base, ours: &ours, theirs: &theirs }).is_clean());
}

#[test]
fn a_renamed_desk_takes_its_lists_along() {
    let renamed = RIG.replace("foh", "main-desk");
    let text = clean(&renamed, &with(&[("gain 20 dB", "gain 26 dB"), ("wedge", "in-ears")]));
    assert_eq!(text, renamed.replace("gain 20 dB", "gain 26 dB").replace("wedge", "in-ears"));
}

#[test]
fn names_in_one_list_are_merged_name_by_name() {
    let base = "outputs foh {\n  mix 1  to stage 1  wedge  of kick, snare\n}\n";
    let [ours, theirs] = ["of snare, hat", "of kick, snare, bass"].map(|list| base.replace("of kick, snare", list));
    let merged = merge(Versions { base, ours: &ours, theirs: &theirs });
    assert_eq!(merged.text(&Markers::default()), base.replace("of kick, snare", "of snare, hat, bass"));
    let [ours, theirs] = ["of drum, snare", "of bass-drum, snare"].map(|list| base.replace("of kick, snare", list));
    assert!(!merge(Versions { base, ours: &ours, theirs: &theirs }).is_clean(), "who is right about the new name?");
}

#[test]
fn new_rows_of_both_stand_by_channel() {
    let added = |row: &str| with(&[("gain 20 dB\n", &format!("gain 20 dB\n{row}"))]);
    let text = clean(
        &added("  4  bass    di-active  from stage 4\n  6  hat     condenser  from stage 6\n"),
        &added("  5  vocal   dynamic    from stage 5\n"),
    );
    let at = |name: &str| text.find(name).unwrap();
    assert!(at("bass") < at("vocal") && at("vocal") < at("hat"), "{text}");
}

#[test]
fn taken_out_here_and_changed_there_is_marked() {
    let gone = with(&[("  3  guitar  dynamic    from stage 3  gain 20 dB\n", "")]);
    let text = marked(&gone, &with(&[("gain 20", "gain 26")]));
    assert!(text.contains("<<<<<<< ours\n||||||| base\n  3  guitar"), "{text}");
    let text = clean(&gone, &with(&[("gain 20 dB", "gain    20 dB")]));
    assert!(!text.contains("guitar") && text.contains("loud one"), "layout is no change: {text}");
}

#[test]
fn a_block_that_moved_takes_the_rows_that_were_put_in() {
    let (lists, outputs) = RIG.split_once("outputs").unwrap();
    let (head, inputs) = lists.split_once("# Drums\n").unwrap();
    let moved = format!("{head}outputs{outputs}\n# Drums\n{inputs}");
    let text = clean(&moved, &with(&[("  2  snare", "  7  tom     dynamic    from stage 7\n  2  snare")]));
    assert_eq!(text, moved.replace("  2  snare", "  7  tom     dynamic    from stage 7\n  2  snare"));
}

#[test]
fn comments_of_both_stay() {
    let text = clean(
        &with(&[("# the loud one", "# the very loud one")]),
        &with(&[("# Drums", "# Drums, new skins\n# Drums")]),
    );
    for comment in ["# the very loud one\n", "# Drums, new skins\n# Drums\n"] {
        assert!(text.contains(comment), "{text}");
    }
    let text = clean(&with(&[("wedge", "wedge  # by the stairs")]), &with(&[("wedge", "in-ears")]));
    assert!(text.contains("in-ears  # by the stairs"), "{text}");
}

#[test]
fn line_ends_are_no_change_of_a_row() {
    let text = clean(&RIG.replace('\n', "\r\n"), &with(&[("gain 20", "gain 26")]));
    assert_eq!(text, with(&[("gain 20", "gain 26")]).replace('\n', "\r\n"));
    let text = clean(RIG.trim_end(), &format!("\u{feff}{RIG}record all inputs\n"));
    assert_eq!(text, format!("\u{feff}{RIG}record all inputs"));
}

#[test]
fn what_does_not_read_is_merged_as_lines() {
    let broken = with(&[("  2  snare", "  2 2 ??? snare")]);
    assert_eq!(clean(&broken, RIG), broken);
    let text = marked(&broken, &with(&[("  2  snare", "  2 3 ??? snare")]));
    assert!(text.contains("2 2 ???") && text.contains("2 3 ???"), "{text}");
}

#[test]
fn both_put_in_one_thing() {
    let added = |row: &str| with(&[("}\noutputs", &format!("{row}}}\noutputs"))]);
    let text = clean(&added("  4  bass di-active from stage 4\n"), &added("  4  bass  di-active  from stage 4\n"));
    assert_eq!(text.matches("bass").count(), 1);
    marked(&added("  4  bass di-active from stage 4\n"), &added("  4  bass di-active from stage 5\n"));
}

/// The merge of two changes of the rig, checked as `show.fantail`: how many pieces were marked, and for what.
fn checked(base: &str, ours: &str, theirs: &str) -> Option<(Option<usize>, Vec<&'static str>)> {
    let versions = Versions { base, ours, theirs };
    let mut merged = merge(versions);
    assert!(merged.is_clean(), "{}", merged.text(&Markers::default()));
    let path = Path::new("/show.fantail");
    let news = merged.check(path, path, &InMemory::default())?;
    assert_eq!(merged.is_clean(), news.marked.is_none_or(|marked| marked == 0));
    Some((news.marked, news.diagnostics.iter().map(|told| told.rule).collect()))
}

#[test]
fn what_only_both_changes_together_break_is_marked() {
    let added = |row: &str| with(&[("  # the loud one\n", &format!("{row}\n  # the loud one\n"))]);
    let ours = added("  7  bass  di-active  from stage 8  phantom");
    for (theirs, rule) in [
        (added("  9  hat  dynamic  from stage 8"), "socket-used-twice"),
        (added("  7  hat  dynamic  from stage 9"), "channel-used-twice"),
    ] {
        let (marked, rules) = checked(RIG, &ours, &theirs).expect("a clash");
        assert_eq!((marked, rules), (Some(2), vec![rule]));
    }
    assert_eq!(checked(RIG, &ours, &added("  9  hat  dynamic  from stage 9")), None);
    // one block of eight for unlike things
    let eights = RIG.replace("desk-48", "desk-40-eights");
    let row = |row: &str| eights.replace("}\noutputs", &format!("{row}\n}}\noutputs"));
    let (ours, theirs) = (row("  9  hat  dynamic  from stage 9"), row("  10  bass  dynamic  from foh.local 10"));
    assert_eq!(checked(&eights, &ours, &theirs), Some((Some(2), vec!["impossible-block"])));
    // what uses a box that the other side took out
    let gone =
        "show \"A\"\ndesk foh is desk-48\nbox  left  is box-8x8  on foh.portA\nbox  right is box-8x8  on foh.portB\n";
    let row = format!("{gone}inputs {{ 1 kick dynamic from right 1 }}\n");
    let (marked, _) = checked(gone, &gone.replace("box  right is box-8x8  on foh.portB\n", ""), &row).expect("a clash");
    assert_eq!(marked, Some(1));
}

#[test]
fn what_was_wrong_before_is_no_clash() {
    let part = "inputs foh {\n  1  kick  dynamic  from stage 1\n}\n";
    let added = |row: &str| part.replace("}\n", &format!("{row}\n}}\n"));
    let (ours, theirs) = (added("  2  snare  dynamic  from riser 1"), added("  3  hat  dynamic  from truck 1"));
    assert_eq!(checked(part, &ours, &theirs), None, "it is a part of a show in all versions");
}

/// Two acts on one stage: neither side lets 48 V meet the player of the other.
const ACTS: &str = "show \"Night Ferry\"
desk foh
box stage is box-8x8 on foh.portA
act duo from 19:30 to 20:00 {
  inputs foh { 1 fiddle condenser from stage 2 phantom }
}
act band from 20:30 to 22:00 {
  inputs foh { 1 tape playback from stage 1 pad }
}
";

#[test]
fn a_new_warning_of_what_can_hurt_is_marked_and_another_is_told() {
    let (fiddle, tape) = (ACTS.replace("stage 2", "stage 4"), ACTS.replace("stage 1", "stage 4"));
    assert_eq!(checked(ACTS, &fiddle, &tape), Some((Some(2), vec!["phantom-left-from-act-before"])));
    let added = |row: &str| with(&[("gain 20 dB\n", &format!("gain 20 dB\n{row}"))]);
    let one = added("  5  fiddle    dynamic  from stage 5\n");
    let other = added("  6  fiddle-2  dynamic  from stage 6\n");
    assert_eq!(checked(RIG, &one, &other), Some((None, vec!["names-alike"])));
}

#[test]
fn a_warning_that_a_side_has_is_no_news() {
    let warned = ACTS.replace("stage 2", "stage 1");
    assert_eq!(checked(ACTS, &warned, &ACTS.replace("pad", "pad note \"from the bar\"")), None);
    assert_eq!(checked(&warned, &warned, &warned.replace("playback", "line")), None);
}
