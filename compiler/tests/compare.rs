//! `fantail compare` as people run it: two files, a revision of a repository, shows that share a file.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use tempfile::TempDir;

const RIG: &str = "rate 48 kHz
clock foh
desk foh is desk-48
box left is box-16x8 on foh.portA offset 1 cable 60 m screened locking
box right is box-16x8 on left.thru offset 9 cable 15 m screened locking
inputs foh {
  1 kick dynamic from left 1
  2 snare dynamic from left 2
  3 lead condenser from left 3 phantom gain 30 dB
  17 strings ribbon from right 1
}
outputs foh {
  mix 1 to left 1 wedge \"Lead wedge\" of lead, strings
  main 1-2 to right 7-8 pa \"PA left\", \"PA right\"
}
";

const VENUE: &str = "fantail 1\ninclude \"../rig.fantail\"\nshow \"Night Ferry\" at \"Quayside Hall\" on 2026-07-04\n";

struct Ground(TempDir);

impl Ground {
    fn new() -> Ground {
        let ground = Ground(TempDir::new().unwrap());
        ground.put("rig.fantail", RIG);
        ground.put("venues/quayside.fantail", VENUE);
        ground.put("venues/mill.fantail", &VENUE.replace("Quayside Hall", "Mill Yard"));
        ground
    }

    fn put(&self, name: &str, text: &str) {
        let path = self.0.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }

    fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_fantail")).current_dir(self.0.path()).args(arguments).output().unwrap()
    }

    fn told(&self, arguments: &[&str]) -> String {
        let done = self.run(&[&["compare"], arguments].concat());
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        String::from_utf8(done.stdout).unwrap()
    }

    fn git(&self, arguments: &[&str]) {
        let who = ["-c", "user.name=Stage", "-c", "user.email=stage@example.com", "-c", "init.defaultBranch=main"];
        let done = Command::new("git").current_dir(self.0.path()).args(who).args(arguments).output().unwrap();
        assert!(done.status.success(), "git {arguments:?}: {}", String::from_utf8_lossy(&done.stderr));
    }

    fn committed() -> Ground {
        let ground = Ground::new();
        ground.git(&["init", "-q"]);
        ground.git(&["add", "-A"]);
        ground.git(&["commit", "-qm", "The rig"]);
        ground
    }
}

/// Without blanks that only fill columns.
fn lines(text: &str) -> Vec<String> {
    text.lines().map(|line| line.split_whitespace().collect::<Vec<_>>().join(" ")).collect()
}

fn has(text: &str, line: &str) {
    assert!(lines(text).iter().any(|one| one == line), "no line `{line}` in\n{text}");
}

#[test]
fn layout_comments_and_order_are_no_change() {
    let ground = Ground::new();
    let mut rows: Vec<&str> = RIG.lines().collect();
    rows.swap(6, 8);
    let other = rows.join("\r\n").replace("  2 snare", "# moved about\r\n      2    snare") + "\r\n";
    ground.put("other.fantail", &format!("show \"Night Ferry\"\n{other}"));
    ground.put("one.fantail", &format!("show \"Night Ferry\"\n{RIG}"));
    let told = ground.told(&["one.fantail", "other.fantail", "--exit-code"]);
    has(&told, "Nothing changed for anybody.");
}

#[test]
fn each_thing_is_told_in_the_words_of_the_trade() {
    let ground = Ground::new();
    let new = RIG
        .replace("1 kick dynamic from left 1", "1 kick dynamic from left 2")
        .replace("2 snare dynamic from left 2", "2 snare dynamic from left 1")
        .replace("lead condenser from left 3 phantom gain 30 dB", "singer condenser from left 3 phantom gain 34 dB")
        .replace("of lead, strings", "of singer")
        .replace("strings ribbon from right 1", "strings condenser from right 5 phantom")
        .replace(
            "right is box-16x8 on left.thru offset 9 cable 15 m",
            "right is box-16x8 on left.thru offset 17 cable 20 m",
        );
    ground.put("one.fantail", &format!("show \"Night Ferry\"\n{RIG}"));
    ground.put("two.fantail", &format!("show \"Night Ferry\"\n{new}"));
    let told = ground.told(&["one.fantail", "two.fantail"]);
    for line in [
        "goes silent Strings no longer in Lead wedge (wedge)",
        "renamed Singer Lead -> Singer stage crew two.fantail:10",
        "swapped Kick and Snare left.in 1 <-> left.in 2 stage crew two.fantail:8, two.fantail:9",
        "moved Strings right.in 1 -> right.in 5 stage crew two.fantail:11",
        "48 V Strings off -> on foh two.fantail:11",
        "gain Singer 30 dB -> 34 dB foh two.fantail:10",
        "sends Strings no longer in Lead wedge monitors two.fantail:14",
        "offset right.out 9 -> 17 right two.fantail:6",
        "length cable at right.up 15 m -> 20 m stage crew two.fantail:6",
        "to do: foh, when everything is plugged",
        "Stage patch: right stage crew print again",
    ] {
        has(&told, line);
    }
    let at = |line: &str| told.find(line).unwrap_or_else(|| panic!("no `{line}` in\n{told}"));
    // 48 V last, and the ribbon's successor before it.
    assert!(at("48 V ON: right.in 5") > at("plug Strings (condenser) into right.in 5"));
    assert!(at("risks") < at("what changed"), "the risks come first");
}

/// What a rig becomes by these edits, told as text.
fn edited(edits: &[(&str, &str)]) -> String {
    let ground = Ground::new();
    let new = edits.iter().fold(RIG.to_string(), |text, (was, now)| {
        assert!(text.contains(was), "no `{was}`");
        text.replace(was, now)
    });
    ground.put("one.fantail", &format!("show \"Night Ferry\"\n{RIG}"));
    ground.put("two.fantail", &format!("show \"Night Ferry\"\n{new}"));
    ground.told(&["one.fantail", "two.fantail"])
}

#[test]
fn whoever_works_down_a_list_of_their_own_is_safe() {
    let told = edited(&[
        ("lead condenser from left 3 phantom gain 30 dB", "lead condenser from right 1 phantom gain 30 dB"),
        ("strings ribbon from right 1", "strings ribbon from left 3"),
        ("  17 ", "  3 "),
        ("  3 lead", "  17 lead"),
    ]);
    let at = |line: &str| told.find(line).unwrap_or_else(|| panic!("no `{line}` in\n{told}"));
    assert!(at("foh, before anything else") < at("48 V OFF: left.in 3"));
    assert!(at("48 V OFF: left.in 3") < at("unplug Lead"));
    assert!(at("plug Lead") < at("foh, when everything is plugged"));
    assert!(at("foh, when everything is plugged") < at("48 V ON: right.in 1"));
}

#[test]
fn what_people_no_longer_hear_is_a_risk() {
    let told = edited(&[("of lead, strings", "of strings")]);
    has(&told, "goes silent Lead no longer in Lead wedge (wedge)");
    let told = edited(&[("outputs foh {", "keep lead out of pa\noutputs foh {")]);
    has(&told, "goes silent Lead no longer in PA left and right (pa)");
    // A main at another socket is no silence.
    let told = edited(&[("main 1-2 to right 7-8", "main 1-2 to right 5-6")]);
    assert!(told.contains("no risks"), "{told}");
    let told = edited(&[("left 1 wedge \"Lead wedge\"", "left 1 in-ears \"Lead wedge\"")]);
    has(&told, "comes to ears Lead wedge was for wedge: bring it down before packs go on");
}

#[test]
fn what_hangs_on_an_output_goes_with_its_label_or_with_its_mix() {
    let two = "mix 1 to left 1 wedge \"Lead wedge\" of lead, strings";
    let pair = |one: (&str, u32), other: (&str, u32)| {
        format!(
            "mix 1 to left {} wedge \"{}\" of lead\n  mix 2 to left {} wedge \"{}\" of strings",
            one.1, one.0, other.1, other.0
        )
    };
    let told = |was: &str, now: &str| {
        let ground = Ground::new();
        ground.put("one.fantail", &format!("show \"Night Ferry\"\n{}", RIG.replace(two, was)));
        ground.put("two.fantail", &format!("show \"Night Ferry\"\n{}", RIG.replace(two, now)));
        ground.told(&["one.fantail", "two.fantail"])
    };
    // Two of one name: by the mix.
    let moved = told(&pair(("Wedge", 1), ("Wedge", 2)), &pair(("Wedge", 2), ("Wedge", 1)));
    assert!(moved.contains("unplug Wedge (wedge) at left.out 1"), "{moved}");
    // Labels alone: nobody moves a plug.
    let labels = told(&pair(("Lead", 1), ("Bass", 2)), &pair(("Bass", 1), ("Lead", 2)));
    assert!(!labels.contains("plug Lead") && labels.contains("label at left.out 1: Bass, was Lead"), "{labels}");
}

#[test]
fn another_microphone_at_another_socket_is_told() {
    let told = edited(&[("2 snare dynamic from left 2", "2 snare boundary from left 9 phantom")]);
    has(&told, "2 unplug Snare (dynamic) from left.in 2");
    has(&told, "3 plug Snare (boundary) into left.in 9");
}

#[test]
fn what_is_set_up_and_written_otherwise_has_its_steps() {
    let told = edited(&[
        ("1 kick dynamic from left 1", "1 kick dynamic from left 1 stand short at USC polarity inverted \"Kick In\""),
        ("box right is box-16x8 on left.thru", "box right is box-16x8 dead 9 supply \"B\" gain by foh on left.thru"),
        ("\"Lead wedge\" of lead, strings", "\"Singer\" of lead, kick"),
        ("outputs foh {", "record all inputs\noutputs foh {"),
    ]);
    for line in [
        "label at left.in 1: Kick In, was Kick",
        "right: line 9 must stay free: mark it",
        "right: switch it off, then mains from B, was a supply that no row names",
        "Kick In: stand short; place USC",
        "foh.channel 1: name it Kick In, was Kick; invert its polarity",
        "right: its gains are turned from foh",
        "foh.mix 1: name it Singer, was Lead wedge",
        "Singer (foh.mix 1): add Kick In (channel 1); take out Strings (channel 17)",
        "foh.track 1-3: name them Kick In, Snare, Lead",
        "foh.track 17: name it Strings",
    ] {
        assert!(lines(&told).iter().any(|one| one.ends_with(line)), "no `{line}` in\n{told}");
    }
    for crew in ["to do: stage crew", "to do: foh", "to do: monitors", "to do: recordist"] {
        has(&told, crew);
    }
    assert!(told.contains("mains and rigging are for licensed people"), "{told}");
}

#[test]
fn a_desk_that_hears_by_other_preamps_is_told_once() {
    let rig = "desk foh is desk-48\ndesk mon is desk-48\nsplit front is split-24x3\nbox pit is box-32x16 on foh.portA offset 1
box left is box-32x16 on mon.portA offset 1\nlink foh.portB to mon.portB cable 20 m\nloom front.direct 1-24 to pit 1-24\nLOOM
inputs foh {\n  1 kick dynamic from front 1\n  2 snare dynamic from front 2\n}
inputs mon {\n  1 kick\n  2 snare\n}\n";
    let ground = Ground::new();
    ground.put("one.fantail", &format!("show \"X\"\n{}", rig.replace("LOOM", "loom front.iso-a 1-24 to left 1-24")));
    ground.put("two.fantail", &format!("show \"X\"\n{}", rig.replace("LOOM", "")));
    let told = ground.told(&["one.fantail", "two.fantail"]);
    has(&told, "preamps mon: 2 inputs left.in -> pit.in mon one.fantail:9");
    has(
        &told,
        "level may jump mon 2 inputs come by pit.in, not left.in: carry their gains over before they are unmuted",
    );
}

/// What stands in a line before what.
fn before(told: &str, one: &str, other: &str) {
    let at = |line: &str| told.find(line).unwrap_or_else(|| panic!("no `{line}` in\n{told}"));
    assert!(at(one) < at(other), "`{one}` before `{other}` in\n{told}");
}

#[test]
fn what_is_still_heard_is_no_silence() {
    // The same wedge on another mix; a mix that nobody knows the contents of; a mix that is gone is told once.
    for edit in [("mix 1 to left 1", "mix 3 to left 1"), (" of lead, strings", "")] {
        let told = edited(&[edit]);
        assert!(!told.contains("goes silent"), "{told}");
    }
    let told = edited(&[("  mix 1 to left 1 wedge \"Lead wedge\" of lead, strings\n", "")]);
    assert_eq!(told.matches("goes silent").count(), 1, "{told}");
}

#[test]
fn a_mix_that_becomes_a_side_of_a_stereo_one_has_a_step() {
    let told = edited(&[("mix 1 to left 1 wedge \"Lead wedge\"", "mix 1-2 to left 1-2 wedge \"Lead wedge\" stereo")]);
    assert!(told.contains("(foh.mix 1): a side of a stereo mix now"), "{told}");
}

#[test]
fn what_others_took_over_and_miss_is_a_risk() {
    let rig = "desk foh is desk-48\nsplit front is split-24x3\nbox pit is box-32x16 on foh.portA offset 1
outside truck \"Truck\" in 1-8\nloom front.direct 1-8 to pit 1-8\nloom front.iso-a 1-8 to truck.in 1-8
inputs foh {\n  8 kick dynamic from front 8\n}\n";
    let ground = Ground::new();
    ground.put("one.fantail", &format!("show \"X\"\n{rig}"));
    let seven = rig.replace("front.iso-a 1-8 to truck.in 1-8", "front.iso-a 1-7 to truck.in 1-7");
    ground.put("two.fantail", &format!("show \"X\"\n{seven}"));
    has(&ground.told(&["one.fantail", "two.fantail"]), "goes silent Kick no longer reaches truck.in 8");
}

#[test]
fn a_spare_cable_is_known_by_its_length() {
    let two = "spare cable 60 m\nspare cable 75 m\ninputs foh {";
    let ground = Ground::new();
    ground.put("one.fantail", &format!("show \"X\"\n{}", RIG.replace("inputs foh {", two)));
    ground
        .put("two.fantail", &format!("show \"X\"\n{}", RIG.replace("inputs foh {", "spare cable 75 m\ninputs foh {")));
    let told = ground.told(&["one.fantail", "two.fantail"]);
    assert!(told.contains("gone  spare cable 60 m") && !told.contains("75 m"), "{told}");
}

#[test]
fn what_holds_in_every_act_is_done_once() {
    let acts = "act wren from 18:00 to 19:00 {\n  inputs foh {\n    4 flute dynamic from left 4\n  }\n}
act heron from 20:00 to 21:00 {\n  inputs foh {\n    4 harp dynamic from left 5\n  }\n}\n";
    let ground = Ground::new();
    ground.put("one.fantail", &format!("show \"X\"\n{RIG}{acts}"));
    let (was, now) = (("cable 15 m", "cable 30 m"), ("harp dynamic from left 5", "harp dynamic from left 6"));
    let other = format!("show \"X\"\n{RIG}{acts}").replace(was.0, was.1).replace(now.0, now.1);
    ground.put("two.fantail", &other);
    let told = ground.told(&["one.fantail", "two.fantail"]);
    assert_eq!(told.matches("lay left.thru to right.up (30 m").count(), 1, "{told}");
    assert_eq!(told.matches("move Harp from left.in 5 to left.in 6").count(), 1, "{told}");
}

#[test]
fn sends_follow_channels() {
    let told = edited(&[("  3 lead", "  9 lead")]);
    assert!(told.contains("Lead wedge (foh.mix 1): add Lead (channel 9); take out Lead (channel 3)"), "{told}");
    // The same channel carries somebody else: nobody turns a send.
    let told = edited(&[("2 snare dynamic from left 2", "2 cajon boundary from left 2 phantom")]);
    assert!(!told.contains("take out") && told.contains("foh.channel 2: name it Cajon, was Snare"), "{told}");
}

#[test]
fn a_run_is_pulled_and_a_desk_exchanged_without_48_v() {
    let snake = ("box right", "snake tail is snake-12 to left 1-12 cable 5 m\nbox right");
    let (from, onto) = (("from left 3 phantom", "from tail 3 phantom"), ("cable 5 m", "cable 10 m"));
    let ground = Ground::new();
    let rig = RIG
        .replace(snake.0, snake.1)
        .replace(from.0, from.1)
        .replace("kick dynamic from left 1", "kick dynamic from tail 1");
    let rig = rig.replace("snare dynamic from left 2", "snare dynamic from tail 2");
    ground.put("one.fantail", &format!("show \"X\"\n{rig}"));
    ground.put("two.fantail", &format!("show \"X\"\n{}", rig.replace(onto.0, onto.1)));
    let told = ground.told(&["one.fantail", "two.fantail"]);
    before(&told, "48 V OFF: left.in 3", "pull tail.tail 1-12");
    before(&told, "lay tail.tail 1-12", "48 V ON: left.in 3");
    let told = edited(&[("foh is desk-48", "foh is desk-96")]);
    before(&told, "48 V OFF: left.in 3", "take foh out");
    before(&told, "set foh up", "left.in 3: gain 30 dB");
    before(&told, "left.in 3: gain 30 dB", "48 V ON: left.in 3");
}

#[test]
fn preamps_are_turned_at_the_desk_at_the_head_of_their_chain() {
    let rig = "desk foh is desk-48\ndesk mon is desk-48\nbox pit is box-32x16 on foh.portA offset 1
box left is box-32x16 on mon.portA offset 1
inputs foh {\n  1 kick dynamic from pit 1\n}
inputs mon {\n  1 lead dynamic from left 1\n}\n";
    let ground = Ground::new();
    ground.put("one.fantail", &format!("show \"X\"\n{rig}"));
    ground.put(
        "two.fantail",
        &format!("show \"X\"\n{}", rig.replace("lead dynamic from left 1", "lead condenser from left 2 phantom")),
    );
    let told = ground.told(&["one.fantail", "two.fantail"]);
    has(&told, "to do: mon, when everything is plugged");
}

#[test]
fn a_gain_that_another_socket_does_not_know_is_told() {
    let told = edited(&[("1 kick dynamic from left 1", "1 kick dynamic from left 9")]);
    has(
        &told,
        "level may jump Kick at foh it comes by left.in 9, not left.in 1: carry its gain over before it is unmuted",
    );
    let told = edited(&[("from left 3 phantom gain 30 dB", "from left 9 phantom gain 30 dB")]);
    assert!(!told.contains("level may jump"), "a row states it: {told}");
}

#[test]
fn what_is_said_of_a_mix_is_true() {
    // A hand is needed only where no row says what a mix carries.
    let ground = Ground::new();
    let text = |tail: &str| {
        let rows = RIG.replace(" of lead, strings", tail);
        format!("show \"X\"\n{rows}keep kick out of wedge\n")
    };
    ground.put("one.fantail", &text(""));
    ground.put("two.fantail", &text(" of lead"));
    let told = ground.told(&["one.fantail", "two.fantail"]);
    assert!(!told.contains("may carry again"), "{told}");
    has(&told, "1 Lead wedge (foh.mix 1): carries Lead (channel 3)");
    let back = ground.told(&["two.fantail", "one.fantail"]);
    has(&back, "2 Lead wedge (foh.mix 1): by hand keep out Kick");
    // A name that goes, and a mix that goes.
    let told = edited(&[(" \"Lead wedge\"", "")]);
    has(&told, "2 foh.mix 1: take the name Lead wedge off");
    let told = edited(&[("  mix 1 to left 1 wedge \"Lead wedge\" of lead, strings\n", "")]);
    assert!(!told.contains("no row says any more"), "{told}");
}

#[test]
fn whoever_moves_is_called_by_one_name() {
    let told = edited(&[
        ("1 kick dynamic from left 1", "1 kick dynamic from left 2 \"Kick In\" stand short"),
        ("2 snare dynamic from left 2", "2 snare dynamic from left 1"),
    ]);
    let at = |line: &str| told.find(line).unwrap_or_else(|| panic!("no `{line}` in\n{told}"));
    assert!(at("label at left.in 1: Kick In, was Kick") < at("unplug Kick In (dynamic) from left.in 1"));
    assert!(at("unplug Kick In (dynamic) from left.in 1") < at("plug Kick In (dynamic) into left.in 2"));
    let gone = edited(&[("2 snare dynamic from left 2\n", ""), ("  1 kick dynamic from left 1\n", "")]);
    assert!(gone.contains("foh.channel 1-2: not used any more, clear the name"), "{gone}");
}

#[test]
fn a_mix_that_is_for_something_else_now_is_no_silence() {
    let told = edited(&[("wedge \"Lead wedge\"", "in-ears \"Lead pack\"")]);
    assert!(!told.contains("goes silent") && told.contains("comes to ears"), "{told}");
}

#[test]
fn another_instrument_on_the_same_line_is_no_new_name() {
    let told = edited(&[("2 snare dynamic from left 2", "2 cajon dynamic from left 2 who \"Anna\"")]);
    assert!(told.contains("plug Cajon (dynamic) into left.in 2"), "{told}");
}

#[test]
fn as_data_and_for_a_review() {
    let ground = Ground::new();
    ground.put("one.fantail", &format!("show \"Night | Ferry <b>\"\n{RIG}"));
    ground
        .put("two.fantail", &format!("show \"Night | Ferry <b>\"\n{}", RIG.replace("from left 1\n", "from left 9\n")));
    let data: Value = serde_json::from_str(&ground.told(&["one.fantail", "two.fantail", "--format", "json"])).unwrap();
    let value = &data["shows"][0];
    assert_eq!(value["changes"][0]["verb"], "moved");
    assert_eq!(value["changes"][0]["thing"], "source kick");
    assert_eq!(value["changes"][0]["origins"][0]["line"], 8);
    let steps = value["work"][0]["steps"].as_array().unwrap();
    assert!(steps.iter().any(|step| step["do"] == "unplug" && step["what"] == "kick" && step["at"] == "left.in 1"));
    let markdown = ground.told(&["one.fantail", "two.fantail", "--format", "markdown"]);
    assert!(markdown.starts_with("**Night \\| Ferry \\<b\\>**"), "{markdown}");
    has(&markdown, "| moved | Kick | left.in 1 | -\\> left.in 9 | stage crew | two.fantail:8 |");
    has(&markdown, "### To do: stage crew");
}

#[test]
fn the_exit_status_tells_when_asked() {
    let ground = Ground::new();
    let compare =
        |more: &[&str]| ground.run(&[&["compare", "venues/quayside.fantail", "venues/mill.fantail"], more].concat());
    assert_eq!(compare(&[]).status.code(), Some(0));
    assert_eq!(compare(&["--exit-code"]).status.code(), Some(1));
    ground.put("broken.fantail", "show \"X\"\nbox left on nowhere.portA\n");
    let broken = ground.run(&["compare", "venues/mill.fantail", "broken.fantail"]);
    assert_eq!(broken.status.code(), Some(1));
    assert!(broken.stdout.is_empty() && !broken.stderr.is_empty());
    for wrong in [vec!["venues/mill.fantail"], vec!["venues/mill.fantail", "none.fantail"], vec!["--git", "HEAD"]] {
        assert_eq!(ground.run(&[vec!["compare"], wrong].concat()).status.code(), Some(2));
    }
}

#[test]
fn plans_that_were_kept_are_compared_too() {
    let ground = Ground::new();
    let plan = ground.run(&["plan", "venues/mill.fantail", "--format", "json"]);
    fs::write(ground.0.path().join("old.json"), plan.stdout).unwrap();
    ground.put("rig.fantail", &RIG.replace("from left 1\n", "from left 9\n"));
    has(
        &ground.told(&["old.json", "venues/mill.fantail"]),
        "moved Kick left.in 1 -> left.in 9 stage crew rig.fantail:7",
    );
}

#[test]
fn a_shared_file_shows_its_effect_in_every_venue() {
    let ground = Ground::committed();
    ground.put("rig.fantail", &RIG.replace("from left 1\n", "from left 9\n"));
    ground.put("venues/new.fantail", &VENUE.replace("Quayside Hall", "New Place"));
    let moved = |told: &str| {
        lines(told).into_iter().filter(|line| line.starts_with("moved Kick left.in 1 -> left.in 9")).count()
    };
    for (file, venues) in [("rig.fantail", 2), ("venues/mill.fantail", 1)] {
        // What is the same in all shows is told once, and as data in each.
        assert_eq!(moved(&ground.told(&["--git", "HEAD", file])), 1);
        let data: Value = serde_json::from_str(&ground.told(&["--git", "HEAD", file, "--format", "json"])).unwrap();
        assert_eq!((&data["fantail"], data["shows"].as_array().unwrap().len()), (&1.into(), venues));
        assert!(data["shows"].as_array().unwrap().iter().all(|show| show["changes"][0]["verb"] == "moved"));
    }
    // What is of one show alone stands with it.
    ground.put("venues/mill.fantail", &format!("{VENUE}change input snare from left 8\n"));
    for (format, head) in [("text", "Besides, in "), ("markdown", "**Besides, in ")] {
        let told = ground.told(&["--git", "HEAD", "rig.fantail", "--format", format]);
        let (shared, rest) = told.split_once(head).unwrap();
        assert!(shared.contains("In all 2 shows: Night Ferry at Mill Yard"), "{told}");
        assert!(shared.contains("Kick") && !shared.contains("Snare"), "{told}");
        let (mill, quayside) = rest.split_once(head).unwrap();
        assert!(mill.contains("Snare") && !quayside.contains("Snare"), "{told}");
    }
    // From anywhere, and inside a hook, where git says which repository is its own.
    let done = Command::new(env!("CARGO_BIN_EXE_fantail"))
        .current_dir(ground.0.path().join("venues"))
        .env("GIT_DIR", ".git")
        .args(["compare", "--git", "HEAD", "mill.fantail"])
        .output()
        .unwrap();
    assert!(String::from_utf8(done.stdout).unwrap().contains("left.in 9"));
}

#[test]
fn venues_stand_side_by_side_with_their_rig() {
    let ground = Ground::new();
    ground.put(
        "venues/mill.fantail",
        &format!("{VENUE}change box right cable 30 m screened locking\nwithout input snare\n"),
    );
    ground.put("venues/alone.fantail", &format!("show \"Other\"\n{RIG}"));
    let done = ground.run(&["compare", "--venues", "."]);
    assert!(String::from_utf8_lossy(&done.stderr).contains("`./venues/alone.fantail` does not include `rig.fantail`"));
    let told = String::from_utf8(done.stdout).unwrap();
    let cell = |line: &str, at: usize| {
        let row = told.lines().find(|row| row.starts_with(line)).unwrap_or_else(|| panic!("no {line} in {told}"));
        row.split("  ").map(str::trim).filter(|cell| !cell.is_empty()).nth(at).map(String::from)
    };
    assert_eq!(told.lines().count(), 5, "{told}");
    assert!(told.contains("(./venues/mill.fantail)"), "two of one name: {told}");
    assert_eq!(cell("cable at right.up", 2).as_deref(), Some("15 m"));
    assert_eq!(cell("cable at right.up", 3).as_deref(), Some("30 m"));
    assert_eq!(cell("cable at right.up", 4).as_deref(), Some("·"));
    assert_eq!(cell("Snare", 3).as_deref(), Some("not there"));
    assert!(told.contains("without snare"), "a main carries every input: {told}");
    let named = ground.told(&["--venues", "venues", "--base", "rig.fantail", "--format", "markdown"]);
    assert!(named.contains("| Snare | there | left.in 2 | not there | · |"), "{named}");
    let data: Value = serde_json::from_str(&ground.told(&["--venues", "venues", "--format", "json"])).unwrap();
    assert_eq!(data["rows"][0]["cells"][0]["origins"][0]["says"], "change box right cable 30 m screened locking");
    let exit = |more: &[&str]| ground.run(&[&["compare", "--venues"], more].concat()).status.code();
    assert_eq!(exit(&["venues", "--exit-code"]), Some(1));
    assert_eq!((exit(&["nowhere"]), exit(&["venues", "--base", "none.fantail"])), (Some(2), Some(2)));
    let lone = Ground(TempDir::new().unwrap());
    lone.put("alone.fantail", &format!("show \"Other\"\n{RIG}"));
    let done = lone.run(&["compare", "--venues", "."]);
    assert!(String::from_utf8_lossy(&done.stderr).contains("name the rig with `--base FILE`"));
}

#[test]
fn what_git_does_not_know_is_said() {
    let ground = Ground::committed();
    let said = |arguments: &[&str]| {
        let done = ground.run(&[&["compare", "--git"], arguments].concat());
        assert_eq!(done.status.code(), Some(2));
        String::from_utf8(done.stderr).unwrap()
    };
    assert!(said(&["nonesuch", "venues/mill.fantail"]).contains("git knows no revision `nonesuch`"));
    ground.put("venues/new.fantail", VENUE);
    assert!(said(&["HEAD", "venues/new.fantail"]).contains("was not there at `HEAD`"));
    ground.put("alone.fantail", RIG);
    assert!(said(&["HEAD", "alone.fantail"]).contains("was not there at `HEAD`"));
    ground.git(&["add", "alone.fantail"]);
    ground.git(&["commit", "-qm", "A rig alone"]);
    assert!(said(&["HEAD", "alone.fantail"]).contains("is no show"));
    let elsewhere = TempDir::new().unwrap();
    fs::write(elsewhere.path().join("show.fantail"), VENUE).unwrap();
    let outside = elsewhere.path().join("show.fantail");
    assert!(said(&["HEAD", "none.fantail"]).contains("`none.fantail` is not there, nor was it at `HEAD`"));
    assert!(said(&["HEAD", "venues"]).contains("is a folder: name the file"));
    let copy = TempDir::new().unwrap();
    let from = format!("file://{}", ground.0.path().display());
    ground.git(&["clone", "-q", "--depth", "1", &from, copy.path().to_str().unwrap()]);
    let file = copy.path().join("venues/mill.fantail");
    assert!(said(&["HEAD~1", file.to_str().unwrap()]).contains("`git fetch --unshallow` brings the rest"));
    assert!(said(&["HEAD", Path::new(&outside).to_str().unwrap()]).contains("is in no git repository"));
}

#[test]
fn what_is_no_show_and_no_plan_is_said() {
    let ground = Ground::new();
    let plan = ground.run(&["plan", "venues/mill.fantail", "--format", "json"]);
    let plan = String::from_utf8(plan.stdout).unwrap();
    ground.put("older.json", &plan.replacen("\"fantail\": 1", "\"fantail\": 0", 1));
    ground.put("cut.json", &plan[..plan.len() / 2]);
    ground.put("other.json", "{ \"fantail\": 1, \"shows\": [] }");
    for (file, said) in [
        ("older.json", "`older.json` is no plan: it is of format 0, and this fantail reads format 1"),
        ("cut.json", "`cut.json` is no plan: it is cut off or damaged at line"),
        ("other.json", "`other.json` is no plan: what stands in it is something else; name a pack's folder"),
        ("none.json", "`none.json` is not there"),
        ("venues", "`venues` is no pack of a show: there is no `plan.json` in it"),
        ("none.fantail", "`none.fantail` is not there"),
    ] {
        let done = ground.run(&["compare", file, "venues/mill.fantail"]);
        assert_eq!(done.status.code(), Some(2));
        let told = String::from_utf8(done.stderr).unwrap();
        assert!(told.contains(said), "{file}: {told}");
    }
    assert_eq!(ground.run(&["compare", "-", "-"]).status.code(), Some(2));
}

#[test]
fn two_different_shows_are_told_as_such() {
    let ground = Ground::new();
    ground.put("other.fantail", &format!("show \"Salt Road\"\n{RIG}"));
    let told = ground.told(&["venues/mill.fantail", "other.fantail"]);
    assert!(
        told.starts_with("Night Ferry at Mill Yard on 2026-07-04 -> Salt Road\nThese are two different shows"),
        "{told}"
    );
}

#[test]
fn the_list_of_sheets_is_what_the_pack_itself_says_is_stale() {
    let ground = Ground::new();
    let pack = ground.0.path().join("pack");
    let to = pack.to_str().unwrap();
    assert!(ground.run(&["sheets", "venues/mill.fantail", "--to", to]).status.success());
    ground.put("rig.fantail", &RIG.replace("from left 1\n", "from left 9\n").replace("cable 15 m", "cable 20 m"));
    let stale = ground.run(&["sheets", "venues/mill.fantail", "--stale", to]);
    let stale = String::from_utf8(stale.stdout).unwrap();
    let stale: Vec<&str> = stale.lines().filter_map(|line| line.strip_suffix(": print again")).collect();
    let data = ground.told(&[to, "venues/mill.fantail", "--format", "json"]);
    let data: Value = serde_json::from_str(&data).unwrap();
    let listed = data["shows"][0]["paper"].as_array().unwrap();
    let listed: Vec<&str> = listed.iter().map(|paper| paper["title"].as_str().unwrap()).collect();
    assert!(!stale.is_empty());
    assert_eq!(listed, stale);
}

#[test]
fn a_stereo_pair_is_told_once_and_an_input_that_comes_into_many_mixes_too() {
    let ground = Ground::new();
    let pairs = "  5-6 keys di-passive from left 5-6 stereo \"Keys\"\n}\noutputs foh {\n  mix 3-4 to left 3-4 in-ears \"Ears\" stereo of kick\n";
    let one = RIG.replacen("}\noutputs foh {\n", pairs, 1);
    let two = one
        .replace("from left 5-6 stereo", "from right 5-6 stereo")
        .replace("stereo of kick", "stereo of kick, snare, keys")
        .replace("of lead, strings", "of lead, strings, snare");
    ground.put("one.fantail", &format!("show \"Night Ferry\"\n{one}"));
    ground.put("two.fantail", &format!("show \"Night Ferry\"\n{two}"));
    let told = ground.told(&["one.fantail", "two.fantail"]);
    for line in [
        "moved Keys L and R left.in 5-6 -> right.in 5-6 stage crew two.fantail:12",
        "sends Snare now also in Lead wedge, Ears L and R monitors two.fantail:15, two.fantail:16",
        "sends Keys L and R now also in Ears L and R monitors two.fantail:15",
    ] {
        has(&told, line);
    }
}

const EVENING: &str = "desk foh is desk-48
box left is box-16x8 on foh.portA offset 1
inputs foh { 16 host radio from left 16 }
outputs foh { mix 1 to left 1 wedge \"Wedge\" of host }
show \"Evening\"
act heron \"Heron\" from 20:00 to 20:45 {
  inputs foh {
    1 kick dynamic from left 1
    2 snare dynamic from left 2
    3 lead condenser from left 3 phantom
  }
}
act owl \"Owl\" from 21:15 to 22:00 {
  inputs foh { 1 cajon boundary from left 9 phantom }
}
";

/// What the evening becomes by these edits, as told.
fn evening(edits: &[(&str, &str)]) -> String {
    let ground = Ground::new();
    let new = edits.iter().fold(EVENING.to_string(), |text, (was, now)| {
        assert!(text.contains(was), "no `{was}`");
        text.replace(was, now)
    });
    ground.put("one.fantail", EVENING);
    ground.put("two.fantail", &new);
    ground.told(&["one.fantail", "two.fantail"])
}

#[test]
fn an_act_under_a_new_name_is_the_same_act() {
    let told = evening(&[("act heron \"Heron\"", "act bittern \"Bittern\"")]);
    has(&told, "renamed act Bittern Heron -> Bittern everybody two.fantail:6");
    assert!(told.contains("1 change,") && !told.contains("to do"), "{told}");
    // By its title, whatever the rows.
    let told = evening(&[
        ("act heron", "act h"),
        ("snare dynamic from left 2", "snare dynamic from left 4"),
        ("1 kick", "5 kick"),
    ]);
    has(&told, "renamed act Heron heron -> h everybody two.fantail:6");
    has(&told, "moved Snare left.in 2 -> left.in 4 Heron stage crew two.fantail:9");
    has(&told, "re-patched Kick foh.channel 1 -> foh.channel 5 Heron foh two.fantail:8");
    // At its time, with two rows changed.
    let told = evening(&[
        ("act heron \"Heron\"", "act bittern \"Bittern\""),
        ("snare dynamic from left 2", "snare dynamic from left 4"),
        ("kick dynamic from left 1", "kick boundary from left 1 phantom"),
    ]);
    has(&told, "renamed act Bittern Heron -> Bittern everybody two.fantail:6");
    has(&told, "moved Snare left.in 2 -> left.in 4 Bittern stage crew two.fantail:9");
    has(&told, "48 V Kick off -> on Bittern foh two.fantail:8");
}

#[test]
fn another_act_at_the_same_time_is_another_act() {
    let told = evening(&[
        ("act heron \"Heron\"", "act bittern \"Bittern\""),
        ("kick dynamic from left 1", "harp condenser from left 5 phantom"),
        ("snare dynamic from left 2", "bass di-active from left 6 phantom"),
        ("lead condenser from left 3 phantom", "alto dynamic from left 7"),
    ]);
    assert!(!told.contains("renamed"), "{told}");
    has(&told, "gone act Heron 20:00-20:45 everybody one.fantail:6");
    has(&told, "added act Bittern 20:00-20:45 everybody two.fantail:6");
}
