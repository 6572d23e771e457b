use super::*;
use crate::project::attrs as get;

const RIG: &str = "desk foh
desk monitors
box stage-left on foh.portA offset 1 cable 60 m
inputs foh {
  1      kick-in    boundary   from stage-left 1      phantom
  2      snare      dynamic    from stage-left 2      \"Snare Top\"
  25-26  keys       di-active  from stage-left 9-10   phantom stereo
}
inputs monitors { 1 kick-in; 2 snare; 3 snare }
outputs foh {
  mix 1    to stage-left 1    wedge
  mix 3-4  to stage-left 7-8  in-ears stereo
}
personal foh { 1 kick-in; 3-4 keys }
group drums kick-in, snare
loom split.direct 1-8 to stage-left 1-8 cable 10 m
link foh.portB to monitors.portA cable 90 m
";

fn venue(text: &str) -> Case {
    case(&[("venue", &format!("include \"rig\"\n{text}")), ("rig", RIG)])
}

#[test]
fn a_change_replaces_what_it_names_and_leaves_the_rest() {
    let case = venue(
        "change box stage-left on monitors.portA cable 90 m\nchange input kick-in from stage-left 13\n\
         change input keys channel 27-28\nchange output mix 1 to stage-left 4",
    );
    case.tells(&[]);
    let kick = input(&case.show.house, "kick-in");
    assert_eq!(attrs(&kick.node.row.attrs), "boundary from stage-left 13-13 phantom");
    assert_eq!(kick.changed_by.len(), 1);
    assert_eq!(case.place(get::from(&kick.node.row.attrs).unwrap().1), "venue:3:22");
    let keys = input(&case.show.house, "keys");
    assert_eq!(numbers(keys.node.row.channels.as_ref().unwrap()), "27-28");
    let stage_left = &case.show.house.devices[2].node;
    assert_eq!(attrs(&stage_left.attrs), "on monitors.portA offset 1 cable");
    assert_eq!(get::cable(&stage_left.attrs).unwrap().0.lengths[0].value.number, 90.0);
    assert_eq!(attrs(&case.show.house.outputs[0].node.row.attrs), "to stage-left 4-4 wedge");
    let changed: Vec<_> = case.show.changes.iter().map(|c| format!("{} {}", c.thing, c.attribute)).collect();
    assert_eq!(
        changed,
        ["box stage-left on", "box stage-left cable", "input kick-in from", "input keys channel", "output mix 1 to"]
    );
    assert_eq!(case.place(case.show.changes[2].before.unwrap()), "rig:5:32");
}

#[test]
fn no_takes_a_flag_away() {
    let case = venue("change input kick-in no phantom\nchange input snare no phantom");
    case.tells(&["venue:3:20 change-without-effect"]);
    assert_eq!(attrs(&input(&case.show.house, "kick-in").node.row.attrs), "boundary from stage-left 1-1");
    let case = venue("change input kick-in no 48V\nchange input snare dynamic 48V");
    assert_eq!(attrs(&input(&case.show.house, "snare").node.row.attrs), "dynamic from stage-left 2-2 label phantom");
}

#[test]
fn a_change_of_nothing_is_told_with_the_nearest() {
    let case = venue("change input kik-in from stage-left 13");
    case.tells(&["venue:2:14 change-of-nothing"]);
    assert!(case.help().contains("did you mean `kick-in`?"), "{}", case.help());
    assert_eq!(case.diagnostics[0].fixes[0].edits[0].text, "kick-in");
    venue("change output mix 9 to stage-left 4").tells(&["venue:2:15 change-of-nothing"]);
    venue("change output mux 1 to stage-left 4").tells(&["venue:2:15 change-of-nothing"]);
    venue("change personal 9 of keys").tells(&["venue:2:17 change-of-nothing"]);
    venue("change group strings of keys").tells(&["venue:2:14 change-of-nothing"]);
    venue("change link foh.portC to foh.portA cable 2 m").tells(&["venue:2:13 change-of-nothing"]);
    venue("change loom split.iso-a cable 5 m").tells(&["venue:2:13 change-of-nothing"]);
    venue("change rate 96 kHz").tells(&["venue:2:8 change-of-nothing"]);
    venue("without record").tells(&["venue:2:1 change-of-nothing"]);
    venue("without act kestrel").tells(&["venue:2:13 change-of-nothing"]);
    let desk = venue("change desk stage-left on foh.portB");
    desk.tells(&["venue:2:8 change-of-nothing <- rig:3:1"]);
    assert!(desk.help().contains("change box stage-left"));
    let kind = venue("change input drums from stage-left 4");
    assert!(kind.help().contains("change group drums"), "{}", kind.help());
}

#[test]
fn a_name_that_may_stand_in_a_missing_file_is_left_alone() {
    case(&[("root", "include \"rig\"\nchange input kick from stage-left 1")]).tells(&["root:1:9 file-missing"]);
}

#[test]
fn a_change_that_changes_nothing() {
    let case = venue("change input kick-in from stage-left 1 phantom");
    case.tells(&["venue:2:22 change-without-effect <- rig:5:32", "venue:2:40 change-without-effect <- rig:5:55"]);
    assert!(case.show.changes.is_empty());
    venue("change box stage-left cable 60m").tells(&["venue:2:23 change-without-effect <- rig:3:38"]);
}

#[test]
fn one_attribute_twice_in_one_file() {
    let twice = venue("change input snare from stage-left 3\nchange input snare from stage-left 4 phantom");
    twice.tells(&["venue:3:20 changed-twice <- venue:2:20"]);
}

#[test]
fn two_files_of_which_neither_includes_the_other() {
    let day = "include \"rig\"\nchange input snare from stage-left 3";
    let desk = "include \"rig\"\nchange input snare from stage-left 4";
    let files = |root| [("root", root), ("day", day), ("desk", desk), ("rig", RIG)];
    let told = case(&files("include \"day\"; include \"desk\""));
    told.tells(&["desk:2:20 changed-by-two-files <- day:2:20"]);
    let decided = case(&files("include \"day\"; include \"desk\"\nchange input snare from stage-left 5"));
    decided.tells(&[]);
    assert_eq!(attrs(&input(&decided.show.house, "snare").node.row.attrs), "dynamic from stage-left 5-5 label");
}

#[test]
fn the_nearer_root_wins_and_the_chain_is_kept() {
    let case = case(&[
        ("late", "include \"venue\"\nchange input snare from stage-left 5"),
        ("venue", "include \"rig\"\nchange input snare from stage-left 4"),
        ("rig", RIG),
    ]);
    case.tells(&[]);
    let snare = input(&case.show.house, "snare");
    assert_eq!(attrs(&snare.node.row.attrs), "dynamic from stage-left 5-5 label");
    let chain: Vec<_> = snare.changed_by.iter().map(|span| case.place(*span)).collect();
    assert_eq!(chain, ["venue:2:1", "late:2:1"]);
    let before: Vec<_> = case.show.changes.iter().map(|changed| case.place(changed.before.unwrap())).collect();
    assert_eq!(before, ["rig:6:32", "venue:2:20"]);
}

#[test]
fn a_desks_own_row() {
    let case = venue("change input monitors.kick-in channel 5\nchange input kick-in channel 7");
    case.tells(&[]);
    let channels: Vec<_> = case
        .show
        .house
        .inputs
        .iter()
        .filter(|row| row.node.row.name.value == "kick-in")
        .map(|row| numbers(row.node.row.channels.as_ref().unwrap()))
        .collect();
    assert_eq!(channels, ["7-7", "5-5"]);
    venue("change input monitors.kick-in from stage-left 3").tells(&["venue:2:31 change-does-not-fit <- rig:9:19"]);
    venue("change input monitors.snare channel 7").tells(&["venue:2:1 change-of-several-rows <- rig:9:30 <- rig:9:39"]);
    venue("change input monitors.keys channel 7").tells(&["venue:2:14 change-of-nothing"]);
    venue("change input keys.left from stage-left 3").tells(&["venue:2:14 change-part-of-a-row"]);
}

#[test]
fn an_output_row_changes_whole() {
    venue("change output mix 3 to stage-left 5").tells(&["venue:2:15 change-part-of-a-row <- rig:12:3"]);
    venue("change output mix 1-4 to stage-left 1-4")
        .tells(&["venue:2:1 change-of-several-rows <- rig:11:3 <- rig:12:3"]);
    venue("change output monitors.mix 1 to stage-left 5").tells(&["venue:2:15 change-of-nothing"]);
    let case = venue("change output foh.mix 3-4 to stage-left 5-6\nwithout output mix 1");
    case.tells(&[]);
    assert_eq!(attrs(&case.show.house.outputs[0].node.row.attrs), "to stage-left 5-6 in-ears stereo");
    assert_eq!(case.show.house.outputs.len(), 1);
    venue("change personal 3 of keys").tells(&["venue:2:17 change-part-of-a-row <- rig:14:27"]);
}

#[test]
fn lists_links_looms_and_feeds_change() {
    let case = venue(
        "change personal 1 of drums\nchange group drums of snare\nchange link monitors.portA to foh.portB cable 30 m\n\
         change loom split.direct to stage-left 9-16",
    );
    case.tells(&[]);
    let house = &case.show.house;
    assert_eq!(terms(&house.personal[0].node.row.feeds), "drums");
    assert_eq!(terms(&house.groups[0].node.members), "snare");
    assert_eq!(get::cable(&house.links[0].node.attrs).unwrap().0.lengths[0].value.number, 30.0);
    assert_eq!(terms(&house.looms[0].node.to), "stage-left 9-16");
}

#[test]
fn taken_out_and_changed() {
    venue("change input snare from stage-left 3\nwithout input snare")
        .tells(&["venue:2:1 changed-and-taken-out <- venue:3:1", "rig:15:22 name-taken-out <- venue:3:1"]);
    let late = case(&[
        ("late", "include \"venue\"\nchange input keys from stage-left 3-4"),
        ("venue", "include \"rig\"\nwithout input keys"),
        ("rig", RIG),
    ]);
    assert_eq!(late.told()[0], "late:2:1 change-of-nothing <- venue:2:1");
    let settled = case(&[
        ("late", "include \"venue\"\nwithout input keys"),
        ("venue", "include \"rig\"\nchange input keys from stage-left 3-4"),
        ("rig", RIG),
    ]);
    settled.tells(&["rig:14:31 name-taken-out <- late:2:1"]);
    venue("without link foh.portB to monitors.portA\nwithout link foh.portB to monitors.portA")
        .tells(&["venue:3:1 change-without-effect <- venue:2:1"]);
}
