use super::*;

const HOUSE: &str = "desk foh
box stage-right on foh.portA offset 9
inputs foh {
  1  kick-in   boundary  from stage-right 1
  2  kick-out  dynamic   from stage-right 2
}
outputs foh { mix 1 to stage-right 1 wedge of kick-in, kick-out }
";

fn festival(acts: &str) -> Case {
    case(&[("fest", &format!("include \"house\"\n{acts}")), ("house", HOUSE)])
}

#[test]
fn an_act_lies_over_the_house() {
    let case = festival(
        "act kestrel \"Kestrel Field\" from 23:20 to 00:30 {
  snake riser-b is snake-8 to stage-right 1-8
  inputs foh { 1 kick dynamic from riser-b 1 }
  change input kick-in from stage-right 5
  without input kick-out
}
act plain {
}",
    );
    case.tells(&["house:7:56 name-taken-out <- fest:6:3"]);
    assert_eq!(case.diagnostics[0].act.as_deref(), Some("kestrel"));
    assert_eq!(attrs(&input(&case.show.house, "kick-in").node.row.attrs), "boundary from stage-right 1-1");
    assert_eq!(input_names(&case.show.house), ["kick-in", "kick-out"]);
    let kestrel = case.act("kestrel");
    assert_eq!(input_names(&kestrel.patch), ["kick-in", "kick"]);
    assert_eq!(attrs(&input(&kestrel.patch, "kick-in").node.row.attrs), "boundary from stage-right 5-5");
    assert_eq!(input(&kestrel.patch, "kick").act.as_deref(), Some("kestrel"));
    assert_eq!(input(&kestrel.patch, "kick-in").act, None);
    assert_eq!(kestrel.patch.devices.len(), 3);
    assert_eq!(attrs(&kestrel.patch.outputs[0].node.row.attrs), "to stage-right 1-1 wedge of kick-in");
    assert_eq!(kestrel.taken_out[0].value, "kick-out");
    assert_eq!(input_names(&case.act("plain").patch), ["kick-in", "kick-out"]);
    assert_eq!(case.show.changes[0].act.as_deref(), Some("kestrel"));
}

#[test]
fn what_holds_for_all_acts_stays_outside() {
    let case = festival(
        "act kestrel {
  box extra on foh.portB
  change box stage-right offset 1
  without box stage-right
  link foh.portB to monitors.portA
}",
    );
    case.tells(&[
        "fest:3:3 not-in-an-act",
        "fest:4:26 not-in-an-act",
        "fest:5:3 not-in-an-act",
        "fest:6:3 not-in-an-act",
    ]);
    assert_eq!(case.act("kestrel").patch.devices.len(), 2);
}

#[test]
fn an_acts_names_are_its_own_but_for_devices() {
    let case = festival(
        "act a {\n  inputs foh { 1 kick-in dynamic from stage-right 4 }\n}\n\
         act b {\n  inputs foh { 1 kick dynamic from stage-right 4 }\n}\n\
         act c {\n  inputs foh { 1 kick dynamic from stage-right 4 }\n}",
    );
    case.tells(&[]);
    festival("act a {\n  snake stage-right to stage-right 1-8\n}")
        .tells(&["fest:3:9 name-declared-twice <- house:2:5"]);
}

#[test]
fn a_venue_changes_an_acts_row_by_its_full_name() {
    let acts = format!("{HOUSE}act b {{\n  inputs foh {{ 3 kick dynamic from stage-right 4 }}\n}}");
    let case = case(&[
        ("root", "include \"fest\"\nchange input b.kick from stage-right 6\nchange output b.mix 1 to stage-right 3"),
        ("fest", &acts),
    ]);
    case.tells(&[]);
    assert_eq!(attrs(&input(&case.act("b").patch, "kick").node.row.attrs), "dynamic from stage-right 6-6");
    assert_eq!(attrs(&case.show.house.outputs[0].node.row.attrs), "to stage-right 1-1 wedge of kick-in, kick-out");
    assert!(attrs(&case.act("b").patch.outputs[0].node.row.attrs).starts_with("to stage-right 3-3"));
}

#[test]
fn an_act_can_be_taken_out() {
    let files =
        |root| [("root", root), ("fest", "include \"house\"\nact b {\n}\nexpect b.x reaches pa"), ("house", HOUSE)];
    let gone = case(&files("include \"fest\"\nwithout act b"));
    gone.tells(&["fest:4:1 name-taken-out <- root:2:1"]);
    assert!(gone.show.acts.is_empty());
    let late = case(&files("include \"fest\"\nwithout act b\nchange input b.kick-in from stage-right 6"));
    assert!(late.told().contains(&"root:3:1 changed-and-taken-out <- root:2:1".to_string()), "{:?}", late.told());
}

#[test]
fn a_file_included_in_an_act_belongs_to_it() {
    let case = case(&[
        ("fest", "include \"house\"\nact b {\n  include \"guest\"\n}\nact c {\n  include \"guest\"\n}"),
        ("guest", "show \"Theirs\"\ninclude \"kit\"\nmic their-vocal { kind dynamic }\nact inner {\n}"),
        ("kit", "include \"house\"\ninputs foh { 3 tom dynamic from stage-right 4 }\nbox theirs on foh.portB"),
        ("house", HOUSE),
    ]);
    case.tells(&[
        "guest:4:1 not-in-an-act",
        "guest:4:1 not-in-an-act",
        "kit:3:1 not-in-an-act",
        "kit:3:1 not-in-an-act",
    ]);
    assert_eq!(input_names(&case.show.house), ["kick-in", "kick-out"]);
    assert_eq!(input(&case.act("c").patch, "tom").act.as_deref(), Some("c"));
    assert_eq!(case.show.library.mics.iter().filter(|mic| mic.name.value == "their-vocal").count(), 1);
}

#[test]
fn acts_stand_in_the_order_of_the_day() {
    let case =
        one("act late from 00:30 {\n}\nact noon from 12:00 {\n}\nact night from 23:20 {\n}\nact b {\n}\nact a {\n}\n");
    case.tells(&[]);
    let names: Vec<_> = case.show.acts.iter().map(|act| act.name.value.as_str()).collect();
    assert_eq!(names, ["noon", "night", "late", "a", "b"]);
}

#[test]
fn expectations_hold_in_every_act_but_for_what_it_takes_out() {
    let case = festival("expect kick-out reaches foh.channel 2\nact b {\n  without input kick-out\n}");
    assert_eq!(case.show.expects.len(), 1);
    assert_eq!(case.act("b").expects.len(), 0);
}
