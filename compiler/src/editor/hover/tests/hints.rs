//! Hints behind rows and lines above statements, as they stand in the text.

use super::*;
use crate::editor::{Lens, inlays, lenses};

/// The lines of a file that have hints or lenses, with both written in.
fn shown(made: &Made, file: &str) -> String {
    let file = made.compiled.sources.iter().find(|known| known.name.ends_with(file)).unwrap();
    let end = u32::try_from(file.text.len()).unwrap();
    let hints = inlays(&made.compiled, file.id, 0..end).into_iter();
    let lens = |lens: Lens| (lens.span.start, format!("«{}» ", lens.title));
    let mut inserts: Vec<(u32, String)> = hints.map(|hint| (hint.at, format!(" «{}»", hint.label))).collect();
    inserts.extend(lenses(&made.compiled, file.id).into_iter().map(lens));
    inserts.sort();
    let mut text = file.text.clone();
    for (at, insert) in inserts.iter().rev() {
        text.insert_str(*at as usize, insert);
    }
    text.lines().filter(|line| line.contains('«')).map(|line| format!("{line}\n")).collect()
}

#[test]
fn rows_show_slots_and_channels() {
    let expected = r#"«inputs 0 of 24 used, 24 spare · outputs 2 of 16 used, 14 spare» desk foh is desk-48
«inputs 5 of 15 used, 3 spare, 7 lines without a source · outputs 1 of 8 used, 7 spare» box stage is box-16x8 on foh.portA offset 1 cable 60 m screened locking dead 15 place USC
«inputs 1 of 8 used, 7 spare» snake riser is snake-8 to stage 1-8
«channels 5 of 48 used, 43 spare» inputs {
  1 kick boundary from riser 1 «→ portA 1 → channel 1» phantom gain 22 dB
  2 lead vocal-hand from stage 9 «→ portA 9 → channel 2»
  3-4 keys di-active from stage 11-12 «→ portA 11-12 → channel 3-4» phantom stereo
  5 spare-vocal vocal-hand from stage any «→ stage.in 10 → portA 10 → channel 5» spare
«mix 1 of 24 used, 23 spare · main 2 of 2 used» outputs {
  mix 1 to stage 1 «→ portA 1» wedge "Lead" of lead, band
«tracks 5 of 48 used, 43 spare» record all inputs
"#;
    assert_eq!(shown(&of(SHOW), "show.fantail"), expected);
}

#[test]
fn a_list_that_repeats_another_shows_how_it_arrives() {
    let rig = "show \"N\"\ndesk foh is desk-48\ndesk monitors is desk-48\nclock foh\n\
        box stage is box-16x8 on foh.portA\nlink foh.portB to monitors.portB\n\
        box drums is box-16x8 on monitors.portA\ninputs foh {\n  1-2 pair dynamic from stage 3-4\n  \
        3 kick dynamic from drums 9\n}\ninputs monitors same as foh\n";
    let said = shown(&of(rig), "show.fantail");
    let same = "inputs monitors same as foh «→ portB 1-2 → channel 1-2, → portA 9 → channel 3»\n";
    assert!(said.contains(same), "{said}");
}

#[test]
fn an_act_shows_what_is_its_own() {
    let said = shown(&of(ACTS), "show.fantail");
    assert!(said.contains("  2 lead dynamic from stage 2 «→ portA 2 → channel 2»\n"), "{said}");
    assert!(
        said.contains(
            "«2 plugs of its own · 3 settings of its own · 1 list of what a mix carries of its own» act heron"
        ),
        "{said}"
    );
    assert!(said.contains("1 row of the house replaced"), "{said}");
    assert!(said.contains("{ 2 voice dynamic from stage 10 «→ portA 10 → channel 2» }\n"), "{said}");
}

#[test]
fn a_change_shows_what_holds_and_the_row_no_more() {
    let hall = "include \"rig.fantail\"\nshow \"N\"\nchange input lead from stage 13\n";
    let made = made(&[("hall.fantail", hall), ("rig.fantail", SHOW)]);
    assert_eq!(shown(&made, "hall.fantail"), "change input lead from stage 13 «→ portA 13 → channel 2»\n");
    assert!(!shown(&made, "rig.fantail").contains("from stage 9"), "{}", shown(&made, "rig.fantail"));
}

#[test]
fn with_errors_nothing_is_shown() {
    assert_eq!(shown(&of(&SHOW.replace("from stage 9", "from stage 19")), "show.fantail"), "");
}

#[test]
fn hints_keep_to_the_bytes_asked_for() {
    let made = of(SHOW);
    let (file, at) = made.place("show.fantail", "2 lead| vocal");
    let hints = inlays(&made.compiled, file, at..at + 25);
    assert_eq!(hints.iter().map(|hint| hint.label.as_str()).collect::<Vec<_>>(), ["→ portA 9 → channel 2"]);
}

#[test]
fn a_row_of_the_house_shows_each_act_where_they_differ() {
    let text = ACTS.replace("1 kick boundary from stage 1 phantom", "1 kick boundary from stage any phantom");
    let text = text.replace("2 voice dynamic from stage 10", "2 voice dynamic from stage 1");
    let said = shown(&of(&text), "show.fantail");
    let kick = said.lines().find(|line| line.contains("kick")).unwrap();
    assert!(kick.contains("(heron)") && kick.contains("; → ") && kick.contains("(kestrel)"), "{said}");
}
