//! What the plan's text tells to switch off when one act follows another.
#![allow(clippy::unwrap_used)]

use fantail::plan::text;
use fantail::project::InMemory;
use std::path::Path;

const ACTS: &str = "desk foh\n\
    box left is box-16x8 on foh.portA offset 1\nbox right is box-16x8 on left.thru offset 9\n\
    inputs foh { 40 choir condenser from left 16 phantom }\n\
    act duo TIMES-1 { inputs foh { 1-2 strings condenser from left 1-2 phantom; 3 harp condenser from right 3 phantom } }\n\
    act band TIMES-2 { inputs foh { 1 snare dynamic from left 1; 2 bells condenser from left 2 phantom } }\n\
    act last TIMES-3 { inputs foh { 1 talk dynamic from left 1 } }\n";

fn plan(times: [&str; 3]) -> fantail::plan::Plan {
    let words = ["TIMES-1", "TIMES-2", "TIMES-3"];
    let show = words.iter().zip(times).fold(ACTS.to_string(), |show, (word, time)| show.replace(word, time));
    let compiled = fantail::compile(Path::new("show.fantail"), &InMemory::default().with("show.fantail", show));
    assert!(!compiled.has_errors(), "{:?}", compiled.diagnostics);
    compiled.plan
}

fn timed() -> fantail::plan::Plan {
    plan(["from 19:00 to 19:30", "from 20:00 to 21:00", "from 21:30 to 22:00"])
}

fn act_part(text: &str, act: &str) -> String {
    let (_, part) = text.split_once(&format!("\nact {act}")).unwrap();
    part.split("\nact ").next().unwrap().to_string()
}

#[test]
fn an_act_begins_with_what_the_one_before_left_on() {
    let text = text(&timed(), None, None).unwrap();
    assert!(!act_part(&text, "duo").contains("changeover"), "nothing came before:\n{text}");
    let off =
        "  changeover: 48 V off, wait, then unplug and plug\n    left   in 1  on in duo\n    right  in 3  on in duo\n";
    assert!(act_part(&text, "band").contains(off), "{text}");
    // the harp's switch was off in the band's act already
    let off = "  changeover: 48 V off, wait, then unplug and plug\n    left  in 2  on in band\n\n";
    assert!(format!("{}\n", act_part(&text, "last")).contains(off), "{text}");
}

#[test]
fn one_act_or_one_device_has_its_own() {
    let plan = timed();
    let band = text(&plan, None, Some("band")).unwrap();
    assert!(band.contains("\nchangeover: 48 V off, wait, then unplug and plug\n  left   in 1  on in duo\n"), "{band}");
    let right = text(&plan, Some("right"), Some("band")).unwrap();
    assert!(right.contains("\n  right  in 3  on in duo\n") && !right.contains("left   in 1"), "{right}");
    // the caution stands beside it
    assert!(right.contains("48 V: mute the outputs"), "{right}");
}

#[test]
fn without_times_every_other_act_may_be_the_one_before() {
    let text = text(&plan(["", "", ""]), None, None).unwrap();
    assert!(!act_part(&text, "duo").contains("changeover: 48 V off"), "the duo has all of it on:\n{text}");
    assert!(
        act_part(&text, "last").contains("    left   in 1  on in duo\n    left   in 2  on in band, duo\n"),
        "{text}"
    );
}

#[test]
fn a_trace_says_what_stands_in_the_place_of_a_row_of_the_house() {
    let show = "desk foh\ninputs foh { 1-2 keys line from foh.local 1-2 pad; 3 hat dynamic from foh.local 3 }\n\
        act duo { inputs foh { 1 fiddle dynamic from foh.local 5 } }\n\
        act band { inputs foh { 7 horns dynamic from foh.local 2; 3 bell dynamic from foh.local 6 } }\n";
    let compiled = fantail::compile(Path::new("show.fantail"), &InMemory::default().with("show.fantail", show));
    assert!(!compiled.has_errors(), "{:?}", compiled.diagnostics);
    let said = |what: &str| fantail::plan::trace(&compiled.plan, what).unwrap().text();
    let keys = said("keys");
    assert!(keys.contains("act band\nkeys\n  dead end: not plugged in here: band.horns stands in its place"), "{keys}");
    assert!(keys.contains("act duo\nkeys\n  dead end: not plugged in here: duo.fiddle stands in its place"), "{keys}");
    let hat = said("hat");
    // The acts that have it come first, those without it are a line.
    assert!(hat.starts_with("act duo\nhat, \"Hat\"\n  foh.local 3"), "{hat}");
    assert!(hat.ends_with("\nact band: not plugged in here: band.bell stands in its place\n"), "{hat}");
}
