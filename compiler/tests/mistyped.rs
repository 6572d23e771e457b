//! A name with one slip of the finger is told with the name that was meant, whatever sort of name it is. A show
//! that is whole has one word mistyped at a time; what the compiler says there must offer the right one.

#![allow(clippy::unwrap_used, clippy::panic)]

use fantail::project::InMemory;
use std::path::Path;

const SHOW: &str = r#"show "A fair" at "Green"
rate 48 kHz
clock foh
carrier ring { slots 8 at 48 kHz; length 20 m; screened }
kind horn { signal mic; phantom tolerates }
mic vocal-hand { kind dynamic; sensitivity 2.0 mV/Pa }
model box-own like box-16x8 {
  extra 1-4 in line
  port spare ring to next
  extra rides up stacked
  latency 1 ms
}
model desk-own {
  local 1-8 in mic gain 0 dB to 60 dB phantom each
  channel 1-16 inner end
  mix 1-8 origin
  out 1-8 line
  port portA aes50 to any
  channel from local, portA in blocks of 8
  out from mix one by one
  pairs channel
  block extras out 1-4
  reserved portA 41-48 for mix
}
desk foh is desk-48
desk monitors is desk-48
box stage is box-16x8-optical on foh.portA offset 1 optical copy cable 10 m screened
box far is box-16x8 on stage.thru offset 9 place USR gain by foh
split hub is split-24x3
loom hub.direct 1-8 to far 1-8
link foh.portB to monitors.portB cable 10 m
snake riser is snake-8 to stage 9-16
inputs foh {
  1  kick    boundary    from stage 1  phantom  at DSL  stand short  priority must
  2  vocal   vocal-hand  from foh.local 2
  3  fiddle  dynamic     from hub.in 1  via hub.direct
  4  horn    horn        from riser 1
  5  flute   dynamic     from stage any
}
inputs monitors { 1 kick }
outputs foh {
  main 1-2  to foh.out 1-2  pa
  mix 1     to stage 1      wedge  of vocal, drums
}
personal foh { 1 kick; 2 drums }
group drums kick
group winds flute, fiddle
record all inputs but vocal
keep vocal out of broadcast
set foh.channel 9 from foh.portA 9
act heron "Heron" from 22:00 to 22:50 {
  inputs foh { 20 heron-harp dynamic from stage 7 }
}
act kestrel "Kestrel" from 23:00 to 23:50 {
  without input flute
  outputs foh { mix 4 to stage 4 wedge of kick }
}
expect kick reaches foh.channel 1
expect spare inputs on stage at least 2
expect latency from kick to stage.out 1 under 80 ms
change box far cable 5 m
change input kick stand tall
change output mix 1 at DSC
allow labels-alike on flute because "the same player"
"#;

/// A line's beginning (or any part of it that stands once), the word in it, the slip, and what must be offered where
/// that is not the word itself.
const SLIPS: &[(&str, &str, &str)] = &[
    // statements
    ("rate 48", "rate", "rtae"),
    ("clock foh", "clock", "clokc"),
    ("carrier ring", "carrier", "carier"),
    ("kind horn", "kind", "knid"),
    ("mic vocal-hand", "mic", "mci"),
    ("model box-own", "model", "modle"),
    ("desk monitors", "desk", "deks"),
    ("split hub", "split", "spilt"),
    ("loom hub", "loom", "looom"),
    ("link foh", "link", "lnik"),
    ("snake riser", "snake", "snkae"),
    ("inputs foh {\n  1", "inputs", "inptus"),
    ("outputs foh {\n  main", "outputs", "outpust"),
    ("personal foh", "personal", "personel"),
    ("group drums", "group", "gruop"),
    ("record all", "record", "recrod"),
    ("keep vocal", "keep", "kepe"),
    ("set foh", "set", "sett"),
    ("act heron", "act", "actt"),
    ("expect kick", "expect", "expcet"),
    ("change box", "change", "chnage"),
    ("without input flute", "without", "wihtout"),
    // what a change or an expectation names
    ("change box", "box", "boxx"),
    ("change input", "input", "inupt"),
    ("change output", "output", "ouptut"),
    ("without input flute", "input", "inptu"),
    ("kick reaches", "reaches", "raeches"),
    ("expect latency", "latency", "latnecy"),
    ("expect spare", "spare", "sapre"),
    // devices
    ("clock foh", "foh", "fho"),
    ("on stage.thru", "stage", "stgae"),
    ("is box-16x8-optical on foh.portA", "foh", "fohh"),
    ("from stage 1", "stage", "stgae"),
    ("to foh.out 1-2", "foh", "fho"),
    ("to stage 1 ", "stage", "staeg"),
    ("from riser 1", "riser", "risre"),
    ("from stage any", "stage", "stagge"),
    ("inputs monitors", "monitors", "monitros"),
    ("personal foh", "foh", "fohh"),
    ("outputs foh {\n  main", "foh", "fohh"),
    ("inputs foh {\n  1", "foh", "fohh"),
    ("hub.direct 1-8 to", "hub", "hbu"),
    ("to far 1-8", "far", "farr"),
    ("link foh.portB", "foh", "fohh"),
    ("to monitors.portB", "monitors", "monitor"),
    ("snake-8 to stage", "stage", "sttage"),
    ("gain by foh", "foh", "fohh"),
    ("set foh.channel", "foh", "fohh"),
    ("from foh.portA 9", "foh", "fohh"),
    ("reaches foh.channel", "foh", "fohh"),
    ("inputs on stage", "stage", "stagee"),
    ("to stage.out 1 under", "stage", "stagee"),
    ("change box far", "far", "farr"),
    // banks and ports
    ("from foh.local 2", "local", "loacl"),
    ("to foh.out 1-2", "out", "outt"),
    ("hub.direct 1-8 to", "direct", "driect"),
    ("from hub.in 1 ", "in", "inn"),
    ("via hub.direct", "direct", "dierct"),
    ("set foh.channel", "channel", "chanel"),
    ("from foh.portA 9", "portA", "protA"),
    ("reaches foh.channel", "channel", "chanell"),
    ("to stage.out 1 under", "out", "outt"),
    ("on foh.portA offset", "portA", "potrA"),
    ("on stage.thru", "thru", "thur"),
    ("link foh.portB", "portB", "prtB"),
    ("to monitors.portB", "portB", "porttB"),
    ("main 1-2  to", "main", "mian"),
    ("mix 1     to", "mix", "mixx"),
    ("change output mix", "mix", "mxi"),
    // models, carriers, kinds, microphones, modes
    ("like box-16x8 {", "box-16x8", "box-16x9"),
    ("is snake-8", "snake-8", "snaek-8"),
    ("desk foh is desk-48", "desk-48", "desk-84"),
    ("port spare ring", "ring", "rign"),
    ("port portA aes50", "aes50", "ase50"),
    ("1-4 in line", "line", "lnie"),
    ("kind dynamic", "dynamic", "dynmaic"),
    ("signal mic", "mic", "mci"),
    ("kick    boundary", "boundary", "bonudary"),
    ("vocal   vocal-hand", "vocal-hand", "vocal-hnad"),
    ("optical copy", "copy", "cpoy"),
    ("optical copy", "optical", "otpical"),
    // words of a model and what they name
    ("extra rides", "rides", "rieds"),
    ("rides up stacked", "stacked", "stakced"),
    ("rides up", "up", "upp"),
    ("extra rides", "extra", "extar"),
    ("latency 1 ms", "latency", "latnecy"),
    ("pairs channel", "pairs", "piars"),
    ("pairs channel", "channel", "chanel"),
    ("block extras", "block", "blokc"),
    ("extras out", "out", "outt"),
    ("reserved portA", "reserved", "resreved"),
    ("reserved portA", "portA", "potrA"),
    ("for mix", "mix", "mixx"),
    ("from local, portA", "local", "loacl"),
    ("local, portA", "portA", "portaA"),
    ("out from mix", "mix", "mxi"),
    ("channel from local", "channel", "chanel"),
    ("in blocks of", "blocks", "bloks"),
    ("channel 1-16 inner", "inner", "iner"),
    ("mix 1-8 origin", "origin", "orgin"),
    ("phantom each", "each", "eahc"),
    ("gain 0 dB", "gain", "gian"),
    ("portA aes50 to any", "any", "ayn"),
    ("ring to next", "next", "nxet"),
    ("slots 8", "slots", "slosts"),
    ("length 20", "length", "lenght"),
    ("phantom tolerates", "tolerates", "tolerats"),
    ("phantom tolerates", "phantom", "phantmo"),
    ("sensitivity 2", "sensitivity", "sensitivty"),
    // attributes and their words
    ("offset 1 optical", "offset", "ofset"),
    ("cable 10 m screened", "cable", "cabel"),
    ("10 m screened", "screened", "screend"),
    ("place USR", "place", "palce"),
    ("place USR", "USR", "URS"),
    ("gain by", "gain", "gian"),
    ("stage 1  phantom", "phantom", "phantmo"),
    ("boundary    from stage", "from", "form"),
    ("from stage 1 ", "from", "frmo"),
    ("at DSL", "DSL", "DLS"),
    ("stand short", "stand", "stnad"),
    ("stand short", "short", "shrot"),
    ("priority must", "priority", "prioritiy"),
    ("priority must", "must", "msut"),
    ("change input kick stand tall", "tall", "tlal"),
    // uses
    ("out 1-2  pa", "pa", "paa"),
    ("wedge  of vocal, drums", "wedge", "wegde"),
    ("out of broadcast", "broadcast", "broadcats"),
    // sources, groups, acts
    ("monitors { 1 kick", "kick", "kikc"),
    ("of vocal, drums", "vocal", "vocla"),
    ("of vocal, drums", "drums", "durms"),
    ("personal foh { 1 kick", "kick", "kcik"),
    ("2 drums", "drums", "drusm"),
    ("winds flute", "flute", "fltue"),
    ("but vocal", "vocal", "vcoal"),
    ("keep vocal", "vocal", "vocall"),
    ("expect kick", "kick", "kickk"),
    ("latency from kick", "kick", "kicck"),
    ("without input flute", "flute", "fluet"),
    ("change input kick", "kick", "kik"),
    // units
    ("rate 48 kHz", "kHz", "kHx"),
    ("10 m screened", "m", "mm"),
    ("under 80 ms", "ms", "msx"),
    ("mV/Pa", "mV/Pa", "mV/Pq"),
    ("0 dB", "dB", "dBB"),
    // rules
    ("allow labels-alike", "labels-alike", "lables-alike"),
    ("allow labels-alike", "allow", "alow"),
];

/// Where a name is declared, the name and the slip: all that uses it goes amiss by one cause.
const DECLARED: &[(&str, &str, &str)] = &[
    ("carrier ring", "ring", "rign"),
    ("kind horn", "horn", "hron"),
    ("mic vocal-hand", "vocal-hand", "vocal-hnad"),
    ("desk monitors", "monitors", "monitros"),
    ("box stage", "stage", "stgae"),
    ("box far", "far", "farr"),
    ("split hub", "hub", "hbu"),
    ("snake riser", "riser", "risre"),
    ("1  kick", "kick", "kcik"),
    ("2  vocal", "vocal", "vocla"),
    ("5  flute", "flute", "fluet"),
    ("group drums", "drums", "durms"),
    ("  extra 1-4", "extra", "extar"),
    ("  local 1-8", "local", "loacl"),
    ("  port portA", "portA", "protA"),
    ("  mix 1-8", "mix", "mxi"),
];

/// A word of the trade that the language has another for, in a show that is whole: where, what is written there, and
/// what must be offered.
const OTHERWISE: &[(&str, &str, &str, &str)] = &[
    ("mix 1     to", "mix", "aux", "`mix`"),
    ("mix 1     to", "mix", "bus", "`mix`"),
    ("main 1-2", "1-2", "LR", "`main 1-2`"),
    ("inputs but vocal", "but", "except", "`but`"),
    ("kick reaches", "reaches", "in", "`reaches`"),
    ("priority must", "must", "high", "`must`"),
    ("  1  kick", "1 ", "1. ", "`1 kick …`"),
    ("boundary    from stage", "boundary", "DI", "`di-active`"),
    ("wedge  of vocal", "wedge", "side fill", "`side-fill`"),
    ("from stage 1  phantom", "phantom", "ears only", "`ears-only`"),
    ("without input flute", "input", "expect", "`expect`"),
    ("under 80 ms", "ms", "seconds", "`s`"),
    ("group drums", "group", "vca", "`vca`"),
];

fn told(text: &str) -> Vec<(String, String)> {
    let files = InMemory::default().with("show.fantail", text);
    let analysis = fantail::analyse(Path::new("show.fantail"), &files);
    let (found, _) = fantail::rules::allow::apply(&analysis.show.allows, analysis.found);
    let said = found.iter().filter(|d| d.is_error());
    said.map(|d| (d.rule.to_string(), format!("{}\n{}", d.told(), d.help.join("\n")))).collect()
}

fn mistyped(context: &str, word: &str, slip: &str) -> String {
    let Some(line) = SHOW.find(context) else { panic!("`{context}` is not there") };
    let at = line + context.find(word).unwrap_or_else(|| panic!("`{word}` is not in `{context}`"));
    format!("{}{slip}{}", &SHOW[..at], &SHOW[at + word.len()..])
}

#[test]
fn the_show_is_whole() {
    assert_eq!(told(SHOW), []);
}

#[test]
fn every_sort_of_name_is_offered() {
    let mut wrong = Vec::new();
    for (context, word, slip) in SLIPS {
        let said = told(&mistyped(context, word, slip));
        let offered = |(_, told): &(String, String)| {
            told.lines().any(|line| line.starts_with("did you mean") && line.contains(&format!("{word}`")))
        };
        if !said.iter().any(offered) {
            wrong.push(format!("  {slip} for {word} in `{context}`:\n    {}", listed(&said)));
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), SLIPS.len(), wrong.join("\n"));
}

#[test]
fn the_words_of_the_trade_are_answered() {
    let mut wrong = Vec::new();
    for (context, word, written, offered) in OTHERWISE {
        let said = told(&mistyped(context, word, written));
        if !said.iter().any(|(_, told)| told.lines().skip(1).any(|help| help.contains(offered))) {
            wrong.push(format!("  {written} for {word} in `{context}`:\n    {}", listed(&said)));
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), OTHERWISE.len(), wrong.join("\n"));
}

#[test]
fn a_slip_where_a_name_is_declared_is_one_message() {
    let mut wrong = Vec::new();
    for (context, word, slip) in DECLARED {
        let said = told(&mistyped(context, word, slip));
        if !matches!(said.as_slice(), [(_, only)] if only.contains(slip)) {
            wrong.push(format!("  {slip} for {word} in `{context}`:\n    {}", listed(&said)));
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), DECLARED.len(), wrong.join("\n"));
}

fn listed(said: &[(String, String)]) -> String {
    let lines = said.iter().map(|(rule, told)| format!("{rule}: {}", told.replace('\n', " | ")));
    lines.collect::<Vec<_>>().join("\n    ")
}
