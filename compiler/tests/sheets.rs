//! `fantail sheets` as people run it: what is in the folder after it, whatever happens on the way.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::sheets::Manifest;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::fs;
use std::path::PathBuf;
use std::process::{Command, Output};
use tempfile::TempDir;

const PROGRAM: &str = env!("CARGO_BIN_EXE_fantail");

/// A desk and two boxes, the first with all its inputs plugged, the second with so many.
fn show(of_second: usize) -> String {
    let mut text = String::from(
        "fantail 1\nshow \"Night Ferry\" at \"Yard\" on 2026-07-04\nrate 48 kHz\nclock foh\ndesk foh is desk-40-eights\n\
         box left is box-16x8 on foh.portA offset 1 cable 60 m screened locking\n\
         box right is box-16x8 on left.thru offset 9 cable 15 m screened locking\ninputs foh {\n",
    );
    for channel in 1..=16 + of_second {
        let (side, socket) = if channel > 16 { ("right", channel - 16) } else { ("left", channel) };
        writeln!(text, "  {channel} source-{channel} dynamic from {side} {socket} \"Source {channel}\"").unwrap();
    }
    text + "}\n"
}

fn fantail(arguments: &[&str]) -> Output {
    Command::new(PROGRAM).args(arguments).output().unwrap()
}

/// A show on disk, and a folder for its pack.
struct Ground {
    folder: TempDir,
}

impl Ground {
    fn new() -> Ground {
        let ground = Ground { folder: TempDir::new().unwrap() };
        ground.say(&show(8));
        ground
    }

    fn say(&self, text: &str) {
        fs::write(self.show(), text).unwrap();
    }

    fn show(&self) -> PathBuf {
        self.folder.path().join("show.fantail")
    }

    fn pack(&self) -> PathBuf {
        self.folder.path().join("paper")
    }

    fn write(&self, more: &[&str]) -> Output {
        let (show, pack) = (self.show(), self.pack());
        fantail(&[&["sheets", show.to_str().unwrap(), "--to", pack.to_str().unwrap()], more].concat())
    }

    fn stale(&self) -> (Option<i32>, String) {
        let (show, pack) = (self.show(), self.pack());
        let done = fantail(&["sheets", show.to_str().unwrap(), "--stale", pack.to_str().unwrap()]);
        (done.status.code(), String::from_utf8(done.stdout).unwrap())
    }

    /// Every file below the pack's folder, by its path.
    fn found(&self) -> BTreeMap<PathBuf, Vec<u8>> {
        let (mut found, mut open) = (BTreeMap::new(), vec![self.pack()]);
        while let Some(folder) = open.pop() {
            for entry in fs::read_dir(folder).into_iter().flatten().map(|entry| entry.unwrap().path()) {
                match entry.is_dir() {
                    true => open.push(entry),
                    false => drop(found.insert(entry.clone(), fs::read(&entry).unwrap())),
                }
            }
        }
        found
    }

    /// Nothing but the show and the pack.
    fn is_swept(&self) -> bool {
        let names = fs::read_dir(self.folder.path()).unwrap().map(|entry| entry.unwrap().file_name());
        names.collect::<BTreeSet<_>>() == BTreeSet::from(["paper".into(), "show.fantail".into()])
    }
}

#[test]
fn a_pack_is_replaced_as_a_whole_and_what_others_put_there_stays() {
    let ground = Ground::new();
    assert!(ground.write(&[]).status.success());
    let before = ground.found();
    let manifest: Manifest = serde_json::from_slice(&before[&ground.pack().join("pack.json")]).unwrap();
    assert_eq!(manifest.files.len() + 1, before.len());
    fs::write(ground.pack().join("csv/mine.txt"), "mine").unwrap();
    fs::write(ground.pack().join("book.pdf"), "mine").unwrap();
    assert!(ground.write(&["--form", "xlsx"]).status.success());
    let after = ground.found();
    let names: Vec<_> = after.keys().map(|path| path.strip_prefix(ground.pack()).unwrap().to_str().unwrap()).collect();
    assert_eq!(names, ["book.pdf", "csv/mine.txt", "pack.json", "plan.json", "sheets.xlsx"]);
    assert!(ground.is_swept());
    assert!(ground.write(&[]).status.success());
    assert!(before.iter().all(|(path, bytes)| ground.found().get(path) == Some(bytes)));
}

#[test]
fn a_folder_with_other_things_is_left_alone() {
    let ground = Ground::new();
    fs::create_dir(ground.pack()).unwrap();
    fs::write(ground.pack().join("letter.txt"), "mine").unwrap();
    let done = ground.write(&[]);
    assert_eq!(done.status.code(), Some(2));
    assert!(String::from_utf8(done.stderr).unwrap().contains("holds other things and no pack"));
    assert_eq!(ground.found().len(), 1);
}

#[test]
fn a_list_of_files_does_not_lead_out_of_its_folder() {
    let ground = Ground::new();
    assert!(ground.write(&[]).status.success());
    let list = ground.pack().join("pack.json");
    let mut manifest: Manifest = serde_json::from_slice(&fs::read(&list).unwrap()).unwrap();
    manifest.files.push("../show.fantail".into());
    manifest.files.push(ground.show().to_str().unwrap().into());
    fs::write(&list, serde_json::to_vec(&manifest).unwrap()).unwrap();
    assert!(ground.write(&[]).status.success());
    assert!(ground.show().is_file());
}

/// A limit on the length of a file stops the command in the middle of its writing, as a full disk would.
#[cfg(unix)]
#[test]
fn an_interrupted_pack_leaves_the_old_one_whole() {
    let ground = Ground::new();
    assert!(ground.write(&[]).status.success());
    let before = ground.found();
    ground.say(&show(12));
    let line = "ulimit -f 4; exec \"$0\" sheets \"$1\" --to \"$2\"";
    let mut shell = Command::new("bash");
    let done = shell.arg("-c").arg(line).arg(PROGRAM).arg(ground.show()).arg(ground.pack()).output().unwrap();
    assert!(!done.status.success());
    assert!(ground.found() == before);
    assert!(ground.write(&[]).status.success());
    assert!(ground.found() != before);
}

#[test]
fn a_show_with_errors_writes_nothing() {
    let ground = Ground::new();
    assert!(ground.write(&[]).status.success());
    let before = ground.found();
    ground.say(&show(8).replacen("from left 2", "from left 1", 1));
    assert_eq!(ground.write(&[]).status.code(), Some(1));
    assert!(ground.found() == before);
}

#[test]
fn stale_names_the_sheets_that_say_something_else_now() {
    let ground = Ground::new();
    assert!(ground.write(&[]).status.success());
    assert_eq!(ground.stale().0, Some(0));
    // Layout and comments are not on paper.
    ground.say(&format!("{}\n# a comment\n", show(8)));
    assert_eq!(ground.stale().0, Some(0));
    ground.say(&show(8).replacen("\"Source 20\"", "\"Kazoo\"", 1));
    let (status, said) = ground.stale();
    assert_eq!(status, Some(1));
    assert!(said.contains("Stage patch: right: print again"), "{said}");
    assert!(!said.contains("patch: left"), "{said}");
    ground.say(&show(0).replace("box right is", "# "));
    let (status, said) = ground.stale();
    assert_eq!(status, Some(1));
    assert!(said.contains("Stage patch: right: take away"), "{said}");
    fs::remove_file(ground.pack().join("sheets.xlsx")).unwrap();
    assert!(ground.stale().1.contains("sheets.xlsx: the file is gone"));
}

#[test]
fn labels_are_stale_only_where_they_differ_and_each_sheet_says_in_what() {
    let ground = Ground::new();
    // Without a date labels carry the mark of the plan.
    let undated = |text: String| text.replacen(" on 2026-07-04", "", 1);
    ground.say(&undated(show(8)));
    assert!(ground.write(&[]).status.success());
    ground.say(&undated(show(8).replacen("screened locking", "screened", 1)));
    let (status, said) = ground.stale();
    assert_eq!(status, Some(1), "{said}");
    assert!(said.contains("Cables: print again\n    now  "), "{said}");
    assert!(!said.contains("Labels"), "{said}");
    assert!(said.contains("of the same content, older mark"), "{said}");
    ground.say(&undated(show(8).replacen("\"Source 20\"", "\"Kazoo\"", 1)));
    let (_, said) = ground.stale();
    assert!(said.contains("Labels for boxes: print again\n    now  4 | Kazoo"), "{said}");
    assert!(!said.contains("Labels for cables"), "{said}");
}

#[test]
fn stale_without_a_pack_is_told() {
    let ground = Ground::new();
    assert_eq!(ground.stale().0, Some(2));
}

#[test]
fn what_changed_since_an_earlier_pack_is_on_the_front_page() {
    let ground = Ground::new();
    assert!(ground.write(&[]).status.success());
    let old = ground.folder.path().join("old");
    fs::rename(ground.pack(), &old).unwrap();
    ground.say(&show(8).replacen("\"Source 20\"", "\"Kazoo\"", 1));
    let since = ["--since", old.to_str().unwrap()];
    assert!(ground.write(&since).status.success());
    let front = fs::read_to_string(ground.pack().join("markdown/front.md")).unwrap();
    assert!(front.contains("Kazoo"), "{front}");
    assert_eq!(ground.stale().0, Some(0));
    // As data, and what is none.
    let (from, none) = (old.join("plan.json"), old.join("pack.json"));
    let again = ground.found();
    assert!(ground.write(&["--since", from.to_str().unwrap()]).status.success());
    assert!(ground.found() == again);
    let done = ground.write(&["--since", none.to_str().unwrap()]);
    assert_eq!(done.status.code(), Some(2));
    assert!(String::from_utf8(done.stderr).unwrap().contains("is no plan"));
    assert!(ground.found() == again);
}
