use super::*;

const RIG: &str = "desk foh
desk monitors
box stage-left on foh.portA
box stage-right on stage-left.thru
inputs foh {
  1  kick   dynamic   from stage-left 1
  2  snare  dynamic   from stage-right 1
  3  click  playback  from foh.local 1
}
inputs monitors { 1 kick; 3 click }
outputs foh {
  mix 1 to stage-right 1 wedge of kick, click
  mix 2 to stage-left 2 wedge of click
}
personal foh { 1 click; 2 kick, click }
record all inputs but click
keep click out of pa
expect click not reaches pa
group quiet click
";

fn venue(text: &str) -> Case {
    case(&[("venue", &format!("include \"rig\"\n{text}")), ("rig", RIG)])
}

#[test]
fn lists_lose_the_name_with_a_note() {
    let case = venue("without input click");
    case.tells(&[
        "rig:12:41 name-taken-out <- venue:2:1",
        "rig:13:34 name-taken-out <- venue:2:1",
        "rig:15:18 name-taken-out <- venue:2:1",
        "rig:15:33 name-taken-out <- venue:2:1",
        "rig:16:23 name-taken-out <- venue:2:1",
        "rig:17:6 name-taken-out <- venue:2:1",
        "rig:18:1 name-taken-out <- venue:2:1",
        "rig:19:13 name-taken-out <- venue:2:1",
    ]);
    let house = &case.show.house;
    assert_eq!(input_names(house), ["kick", "snare", "kick"]);
    assert_eq!(attrs(&house.outputs[0].node.row.attrs), "to stage-right 1-1 wedge of kick");
    // A mix that carried only what is gone carries nothing; it is not a mix of unsaid contents.
    assert_eq!(attrs(&house.outputs[1].node.row.attrs), "to stage-left 2-2 wedge of ");
    assert_eq!(house.personal.len(), 1);
    assert_eq!(house.keeps.len(), 0);
    assert_eq!(house.groups.len(), 1);
    assert_eq!(case.show.expects.len(), 0);
    assert_eq!(house.records[0].node.what, {
        let span = match &house.records[0].node.what {
            crate::syntax::ast::Sources::All { span, .. } => *span,
            other => panic!("{other:?}"),
        };
        crate::syntax::ast::Sources::All { span, but: None }
    });
    assert_eq!(case.show.taken_out[0].value, "click");
}

#[test]
fn a_box_that_rows_still_need() {
    let case = venue("without box stage-right");
    case.tells(&["venue:2:1 box-taken-out-but-used <- rig:7:3 <- rig:12:3"]);
    let moved = venue("without box stage-right\nchange input snare from stage-left 3\nwithout output mix 1");
    moved.tells(&[]);
    venue("without box stage-left").tells(&["venue:2:1 box-taken-out-but-used <- rig:4:1 <- rig:6:3 <- rig:13:3"]);
}

#[test]
fn a_desk_takes_its_second_wants_with_it() {
    let case = venue("without desk monitors");
    case.tells(&["rig:10:19 name-taken-out <- venue:2:1"]);
    assert_eq!(input_names(&case.show.house), ["kick", "snare", "click"]);
}

#[test]
fn a_second_want_goes_alone_and_a_declaring_row_does_not() {
    let case = venue("without input monitors.click");
    case.tells(&[]);
    assert_eq!(input_names(&case.show.house), ["kick", "snare", "click", "kick"]);
    venue("without input foh.kick").tells(&["venue:2:1 declaring-row-taken-out <- rig:10:19"]);
}

#[test]
fn records_inherited_go_and_ones_own_stay() {
    let case = venue("without record\nrecord kick");
    case.tells(&[]);
    assert_eq!(case.show.house.records.len(), 1);
    assert_eq!(case.place(case.show.house.records[0].span), "venue:3:1");
}
