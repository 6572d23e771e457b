//! Hovers, word for word, on a page of their own: `BLESS=1 cargo test -p fantail --lib editor` writes it.

use super::*;

const PAGE: &str = "src/editor/hover/tests/page.txt";

/// Each hover under the place of its cursor.
fn all(made: &Made, file: &str, pieces: &[&str]) -> String {
    pieces.iter().map(|piece| format!("=== {file}: {piece}\n{}\n", made.hover_in(file, piece))).collect()
}

#[test]
fn hovers_say_what_is_on_the_page() {
    let mut page = all(&of(SHOW), "show.fantail", NAMES);
    page.push_str(&all(&of(SHOW), "show.fantail", POINTS));
    page.push_str(&all(&of(SHOW), "show.fantail", WORDS));
    page.push_str(&all(&of(ACTS), "show.fantail", &["1 ki|ck b", "le|ad dyn", "act her|on", "act kes|trel"]));
    page.push_str(&all(&of(ACTS), "show.fantail", &["fidd|le cond", "vo|ice dyn", "mix |1 to", "stage |1 phantom"]));
    let broken = of(&SHOW.replace("from stage 9", "from stage 19"));
    assert!(broken.compiled.has_errors());
    page.push_str("\n# With an error\n\n");
    page.push_str(&all(&broken, "show.fantail", &["1 ki|ck b", "box st|age", "riser |1 ph", "2 le|ad", "mi|x 1 to"]));
    let venue = made(&[("hall.fantail", HALL), ("rig.fantail", SHOW)]);
    page.push_str("\n# With changes of a venue\n\n");
    page.push_str(&all(&venue, "rig.fantail", &["1 ki|ck b", "box st|age"]));
    page.push_str(&all(&venue, "hall.fantail", &["input ki|ck", "gai|n 32", "box st|age", "stage |13-14"]));
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(PAGE);
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&path, &page).unwrap();
    }
    let blessed = std::fs::read_to_string(&path).unwrap();
    assert!(page == blessed, "{PAGE} says otherwise; `BLESS=1` writes it:\n{page}");
}

const HALL: &str = "\
include \"rig.fantail\"
show \"Night Ferry\" at \"Harbour Hall\"
change input kick gain 32 dB stand short
change input keys channel 7-8 from stage 13-14
change box stage on foh.portB cable 90 m screened locking
";

const NAMES: &[&str] = &[
    "1 ki|ck b",
    "3-4 ke|ys",
    "spare-vo|cal",
    "box st|age",
    "desk f|oh",
    "snake ri|ser",
    "is box|-16",
    "foh.po|rtA",
    "group ba|nd",
    "bou|ndary",
    "kind dyn|amic",
    "vocal|-hand from stage 9",
    "low single|-run",
];

const POINTS: &[&str] =
    &["from riser |1", "from stage 11|-12", "|1 kick", "mi|x 1 to", "main 1-|2 to", "foh.out 15|-16"];

const WORDS: &[&str] = &["gai|n 22", "out|puts {", "we|dge", "place U|SC", "re|cord all", "kin|d dynamic", "ste|reo"];

#[test]
fn markdown_takes_no_text_for_its_own() {
    let made = of("desk foh is desk-48\ninputs { 1 kick dynamic from foh.local 1 \"*`x`*\" }\n");
    let (file, offset) = made.place("show.fantail", "ki|ck");
    let text = hover(&made.compiled, &made.index, file, offset).unwrap().markdown();
    assert!(text.starts_with("**kick, \"\\*\\`x\\`\\*\"**\n"), "{text}");
    assert!(text.contains("\n````text\n") || text.contains("\n```text\n"), "{text}");
}

#[test]
fn on_nothing_there_is_nothing() {
    assert_eq!(of("# only a remark\n").hover("on|ly"), "");
}

/// A festival's acts stand in files of their own, which the running order includes in braces.
#[test]
fn a_source_of_an_act_is_found_in_the_file_that_the_act_includes() {
    let day = "include \"rig.fantail\"\nshow \"Fair\"\nact heron \"Heron\" {\n  include \"heron.fantail\"\n}\n\
        act gantry \"The Gantry\" {\n  inputs { 9 fiddle dynamic from stage 10 }\n}\n";
    let heron = "inputs { 9 fiddle condenser from stage 9 phantom }\n";
    let rig = "desk foh is desk-48\nbox stage is box-16x8 on foh.portA offset 1\n";
    let made = made(&[("day.fantail", day), ("rig.fantail", rig), ("heron.fantail", heron)]);
    let said = made.hover_in("heron.fantail", "fid|dle");
    assert!(said.starts_with("heron.fiddle, \"Fiddle\"\n"), "{said}");
    assert!(said.contains("stage.in 9") && !said.contains("stage.in 10"), "{said}");
    assert!(made.hover_in("heron.fantail", "stage |9").contains("heron.fiddle"));
}
