//! Completion in small shows: `|` marks the cursor.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

use super::{Insert, Item, Kind, complete};
use crate::editor::grammar::{self, Sign};
use crate::editor::things::thing;
use crate::project::{Disk, Files, InMemory};
use crate::source::FileId;
use crate::{Compiled, compile};
use std::path::{Path, PathBuf};

const RIG: &str = "\
show \"Night Ferry\"
desk foh is desk-48
desk monitors is desk-48
box left is box-16x8 on foh.portA offset 1
box right is box-16x8 on left.thru offset 9
split front is split-24x3
snake riser is snake-8 to right 1-8 dead 8
inputs foh {
  1    kick    boundary   from left 1    phantom
  3-4  keys    di-active  from left 3-4  phantom  stereo
  5    click   playback   from foh.local 1
}
inputs monitors {
  1  lead  vocal-hand  from right 9
}
mic vocal-hand \"Hand-held\" { kind dynamic }
group drums kick
outputs foh {
  mix 1  to left 1  wedge
}
personal foh { 1 kick }
";

const ACT: &str = "act heron \"Heron\" {\n  inputs foh { 7 fiddle condenser from left 7 }\n}\n";

fn compiled(text: &str) -> Compiled {
    compile(Path::new("show.fantail"), &InMemory::default().with("show.fantail", text))
}

fn no_files(_: &str) -> Vec<String> {
    Vec::new()
}

/// What is offered where `|` stands in lines after the rig, which was compiled without them.
fn after(rig: &str, lines: &str) -> Vec<Item> {
    let text = format!("{rig}{lines}");
    let at = text.find('|').unwrap();
    let show = compiled(rig);
    let names = |steps: &str| ["rig.fantail", "../", "venues/"].map(|name| format!("{steps}{name}")).to_vec();
    complete(&text.replacen('|', "", 1), at, Some(&show), &names)
}

fn labels(items: &[Item]) -> Vec<&str> {
    items.iter().map(|item| item.label.as_str()).collect()
}

/// The first labels are these, in this order.
#[track_caller]
fn first(lines: &str, wanted: &[&str]) {
    let items = after(RIG, lines);
    let labels = labels(&items);
    assert_eq!(labels.get(..wanted.len()).unwrap_or(&labels), wanted, "{lines}: {labels:?}");
}

#[track_caller]
fn has(lines: &str, wanted: &[&str], unwanted: &[&str]) {
    let items = after(RIG, lines);
    let labels = labels(&items);
    for label in wanted {
        assert!(labels.contains(label), "{lines}: `{label}` is missing in {labels:?}");
    }
    for label in unwanted {
        assert!(!labels.contains(label), "{lines}: `{label}` is in {labels:?}");
    }
}

#[test]
fn an_empty_file_and_a_new_line_take_statements() {
    let empty = complete("", 0, None, &no_files);
    assert_eq!(labels(&empty).first(), Some(&"fantail"), "{:?}", labels(&empty));
    assert!(labels(&empty).contains(&"show"));
    has("|", &["show", "box", "inputs", "act", "change", "mic", "expect"], &["kick", "1", "from", "channel"]);
    has("bo|", &["box"], &["from"]);
    let block = after(RIG, "inputs|").into_iter().find(|item| item.label == "inputs").unwrap();
    assert_eq!(block.insert, Insert::Snippet("inputs ${1:foh} {\n  $0\n}".to_string()));
    assert_eq!(block.replace, RIG.len()..RIG.len() + 6);
    assert_eq!(block.clone().without_snippets().unwrap().insert, Insert::Text("inputs".to_string()));
}

#[test]
fn an_act_takes_only_what_it_may_hold() {
    has(
        "act kestrel {\n  |\n}\n",
        &["inputs", "snake", "change", "allow", "include"],
        &["show", "act", "model", "expect", "rate"],
    );
    has("act kestrel {\n  inputs foh { 1 x |", &["boundary", "from"], &["inputs"]);
}

#[test]
fn a_new_input_row_begins_with_the_next_free_channel() {
    first("inputs foh {\n  |", &["2", "6-7", "2 name kind from left 2"]);
    // Behind the row above, whatever was compiled.
    first("inputs foh {\n  9 snare dynamic\n  |\n}\n", &["10", "10-11"]);
    first("inputs monitors {\n  |", &["2"]);
    has("inputs monitors {\n  |", &["kick", "keys", "click"], &["lead", "drums", "inputs", "from"]);
    let row = after(RIG, "inputs foh {\n  |").into_iter().find(|item| item.kind == Kind::Snippet).unwrap();
    assert_eq!(row.insert, Insert::Snippet("2 ${1:name} ${2:dynamic} from ${3:left 2}$0".to_string()));
    assert_eq!(row.without_snippets(), None);
}

#[test]
fn after_a_name_stand_microphones_then_attributes() {
    first("inputs foh {\n  2 snare |", &["vocal-hand"]);
    has(
        "inputs foh {\n  2 snare |",
        &["dynamic", "condenser", "from", "phantom", "stereo", "place"],
        &["is", "to", "kick", "48"],
    );
    has("inputs foh {\n  2 snare dynamic phantom |", &["from", "gain"], &["phantom", "48V", "dynamic"]);
    has("inputs foh {\n  2 snare dynamic | from left 2 at DSL", &["phantom"], &["from", "at", "place"]);
}

#[test]
fn after_from_stand_free_sockets_then_any_then_what_is_used() {
    first("inputs foh {\n  2 snare dynamic from |", &["left 2", "right 10", "front 1", "riser 1", "foh.local 2"]);
    first("inputs foh {\n  11-12 pair condenser from |", &["left 5-6"]);
    let items = after(RIG, "inputs foh {\n  2 snare dynamic from |");
    let at = |label: &str| labels(&items).iter().position(|known| *known == label);
    assert!(at("any") > at("foh.local 2"), "{:?}", labels(&items));
    has("inputs foh {\n  2 snare dynamic from |", &["any"], &["phantom", "kick"]);
}

#[test]
fn after_a_box_stand_its_free_numbers() {
    first("inputs foh {\n  2 snare dynamic from left |", &["2", "5", "6"]);
    let items = after(RIG, "inputs foh {\n  2 snare dynamic from left |");
    let used = items.iter().find(|item| item.label == "1").unwrap();
    assert_eq!(used.detail, "kick");
    let at = |label: &str| labels(&items).iter().position(|known| *known == label);
    assert!(at("any") < at("1") && at("16") < at("any") && at("phantom") < at("1"), "{:?}", labels(&items));
    first("inputs foh {\n  2-3 pair dynamic stereo from left |", &["5-6", "6-7"]);
    first("inputs foh {\n  2 snare dynamic from left 2, |", &["2", "5"]);
    // What the row has already is free for it.
    first("inputs foh {\n  1 kick boundary from left |", &["1", "2"]);
    let of_a_line = after(RIG, "inputs foh {\n  2 snare dynamic from right |");
    assert!(of_a_line.iter().any(|item| item.label == "1" && item.detail == "line of riser"));
    first("inputs foh {\n  2 snare dynamic from foh.|", &["local"]);
    first("inputs foh {\n  2 snare dynamic from foh.local |", &["2"]);
}

#[test]
fn what_is_being_typed_is_replaced() {
    let items = after(RIG, "inputs foh {\n  2 snare dyn|");
    let item = items.iter().find(|item| item.label == "dynamic").unwrap();
    let start = RIG.len() + "inputs foh {\n  2 snare ".len();
    assert_eq!(item.replace, start..start + 3);
    has("inputs foh {\r\n  2 snare dynamic from le|\r\n}\r\n", &["left 2"], &[]);
    has("inputs foh {\n  2 snare dynamic from left 1|", &["10"], &[]);
    let items = after(RIG, "box b is box-16|");
    assert!(items.iter().all(|item| item.replace.len() == 6));
    let items = after(RIG, "box b is box-|");
    assert!(items.iter().all(|item| item.replace.len() == 4), "{items:?}");
}

#[test]
fn outputs_offer_banks_free_sockets_and_uses() {
    first("outputs foh {\n  mix 1 to left 1\n  |", &["mix 2"]);
    has("outputs foh {\n  |", &["mix", "main", "matrix"], &["channel", "1", "kick"]);
    first("outputs foh {\n  mix |", &["2"]);
    first("outputs foh {\n  mix 3 |", &["to", "pa"]);
    first("outputs foh {\n  mix 3 to |", &["left 2", "right 1", "foh.out 1"]);
    first("outputs foh {\n  mix 3-4 to left |", &["2-3"]);
    has("outputs foh {\n  mix 3 to left 2 |", &["wedge", "of", "and", "stereo"], &["to", "from", "phantom"]);
    has("outputs foh {\n  mix 3 to left 2 wedge |", &["of"], &["pa", "wedge"]);
    has("outputs foh {\n  mix 3 to left 2 of |", &["all", "kick", "drums", "lead"], &["left", "but"]);
    has("outputs foh {\n  mix 3 to left 2 of kick, |", &["drums"], &["kick"]);
    has("outputs foh {\n  mix 3 to left 2 of all |", &["inputs"], &[]);
    has("outputs foh {\n  mix 3 to left 2 of all inputs |", &["but", "wedge"], &["kick"]);
    has("outputs foh {\n  mix 3 to left 2 at |", &["USR", "DSL"], &["wedge"]);
}

#[test]
fn gear_offers_models_ports_and_settings() {
    first("desk third is |", &["desk-48", "desk-96", "desk-40-eights"]);
    first("box b is |", &["box-8x8", "box-16x8"]);
    has("box b |", &["is", "on", "cable"], &["from", "phantom", "is-it"]);
    first("box b is box-16x8 on |", &["foh.portB"]);
    has("box b is box-16x8 on |", &["monitors.portA", "right.thru", "foh.portA"], &["foh.out"]);
    first("box b is box-16x8 on foh.|", &["portB"]);
    has("box b is box-16x8 on foh.|", &["portA"], &["out", "channel"]);
    first("box b is box-16x8 offset |", &["17"]);
    has("box b is box-16x8-optical |", &["optical"], &["in"]);
    has("box b is box-16x8-optical optical |", &["copy", "outputs"], &["cable"]);
    has("snake s is snake-8 to |", &["left 2"], &["left.out 2"]);
    has("box b cable 60 |", &["m", "ft"], &["dB", "kHz"]);
    has("box b cable 60 m |", &["screened", "locking", "is"], &["cable"]);
    has("box b gain |", &["by"], &[]);
    has("box b gain by |", &["foh", "monitors"], &["left"]);
    has("split s is split-24x3 lifted |", &["iso-a", "iso-b"], &["in"]);
    has("clock |", &["foh", "left"], &["kick"]);
    has("link |", &["foh.portB"], &["foh"]);
}

#[test]
fn other_statements_offer_their_own() {
    has("record |", &["all", "kick", "drums"], &["left"]);
    has("record all inputs on |", &["foh"], &["left"]);
    has("record all inputs for 3 |", &["h", "min"], &["dB"]);
    has("keep kick |", &["out"], &["of"]);
    has("keep kick out of pa, |", &["broadcast"], &["pa", "kick"]);
    has("group vox |", &["lead"], &["left"]);
    has("allow |", &["mirrored-outputs", "names-alike"], &["kick"]);
    has("allow names-alike |", &["on", "because"], &[]);
    has("allow names-alike on |", &["kick", "left"], &[]);
    has("expect |", &["kick", "spare", "latency"], &[]);
    has("expect kick |", &["reaches", "not"], &[]);
    has("expect kick reaches |", &["foh", "pa"], &[]);
    has("expect spare inputs on |", &["each", "left"], &[]);
    has("personal foh {\n  |", &["2"], &["from"]);
    has("personal foh {\n  2 |", &["kick", "drums", "main"], &["foh.main", "left"]);
    has("record keys.|", &["left", "right"], &["keys", "foh"]);
    has("expect kick reaches foh.|", &["channel", "out"], &["mix"]);
    has("inputs |", &["foh", "monitors", "{"], &["left"]);
    has("inputs foh {\n  2 x via |", &["front.iso-a"], &["left"]);
    has("inputs foh {\n  2 x dynamic stand |", &["tall", "none"], &["from"]);
    has("inputs foh {\n  2 x dynamic priority |", &["must", "may"], &["from"]);
    has("inputs foh {\n  2 x dynamic level 118 |", &["dB SPL"], &["dBu", "m"]);
}

#[test]
fn lines_and_points_that_are_named_are_offered_by_number() {
    first("snake s is snake-8 to left 2-9 dead |", &["1", "2", "3"]);
    first("snake s is snake-8 to left 2-9 dead 1, 3-4, |", &["2", "5"]);
    first("change box left reserved |", &["1", "2"]);
    let items = after(RIG, "change box left dead |");
    let of = |label: &str| items.iter().find(|item| item.label == label).map(|item| item.detail.as_str());
    assert_eq!((of("1"), of("2"), of("16"), of("17")), (Some("kick"), Some(""), Some(""), None));
    first("loom front.direct 1-3 to right 10-12 dead 2, |", &["1", "3"]);
    has("loom front.direct 1-3 to right 10-12 dead |", &["3"], &["4"]);
    first("loom front.direct |", &["1", "2"]);
    first("set foh.channel |", &["1", "2"]);
    first("set foh.channel 9-16 from foh.portA |", &["1-8", "9-16", "17-24"]);
    first("expect kick reaches foh.channel |", &["1", "2"]);
    first("expect latency from kick to left.out |", &["1"]);
    first("personal foh {\n  2 main |", &["1"]);
}

#[test]
fn changes_offer_what_is_there() {
    has("change |", &["input", "output", "box", "rate"], &["act", "record", "kick"]);
    has("without |", &["input", "act", "record"], &["kick"]);
    has("change input |", &["kick", "lead"], &["left", "drums"]);
    has("change input kick |", &["from", "phantom", "channel", "no", "dynamic"], &["to"]);
    first("change input keys from left |", &["2-3", "3-4"]);
    has("change input kick no |", &["phantom", "stereo"], &["no", "kick"]);
    has("change box |", &["left", "right"], &["foh", "kick"]);
    has("change box left is |", &["box-32x16"], &[]);
    has("change output |", &["foh.mix", "monitors.main"], &["kick"]);
    first("change output foh.mix |", &["1"]);
    has("change group |", &["drums"], &["kick"]);
    has("without box |", &["left"], &["foh"]);
    has("change clock |", &["monitors"], &[]);
    has("change rate 96 |", &["kHz"], &["m"]);
}

#[test]
fn a_library_offers_its_rows() {
    has("carrier c {\n  |", &["slots", "length", "screened"], &["in"]);
    has("kind k {\n  signal |", &["mic", "line"], &[]);
    has("kind k { phantom |", &["needs", "tolerates", "never"], &[]);
    has("mic m { kind |", &["dynamic"], &["vocal-hand"]);
    has("model m {\n  |", &["port", "latency", "pairs"], &["box"]);
    has("model m {\n  in 1-8 |", &["mic", "gain", "phantom", "in"], &["kick"]);
    has("model m {\n  port up |", &["aes50", "analogue"], &[]);
    has("model m {\n  port up aes50 |", &["to", "powers", "needs"], &[]);
    has("model m like |", &["box-16x8"], &["left"]);
    has("feed mic to |", &["line"], &[]);
}

#[test]
fn nothing_in_comments_and_texts_but_files_in_includes() {
    for lines in ["# in|puts", "inputs foh { # |", "show \"a|b\"", "inputs foh {\n  1 kick note \"so|"] {
        assert_eq!(labels(&after(RIG, lines)), Vec::<&str>::new(), "{lines}");
    }
    let items = after(RIG, "include \"ri|\"");
    assert_eq!(labels(&items), ["rig.fantail", "../", "venues/"]);
    assert_eq!(items[0].replace, RIG.len() + 9..RIG.len() + 11);
    assert_eq!(labels(&after(RIG, "include \"|"))[0], "rig.fantail");
    let further = after(RIG, "include \"../shared/ri|g.fantail\"");
    assert_eq!(labels(&further), ["../shared/rig.fantail", "../shared/../", "../shared/venues/"]);
    assert_eq!(further[0].replace, RIG.len() + 9..RIG.len() + 30, "all that is said is taken the place of");
    has("include |", &["\"rig.fantail\"", "outside"], &["kick", "\"venues/\""]);
}

#[test]
fn rows_after_errors_and_wrong_files_are_completed_as_well() {
    has("inputs foh {\n  2 = = ?\n  imputs x y\n  2 snare |", &["dynamic", "from"], &[]);
    has("imputs foh (\nbox b |", &["is", "on"], &[]);
    has("inputs foh {\n  2 snare dynamic nonsense here from left |", &["2"], &[]);
    has("inputs foh {\n  2 snare dynamic\nbox b |", &["is"], &["from"]);
    let show = compiled("nothing at all {{{\n");
    let text = "nothing at all {{{\nbox b ";
    assert!(labels(&complete(text, text.len(), Some(&show), &no_files)).contains(&"is"));
}

#[test]
fn an_act_sees_the_house_and_its_own() {
    let rig = format!("{RIG}{ACT}");
    let inside = |lines: &str| {
        let text = format!("{rig}act heron {{\n{lines}");
        let at = text.find('|').unwrap();
        complete(&text.replacen('|', "", 1), at, Some(&compiled(&rig)), &no_files)
    };
    let items = inside("  inputs foh { 8 x dynamic from left |");
    assert_eq!(labels(&items)[0], "2");
    assert!(items.iter().any(|item| item.label == "7" && item.detail.contains("fiddle")));
    let items = inside("  record |");
    assert!(labels(&items).contains(&"fiddle") && labels(&items).contains(&"kick"));
    // In the house, a socket that any act uses is not free.
    let items = after(&rig, "inputs foh { 8 x dynamic from left |");
    assert!(items.iter().any(|item| item.label == "7" && item.detail.contains("fiddle")));
}

#[test]
fn every_place_of_the_grammar_has_a_meaning() {
    for row in grammar::ROWS {
        for want in grammar::row(row).unwrap().whole(&[]) {
            assert!(matches!(want.sign, Sign::Word(_)) || thing(&want).is_some(), "{row}: {want:?}");
        }
    }
}

fn examples() -> Vec<PathBuf> {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../examples");
    let (mut found, mut open) = (Vec::new(), vec![examples]);
    while let Some(folder) = open.pop() {
        for name in Disk.list(&folder) {
            let path = folder.join(&name);
            match path.extension() {
                Some(extension) if extension == "fantail" => found.push(path),
                None => open.push(path),
                _ => {}
            }
        }
    }
    found.sort();
    found
}

/// Anywhere in the examples, with the text as it is and cut off there.
#[test]
fn every_place_of_the_examples_is_answered() {
    assert!(examples().len() > 8);
    for path in examples() {
        let text = String::from_utf8(Disk.read(&path).unwrap()).unwrap();
        let show = compile(&path, &Disk);
        for (at, _) in text.char_indices().step_by(17) {
            complete(&text, at, Some(&show), &no_files);
            complete(&text[..at], at, Some(&show), &no_files);
            let _ = crate::editor::signature(&text, at);
        }
    }
}

/// At the end of any row a word that is offered is no mistake: what may be told is only what is missing
/// behind it.
#[test]
fn a_word_that_is_offered_fits() {
    let told = |text: &str| crate::syntax::parse(FileId(0), text).diagnostics;
    for path in examples() {
        let text = String::from_utf8(Disk.read(&path).unwrap()).unwrap();
        let ends =
            text.match_indices('\n').map(|(at, _)| at).filter(|at| !text[..*at].ends_with(['{', '}', '\n', ',']));
        for end in ends.step_by(3) {
            let (before, after) = text.split_at(end);
            let here = format!("{before} {after}");
            for item in complete(&here, end + 1, None, &no_files).iter().filter(|item| item.kind == Kind::Word) {
                let word = item.label.as_str();
                let with = format!("{before} {word}{after}");
                let wrong = told(&with).into_iter().find(|told| {
                    told.span.start as usize <= end + 1
                        && told.span.end as usize > end + 1
                        && told.message.contains(word)
                });
                assert!(wrong.is_none(), "`{word}` after `{}`: {wrong:?}", before.lines().last().unwrap());
            }
        }
    }
}
