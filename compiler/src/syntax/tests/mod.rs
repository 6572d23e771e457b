//! How texts are read, and what is said of those that are not.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod attributes;
mod bounds;
mod braces;
mod slugs;

use super::ast::*;
use super::{Parsed, parse};
use crate::source::FileId;

fn read(text: &str) -> Parsed {
    let parsed = parse(FileId(0), text);
    let joined: String = parsed.tokens.iter().map(|token| token.text(text)).collect();
    assert_eq!(joined, text);
    parsed
}

fn clean(text: &str) -> Parsed {
    let parsed = read(text);
    assert_eq!(parsed.diagnostics, [], "{text}");
    parsed
}

/// The slugs, each with the text it points at.
fn said(text: &str) -> Vec<(&'static str, &str)> {
    let parsed = read(text);
    parsed.diagnostics.iter().map(|diagnostic| (diagnostic.rule, &text[diagnostic.span.range()])).collect()
}

#[test]
fn std_reads() {
    let std = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("std");
    for entry in std::fs::read_dir(std).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|end| end == "fantail") {
            let text = std::fs::read_to_string(&path).unwrap();
            assert_eq!(read(&text).diagnostics, [], "{}", path.display());
        }
    }
}

const SHOW: &str = r#"fantail 1
rate 48 kHz
clock foh
desk foh is desk-40-eights-pick
box stage-left  is box-16x8-optical on foh.portA        offset 1  cable 60 m screened locking
box stage-right is box-16x8         on stage-left.thru  offset 9  cable 15 m
hub ears        is personal-hub     on stage-left.personal
snake drum-riser is snake-12 to stage-left 1-12 cable 10 m    # plug at the riser
link foh.portB to monitors.portA cable 90 m
spare cable 60 m
box c on foh.portA optical outputs offset 17 redundant on foh.portB cable 75m + 30 m gain by monitors
snake loom-a is snake-12 to c 1-12 dead 6, 11  reserved 12 "intercom"
loom split.direct 1-16 to stage-left 1-16
outside truck "TV truck" in 1-48
inputs foh {
  1      kick-in     boundary   from drum-riser 1      phantom
  2      kick-out    dynamic    from drum-riser 2      stand short
  11-12  overheads   condenser  from drum-riser 11-12  phantom  stereo
  25-26  keys        di-active  from stage-right 9-10  48 V  stereo
  31     talkback    dynamic    from foh.local 1
  32     click       playback   from foh.local 2       ears-only
  33     spare-vox   vocal-hand from any 48V gain -6 dB pad level 118 dB SPL polarity inverted at 3.5 m, 2m who "A" priority must note "b" "Vox"
  34     kick-in     via split.iso-a
}
outputs foh {
  main 1-2   to foh.out 15-16 and stage-right 7-8 pa      "PA left", "PA right"
  mix 1      to stage-left 1        wedge   "Lead vocal"   at DSC
  mix 3-4    to stage-left 7-8      in-ears "Drums"  stereo  of kick-in, kick-out, overheads, click
}
personal foh { 1 kick-in; 3-4 overheads; 7-8 main 1-2 }   # the numbered feeds
inputs monitors same as foh
record all inputs but talkback
keep talkback out of pa, broadcast, record
group drums kick-in, kick-out, overheads
set foh.channel 1-8 from foh.portA 1-8
set foh.portA 1-8 from foh.extras
act kestrel "Kestrel Field" from 23:20 to 00:30 {
  snake riser-b is snake-8 to stage-right 1-8
  inputs foh { 1 kick dynamic from riser-b 1 }
  without input kick-out
}
expect kick-in reaches foh.channel 1
expect click not reaches pa
expect spare inputs on each box at least 2
expect latency from kick-in to stage-left.out 7 under 8 ms
allow mirrored-outputs on stage-right because "side fills repeat the wedges"
include "../rig.fantail"
show "Night Ferry" at "Quayside Hall" on 2026-07-04
change box stage-right on foh.portB cable 90 m
change input kick-in from stage-left 13
change input keys channel 27-28 no phantom
change output mix 1 to stage-left 4
without input click
mic vocal-hand { kind dynamic; sensitivity 2.0 mV/Pa }
model box-12x4 {
  in 1-12    mic   gain -6 dB to 54 dB   phantom each   clip 23 dBu
  out 1-4    line
  port up    aes50 to desk
  port thru  aes50 to next
  up passes thru
  in rides up stacked              # or: at a setting
  in rides up at a setting 1, 17, 33
  in rides up at 1
  out takes up offset 1, 9, 17
  out takes up at 41
}
"#;

#[test]
fn the_design_reads() {
    let parsed = clean(SHOW);
    assert_eq!(parsed.statements.len(), 38);
    clean(&SHOW.replace('\n', "\r\n"));
    let with_mark = format!("\u{feff}{SHOW}");
    assert_eq!(clean(&with_mark).statements.len(), 38);
}

#[test]
fn two_statements_on_a_line() {
    let parsed = clean("box stage-left on portA offset 9; record all inputs");
    assert!(matches!(
        parsed.statements.iter().map(|s| &s.kind).collect::<Vec<_>>()[..],
        [StatementKind::Device(_), StatementKind::Record { .. }]
    ));
}
