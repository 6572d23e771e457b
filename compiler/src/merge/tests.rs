#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
use super::*;

const RIG: &str = "desk foh is desk-48
box  stage is box-16x8  on foh.portA  offset 1

# Drums
inputs foh {
  1  kick    boundary   from stage 1  phantom
  2  snare   dynamic    from stage 2
  # the loud one
  3  guitar  dynamic    from stage 3  gain 20 dB
}
outputs foh {
  mix 1  to stage 1  wedge
}
";

fn of(ours: &str, theirs: &str) -> Merged {
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

fn with(changes: &[(&str, &str)]) -> String {
    changes.iter().fold(RIG.to_string(), |text, (from, to)| {
        assert!(text.contains(from), "{from}");
        text.replace(from, to)
    })
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
