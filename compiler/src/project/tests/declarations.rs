use super::*;

#[test]
fn a_name_stands_once() {
    one("desk foh\nbox foh").tells(&["root:2:5 name-declared-twice <- root:1:6"]);
    one("desk foh\ngroup foh a").tells(&["root:2:7 name-declared-twice <- root:1:6"]);
    one("model mine {\n in 1-2 mic\n}\nmodel mine {\n in 1-2 mic\n}")
        .tells(&["root:4:7 name-declared-twice <- root:1:7"]);
    one("act a {\n}\nact a {\n}").tells(&["root:3:5 name-declared-twice <- root:1:5"]);
    let twice = one("inputs foh {\n1 kick dynamic from foh.local 1\n2 kick dynamic from foh.local 2\n}");
    twice.tells(&["root:3:3 name-declared-twice <- root:2:3"]);
    assert_eq!(twice.show.house.inputs.len(), 1);
}

#[test]
fn a_second_want_is_no_second_source() {
    let case =
        one("inputs foh {\n1 kick dynamic from foh.local 1\n2 kick\n}\ninputs monitors {\n1 kick via split.iso-a\n}");
    case.tells(&[]);
    assert_eq!(case.show.house.inputs.len(), 3);
}

#[test]
fn two_files_that_declare_one_name() {
    let case = case(&[("root", "include \"rig\"\nbox stage-left"), ("rig", "box stage-left")]);
    case.tells(&["root:2:5 name-declared-twice <- rig:1:5"]);
    assert!(case.help().contains("change box stage-left"));
}

#[test]
fn the_librarys_names_are_taken() {
    let told = one("model box-16x8 {\n in 1-2 mic\n}\nmic condenser { kind dynamic }").told();
    assert!(told[0].starts_with("root:1:7 name-declared-twice <- std/boxes.fantail:"), "{told:?}");
    assert!(told[1].starts_with("root:4:5 name-declared-twice <- std/kinds.fantail:"), "{told:?}");
    one("mic pad { kind dynamic }").tells(&["root:1:5 mic-named-like-an-attribute"]);
}

#[test]
fn rate_clock_and_show_are_said_once() {
    one("rate 48 kHz\nrate 96 kHz").tells(&["root:2:1 said-twice <- root:1:6"]);
    one("clock foh\nclock foh").tells(&["root:2:1 said-twice <- root:1:7"]);
    one("show \"A\"\nshow \"B\"").tells(&["root:2:1 said-twice <- root:1:1"]);
    let case = case(&[
        ("root", "include \"rig\"\nchange rate 96 kHz\nchange clock monitors"),
        ("rig", "rate 48 kHz; clock foh"),
    ]);
    case.tells(&[]);
    assert_eq!(case.show.rate.unwrap().value.number, 96.0);
    assert_eq!(case.show.clock.unwrap().value, "monitors");
    assert_eq!(case.show.changes.len(), 2);
}

#[test]
fn the_version_stands_first() {
    one("fantail 1\ndesk foh").tells(&[]);
    one("fantail 2\ndesk foh").tells(&["root:1:9 version-unknown"]);
    one("desk foh\nfantail 1").tells(&["root:2:1 version-not-first"]);
    case(&[("root", "include \"rig\""), ("rig", "fantail 3")]).tells(&["rig:1:9 version-unknown"]);
}
