//! What a file says ends in the plan: each word of each list of attributes, said in a row, changes the plan's JSON.
//! A new word without a row here fails, and so does a word that the plan forgets.

use fantail::plan::json;
use fantail::project::InMemory;
use fantail::syntax::words;
use std::path::Path;

const SHOW: &str = "
desk foh is desk-48
box stage is box-16x8-optical on foh.portA offset 1
inputs foh { 1 kick dynamic from stage 1 }
outputs foh { mix 1 to stage 1 wedge }
";

/// A word, and a row with what says it in brackets: with that, and without it or with what stands behind the bar, two
/// plans.
type Said = (&'static str, &'static str);

const DEVICE: &[Said] = &[
    ("is", "box far [is box-8x8] on stage.thru offset 9"),
    ("on", "box far [on stage.thru]"),
    ("redundant", "box far on stage.thru offset 9 [redundant on foh.portB]"),
    ("offset", "box far on stage.thru [offset 17]; outputs foh { mix 2 to far 1 wedge }"),
    (
        "slot",
        "model set { in 1-8 mic gain 0 dB to 9 dB; port up aes50 to desk; in rides up at a setting 1, 17 }
              box far is set on foh.portB [slot 17]; inputs foh { 2 b dynamic from far 1 }",
    ),
    ("cable", "box far on stage.thru offset 9 [cable 9 m screened locking]"),
    ("dead", "box far on stage.thru offset 9 [dead 6]"),
    ("reserved", "box far on stage.thru offset 9 [reserved 6 \"intercom\"]"),
    ("gain", "box far on stage.thru offset 9 [gain by foh]"),
    ("lifted", "split legs [lifted iso-a]"),
    ("space", "recorder tape on foh.portB [space 500 GB]"),
    ("place", "box far on stage.thru offset 9 [place DSL]"),
    ("at", "box far on stage.thru offset 9 [at \"behind the drums\"]"),
    ("to", "snake riser [to stage 5-16]"),
    ("who", "box far on stage.thru offset 9 [who \"the hire firm\"]"),
    ("note", "box far on stage.thru offset 9 [note \"under the riser\"]"),
    ("clock", "outside player send 1-2 [clock external \"House clock\"]"),
    ("rate", "outside player send 1-2 [rate 44.1 kHz]"),
    ("converts", "outside player send 1-2 [converts]"),
    ("backup", "outside player send 1-2; outside second send 1-2 [backup of player]"),
    ("supply", "box far on stage.thru offset 9 [supply \"Stage A\"]"),
];

const CABLE: &[Said] = &[
    ("cable", "box far; link stage.thru to far.up [cable 9 m]"),
    ("cable", "box far; link stage.thru to far.up cable 9 m [screened]"),
    ("cable", "box far; link stage.thru to far.up cable 9 m [locking]"),
    ("cable", "spare cable [9|10] m"),
    ("dead", "split legs; loom legs.direct 1-4 to stage 9-12 [dead 2]"),
    ("reserved", "split legs; loom legs.direct 1-4 to stage 9-12 [reserved 2 \"intercom\"]"),
    ("place", "split legs; loom legs.direct 1-4 to stage 9-12 [place DSL]"),
    ("at", "box far; link stage.thru to far.up [at \"along the pit\"]"),
    ("who", "spare cable 9 m [who \"the hire firm\"]"),
    ("note", "split legs; loom legs.direct 1-4 to stage 9-12 [note \"under the ramp\"]"),
];

const INPUT: &[Said] = &[
    ("from", "inputs foh { 2 vocal dynamic from [stage|foh.local] 2 }"),
    (
        "via",
        "split legs; loom legs.direct 1-4 to stage 9-12; loom legs.iso-a 1-4 to foh.local 1-4
             inputs foh { 2 vocal dynamic from legs 1 [via legs.iso-a] }",
    ),
    ("phantom", "inputs foh { 2 vocal di-passive from stage 2 [phantom] }"),
    ("48V", "inputs foh { 2 vocal di-passive from stage 2 [48 V] }"),
    ("gain", "inputs foh { 2 vocal dynamic from stage 2 [gain 20 dB] }"),
    ("pad", "inputs foh { 2 vocal dynamic from stage 2 [pad] }"),
    ("stand", "inputs foh { 2 vocal dynamic from stage 2 [stand tall] }"),
    ("level", "inputs foh { 2 vocal dynamic from stage 2 [level 118 dB SPL] }"),
    ("pickup", "inputs foh { 2 bass di-active from stage 2 phantom [pickup passive] }"),
    ("lifted", "inputs foh { 2 bass di-passive from stage 2 [lifted] }"),
    ("stereo", "inputs foh { 3-4 keys di-passive from stage 3-4 [stereo] }"),
    ("spare", "inputs foh { 2 vocal dynamic from stage 2 [spare] }"),
    ("spare", "inputs foh { 2 vocal dynamic from stage 2 spare [for kick] }"),
    ("polarity", "inputs foh { 2 vocal dynamic from stage 2 [polarity inverted] }"),
    ("ears-only", "inputs foh { 2 click line from foh.local 2 pad [ears-only] }"),
    ("data", "inputs foh { 2 tone line from foh.local 2 pad [data] }"),
    ("at", "inputs foh { 2 vocal dynamic from stage 2 [at DSL] }"),
    ("place", "inputs foh { 2 vocal dynamic from stage 2 [place 1 m, 2 m] }"),
    ("who", "inputs foh { 2 vocal dynamic from stage 2 [who \"the singer\"] }"),
    ("priority", "inputs foh { 2 vocal dynamic from stage 2 [priority must] }"),
    ("note", "inputs foh { 2 vocal dynamic from stage 2 [note \"own microphone\"] }"),
    ("note", "inputs foh { 2 vocal dynamic from foh.playback 2 [note \"from the recorder\"] }"),
];

const OUTPUT: &[Said] = &[
    ("to", "outputs foh { mix 2 to [stage|foh.out] 2 wedge }"),
    ("of", "outputs foh { mix 2 to stage 2 wedge [of kick] }"),
    ("stereo", "outputs foh { mix 3-4 to stage 3-4 in-ears [stereo] }"),
    ("at", "outputs foh { mix 2 to stage 2 wedge [at DSL] }"),
    ("place", "outputs foh { mix 2 to stage 2 wedge [place \"drum riser\"] }"),
    ("who", "outputs foh { mix 2 to stage 2 wedge [who \"the singer\"] }"),
    ("priority", "outputs foh { mix 2 to stage 2 wedge [priority may] }"),
    ("note", "outputs foh { mix 2 to stage 2 wedge [note \"on its side\"] }"),
];

const PERSONAL: &[Said] = &[
    ("stereo", "inputs foh { 3-4 keys di-passive from stage 3-4 stereo }; personal foh { 1-2 keys [stereo] }"),
    ("at", "personal foh { 1 kick [at DSL] }"),
    ("place", "personal foh { 1 kick [place DSL] }"),
    ("who", "personal foh { 1 kick [who \"the drummer\"] }"),
    ("priority", "personal foh { 1 kick [priority may] }"),
    ("note", "personal foh { 1 kick [note \"loud\"] }"),
];

const MODEL: &[Said] = &[
    ("port", "model own { a 1-2 in mic [; port up aes50 to desk] }; box far is own"),
    ("port", "model own { a 1-2 in mic; port x aes50 to next [powers] }; box far is own"),
    ("port", "model own { a 1-2 in mic; port x aes50 to desk [needs power] }; box far is own"),
    ("block", "model own { a 1-2 in mic [; block odd a 1] }; box far is own"),
    ("reserved", "model own { a 1-2 inner; port x aes50 to any [; reserved x 1-2 for a] }; box far is own"),
    ("pairs", "model own { a 1-2 inner [; pairs a] }; box far is own"),
    ("latency", "model own { a 1-2 in mic [; latency 2 ms] }; box far is own"),
    ("phantom", "model own { a 1-2 in mic [; phantom limit 280 mA] }; box far is own"),
    ("draws", "model own { a 1-2 in mic [; draws 60 W] }; box far is own"),
    ("strip", "model own { a 1-2 in mic [; strip 8] }; box far is own"),
    ("converts", "model own { a 1-2 in mic [; converts] }; box far is own"),
    ("label", "model own { a 1-2 in mic [; label \"Our own\"] }; box far is own"),
    ("passes", "model own { port a aes50 to next; port b aes50 to desk [; b passes a] }; box far is own"),
    ("rides", "model own { a 1-2 in mic; port b aes50 to desk [; a rides b at 1] }; box far is own"),
    ("takes", "model own { a 1-2 out line; port b aes50 to desk [; a takes b at 1] }; box far is own"),
    ("copies", "model own { a 1-2 in mic; b 1-2 out mic [; b copies a] }; box far is own"),
    ("from", "model own { a 1-2 in mic; b 1-2 inner [; b from a one by one] }; box far is own"),
];

const BANK: &[Said] = &[
    ("in", "model own { a 1-2 [in|out] mic }; box far is own"),
    ("out", "model own { a 1-2 [out|inner] mic }; box far is own"),
    ("inner", "model own { a 1-2 [inner|origin] mic }; box far is own"),
    ("origin", "model own { a 1-2 [origin|in] mic }; box far is own"),
    ("end", "model own { a 1-2 inner [end] }; box far is own"),
    ("gain", "model own { a 1-2 in mic [gain 0 dB to 60 dB] }; box far is own"),
    ("phantom", "model own { a 1-2 in mic [phantom each] }; box far is own"),
    ("pad", "model own { a 1-2 in mic [pad] }; box far is own"),
    ("clip", "model own { a 1-2 in mic [clip 22 dBu] }; box far is own"),
    ("isolated", "model own { a 1-2 out mic [isolated] }; box far is own"),
];

const CARRIER: &[Said] = &[
    ("slots", "carrier wire { slots 8 at 96 kHz [; slots 16 at 48 kHz] }; WIRE"),
    ("length", "carrier wire { slots 8 at 48 kHz [; length 50 m] }; WIRE"),
    ("screened", "carrier wire { slots 8 at 48 kHz [; screened] }; WIRE"),
    ("locking", "carrier wire { slots 8 at 48 kHz [; locking] }; WIRE"),
    ("latency", "carrier wire { slots 8 at 48 kHz [; latency 1 ms] }; WIRE"),
];

const KIND: &[Said] = &[
    ("signal", "kind odd { [signal line] }; inputs foh { 2 vocal odd from foh.local 2 pad }"),
    ("phantom", "kind odd { signal mic [; phantom never] }; inputs foh { 2 vocal odd from foh.local 2 }"),
    ("suits", "kind odd { signal mic [; suits piezo] }; inputs foh { 2 vocal odd from foh.local 2 }"),
    ("data", "kind odd { signal mic [; data] }; inputs foh { 2 vocal odd from foh.local 2 }"),
    ("talkback", "kind odd { signal mic [; talkback] }; inputs foh { 2 vocal odd from foh.local 2 }"),
    ("mains", "kind odd { signal mic [; mains] }; inputs foh { 2 vocal odd from foh.local 2 }"),
];

const MIC: &[Said] = &[
    (
        "kind",
        "kind odd { signal mic }; kind oddest { signal mic }; mic own { kind odd[est] }; inputs foh { 2 b own from stage 2 }",
    ),
    ("sensitivity", "mic own { kind dynamic [; sensitivity 2 mV/Pa] }; inputs foh { 2 vocal own from foh.local 2 }"),
    ("needs", "mic own { kind dynamic [; needs 3.1 mA] }; inputs foh { 2 vocal own from foh.local 2 }"),
    ("max", "mic own { kind dynamic [; max 140 dB SPL] }; inputs foh { 2 vocal own from foh.local 2 }"),
    ("note", "mic own { kind dynamic [; note \"four of them\"] }; inputs foh { 2 vocal own from foh.local 2 }"),
];

/// Each list of words with the rows that say them.
fn lists() -> Vec<(&'static str, Vec<&'static str>, &'static [Said])> {
    let list = |words: &[&'static str]| words.to_vec();
    vec![
        ("a device", list(words::DEVICE_ATTRIBUTES), DEVICE),
        ("a cable", list(words::CABLE_ATTRIBUTES), CABLE),
        ("an input", list(words::INPUT_ATTRIBUTES), INPUT),
        ("an output", list(words::OUTPUT_ATTRIBUTES), OUTPUT),
        ("a personal feed", list(words::PERSONAL_ATTRIBUTES), PERSONAL),
        ("a model", [words::MODEL_WORDS, words::MODEL_VERBS].concat(), MODEL),
        ("a bank", list(words::BANK_WORDS), BANK),
        ("a carrier", list(words::CARRIER_WORDS), CARRIER),
        ("a kind", list(words::KIND_WORDS), KIND),
        ("a microphone", list(words::MIC_WORDS), MIC),
    ]
}

/// The plan's JSON, and what is wrong with the show.
fn plan(row: &str) -> (String, Vec<String>) {
    let row = row.replace("WIRE", "model wired { a 1-2 in mic; port x wire to desk }; box far is wired");
    let files = InMemory::default().with("show.fantail", format!("{SHOW}{row}\n"));
    let compiled = fantail::compile(Path::new("show.fantail"), &files);
    let errors = compiled.diagnostics.iter().filter(|told| told.is_error()).map(|told| told.told()).collect();
    (json(&compiled.plan, &[]), errors)
}

#[test]
fn every_attribute_that_a_row_can_say_is_in_the_plan() {
    let mut wrong = String::new();
    for (kind, words, rows) in lists() {
        for word in words.iter().filter(|word| !rows.iter().any(|(of, _)| of == *word)) {
            wrong.push_str(&format!("{kind}: no row here says `{word}`\n"));
        }
        for (word, row) in rows {
            assert!(words.contains(word), "{kind} knows no `{word}`");
            let (before, rest) = row.split_once('[').unwrap();
            let (said, after) = rest.split_once(']').unwrap();
            let (said, without) = said.split_once('|').unwrap_or((said, ""));
            let ((with, errors), (without, more)) =
                (plan(&format!("{before}{said}{after}")), plan(&format!("{before}{without}{after}")));
            for error in errors.iter().chain(&more) {
                wrong.push_str(&format!("{kind}, `{word}`: {error}\n"));
            }
            if with == without {
                wrong.push_str(&format!("{kind}: `{said}` makes no difference to the plan\n"));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}
