use super::*;
use crate::project::{Disk, Files, Overlay};
use std::collections::BTreeMap;

#[test]
fn the_library_comes_first_and_is_whole() {
    let case = one("show \"Night Ferry\"\n");
    case.tells(&[]);
    assert_eq!(case.project.sources.iter().next().unwrap().name, "std/carriers.fantail");
    assert_eq!(case.project.std.len(), 5);
    assert!(case.show.library.models.iter().any(|model| model.name.value == "box-16x8"));
    assert!(case.show.library.kinds.iter().any(|kind| kind.name.value == "condenser"));
    assert_eq!(case.show.files, [case.project.root]);
}

#[test]
fn an_include_counts_from_its_own_file() {
    let case = case(&[
        ("tour/venues/quayside", "include \"../rig\"\nshow \"Night Ferry\""),
        ("tour/rig", "include \"gear/desk\"\nshow \"not this\""),
        ("tour/gear/desk", "desk foh"),
    ]);
    case.tells(&[]);
    let names: Vec<_> = case.show.files.iter().map(|id| case.project.sources.get(*id).unwrap().name.clone()).collect();
    assert_eq!(names, ["tour/venues/quayside", "tour/rig", "tour/gear/desk"]);
    assert_eq!(case.show.head.as_ref().unwrap().title.value, "Night Ferry");
    assert_eq!(case.show.house.devices.len(), 1);
}

#[test]
fn one_file_counts_once_however_it_is_spelt() {
    let disk = InMemory::default()
        .with("root", "include \"a\"; include \"./a\"; include \"b\"; include \"again\"")
        .with("a", "desk foh")
        .with("b", "include \"a\"")
        .linked("again", "a");
    let case = case_on("root", &disk);
    case.tells(&[]);
    assert_eq!(case.show.house.devices.len(), 1);
    assert_eq!(case.show.files.len(), 3);
}

#[test]
fn a_circle_is_shown_and_cut() {
    let case = case(&[
        ("root", "include \"a\""),
        ("a", "# the rig\ninclude \"b\"\ndesk foh"),
        ("b", "include \"a\"\nbox stage-left"),
    ]);
    case.tells(&["b:1:9 include-cycle <- a:2:9"]);
    assert_eq!(case.diagnostics[0].message, "the includes run in a circle: `a` includes `b`, which includes `a`");
    assert_eq!(case.show.house.devices.len(), 2);
    one("include \"root\"").tells(&["root:1:9 include-cycle"]);
}

#[test]
fn a_long_chain_of_includes_is_walked() {
    let disk =
        (0..3000).fold(InMemory::default(), |disk, n| disk.with(&format!("f{n}"), format!("include \"f{}\"", n + 1)));
    let case = case_on("f0", &disk.with("f3000", "desk foh"));
    case.tells(&[]);
    assert_eq!(case.project.order.first(), case.show.files.last());
    assert_eq!(case.show.house.devices.len(), 1);
}

#[test]
fn outside_needs_saying() {
    let files = [
        (
            "home/tour/venues/root",
            "include \"../../gear\"\ninclude outside \"../../more\"\nchange box any-box offset 1",
        ),
        ("home/gear", "desk foh"),
        ("home/more", "box stage-left"),
    ];
    let told = case(&files);
    told.tells(&["home/tour/venues/root:1:9 include-outside"]);
    assert_eq!(told.diagnostics[0].fixes[0].edits[0].text, "outside ");
    assert!(told.show.incomplete);
    assert_eq!(told.show.house.devices.len(), 1);
}

#[test]
fn what_cannot_be_read_is_told_where_it_is_asked_for() {
    let disk = InMemory::default()
        .with("root", "include \"rog\"\ninclude \"gear\"\ninclude \"\"\ndesk foh")
        .with("rig", "")
        .with("gear/boxes", "");
    let case = case_on("root", &disk);
    case.tells(&["root:1:9 file-missing", "root:2:9 folder-in-place-of-file", "root:3:9 file-missing"]);
    assert!(case.help().contains("did you mean `rig`"), "{}", case.help());
    assert_eq!(case.show.house.devices.len(), 1);
}

#[test]
fn a_root_that_is_not_there() {
    let case = case_on("tour/none", &InMemory::default());
    case.tells(&["tour/none:1:1 file-missing"]);
    assert!(case.project.root_unread);
    let disk = InMemory::default().with("tour/rig", "");
    case_on("tour", &disk).tells(&["tour:1:1 folder-in-place-of-file"]);
}

#[test]
fn damaged_text_costs_its_row_only() {
    let disk = InMemory::default().with("root", b"desk foh\nbox stage\xFF-left\nrate 48 kHz\n".to_vec());
    let case = case_on("root", &disk);
    assert_eq!(case.told()[0], "root:2:10 not-utf-8");
    assert!(case.show.rate.is_some());
    assert_eq!(case.show.house.devices[0].node.name.value, "foh");
}

#[test]
fn an_empty_file_is_a_show_of_nothing() {
    one("").tells(&[]);
    one("\u{FEFF}").tells(&[]);
}

#[cfg(unix)]
#[test]
fn links_on_the_disk_are_one_file() {
    let folder = std::env::temp_dir().join(format!("fantail-links-{}", std::process::id()));
    std::fs::create_dir_all(folder.join("venues")).unwrap();
    std::fs::write(folder.join("rig"), "desk foh").unwrap();
    std::os::unix::fs::symlink(folder.join("rig"), folder.join("venues/rig")).unwrap();
    std::fs::write(folder.join("venues/root"), "include \"rig\"\ninclude \"../rig\"").unwrap();
    let (project, told) = load(&folder.join("venues/../venues/root"), &Disk);
    assert_eq!(told, []);
    assert_eq!(gather(&project).0.house.devices.len(), 1);

    let texts = BTreeMap::from([(Disk.canonical(&folder.join("rig")), "desk foh\nbox stage-left".to_string())]);
    let (project, _) = load(&folder.join("venues/root"), &Overlay { base: Disk, texts });
    assert_eq!(gather(&project).0.house.devices.len(), 2);
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn a_missing_file_is_looked_for_one_folder_up() {
    let helps = |files: &[(&str, &str)]| -> Vec<String> {
        let case = case(files);
        let missing = case.diagnostics.iter().filter(|told| told.rule == "file-missing");
        missing.flat_map(|told| told.help.clone()).collect()
    };
    let said = |path: &str| vec![format!("it is one folder up: write `include \"{path}\"`")];
    assert_eq!(helps(&[("tour/hall", "include \"rig\""), ("rig", "desk foh")]), said("../rig"));
    assert_eq!(helps(&[("tour/hall", "include \"gear/rig\""), ("tour/rig", "desk foh")]), said("rig"));
    // Above the show's folders nothing is looked for.
    let outside = helps(&[("a/b/hall", "include \"../rig\""), ("rig", "desk foh")]);
    assert!(outside.iter().all(|help| !help.contains("one folder up")), "{outside:?}");
    assert_eq!(helps(&[("a/b/hall", "include \"x/y/rig\""), ("a/b/x/rig", "desk foh")]), said("x/rig"));
}
