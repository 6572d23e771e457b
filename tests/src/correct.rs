//! Random shows that are right by construction: everything aligned, numbered on, powered and said as a careful
//! technician would. A rule that speaks here is a false alarm.

use crate::dice::Dice;
use std::fmt::Write;

/// A kind of microphone or DI, whether it wants 48 V, and what else its row needs.
const KINDS: &[(&str, bool)] = &[
    ("dynamic", false),
    ("condenser", true),
    ("boundary", true),
    ("ribbon", false),
    ("ribbon-active", true),
    ("di-active", true),
    ("di-passive", false),
    ("radio", false),
];

const WORDS: &[&str] = &[
    "amber", "birch", "cedar", "delta", "ember", "fjord", "grove", "heath", "inlet", "juniper", "kestrel", "larch",
    "meadow", "nettle", "orchid", "poplar", "quarry", "rowan", "sedge", "thistle", "umber", "violet", "willow",
    "yarrow",
];

/// A box with its inputs.
struct Stage {
    name: String,
    inputs: u32,
    /// The slot of its first input.
    base: u32,
}

/// The show of a seed.
pub fn show(seed: u64) -> String {
    let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9).wrapping_add(7));
    let model = dice.pick(&["desk-48", "desk-96", "desk-40-eights", "desk-40-eights-pick"]);
    let mut text = format!(
        "fantail 1\nshow \"Show {seed}\" at \"Hall\" on 2026-07-04\nrate 48 kHz\nclock foh\n\ndesk foh is {model}\n"
    );
    let stages = boxes(&mut dice, model, &mut text);
    let names = inputs(&mut dice, &stages, &mut text);
    outputs(&mut dice, &stages, &names, &mut text);
    if dice.one_in(2) {
        text.push_str("record all inputs\n");
    }
    text
}

fn boxes(dice: &mut Dice, model: &str, text: &mut String) -> Vec<Stage> {
    let most = if model.starts_with("desk-40") { 40 } else { 48 };
    let (mut stages, mut base) = (Vec::new(), 1);
    for number in 1..=dice.within(1, 3) {
        let (gear, inputs) = dice.pick(&[("box-8x8", 8), ("box-16x8", 16)]);
        if base + inputs - 1 > most {
            break;
        }
        let on = stages.last().map_or("foh.portA".to_string(), |last: &Stage| format!("{}.thru", last.name));
        let (name, offset) = (format!("stage-{}", number), number * 8 - 7);
        let metres = dice.within(5, 80);
        let _ = writeln!(text, "box {name} is {gear} on {on} offset {offset} cable {metres} m screened locking");
        stages.push(Stage { name, inputs, base });
        base += inputs;
    }
    stages
}

/// Writes the list; gives back the names with what each is.
fn inputs(dice: &mut Dice, stages: &[Stage], text: &mut String) -> Vec<String> {
    let mut names = Vec::new();
    text.push_str("\ninputs foh {\n");
    for stage in stages {
        let mut socket = 1;
        while socket <= stage.inputs {
            if dice.one_in(4) && names.len() > 1 {
                socket += 1;
                continue;
            }
            let channel = stage.base + socket - 1;
            let stereo = channel % 2 == 1 && socket < stage.inputs && dice.one_in(5);
            let (kind, powered) = dice.pick(KINDS);
            let name = format!("{}-{}", WORDS[names.len() % WORDS.len()], names.len() / WORDS.len() + 1);
            let (channels, sockets) = if stereo {
                (format!("{channel}-{}", channel + 1), format!("{socket}-{}", socket + 1))
            } else {
                (channel.to_string(), socket.to_string())
            };
            let _ = write!(text, "  {channels} {name} {kind} from {} {sockets}", stage.name);
            text.push_str(if powered { " phantom" } else { "" });
            text.push_str(if stereo { " stereo" } else { "" });
            if dice.one_in(2) {
                let _ = write!(text, " gain {} dB", dice.within(0, 60));
            }
            text.push('\n');
            names.push(name);
            socket += if stereo { 2 } else { 1 };
        }
    }
    text.push_str("}\n");
    names
}

fn outputs(dice: &mut Dice, stages: &[Stage], names: &[String], text: &mut String) {
    text.push_str("\noutputs foh {\n");
    let all = names.join(", ");
    let mut mix = 1;
    let some = |dice: &mut Dice| {
        let mut some: Vec<&str> = names.iter().map(String::as_str).filter(|_| dice.one_in(3)).collect();
        some.extend(names.first().map(String::as_str).filter(|_| some.is_empty()));
        some.join(", ")
    };
    for (index, stage) in stages.iter().enumerate() {
        let mut socket = 1;
        if index == 0 {
            let _ = writeln!(text, "  main 1-2 to {} 7-8 pa \"PA left\", \"PA right\" of {all}", stage.name);
        }
        let last = if index == 0 { 6 } else { 8 };
        while socket < last && mix < 14 {
            if dice.one_in(3) {
                mix += u32::from(mix % 2 == 0);
                if socket % 2 == 1 {
                    let of = some(dice);
                    let _ = writeln!(
                        text,
                        "  mix {mix}-{} to {} {socket}-{} in-ears \"Ears {mix}\" stereo of {of}",
                        mix + 1,
                        stage.name,
                        socket + 1
                    );
                    mix += 2;
                    socket += 2;
                    continue;
                }
            }
            let of = some(dice);
            let _ = writeln!(text, "  mix {mix} to {} {socket} wedge \"Wedge {mix}\" of {of}", stage.name);
            mix += 1;
            socket += 1;
        }
    }
    text.push_str("}\n");
}
