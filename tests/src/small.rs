//! Small random rigs as text, with what their rows want as data: models of a few points, boxes in short
//! chains, one desk or two, fixed settings, acts. The text is what the compiler reads; the data is what
//! the brute force reads. They are written side by side from one draw.

use crate::dice::Dice;
use std::collections::BTreeSet;
use std::fmt::Write;

/// Where an input comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum From {
    /// `b1.in 2`: a socket, or an origin.
    Point(String),
    /// Any socket of this device; of all boxes and desks.
    Any(Option<String>),
}

#[derive(Clone, Debug, PartialEq)]
pub enum Row {
    Input {
        desk: String,
        channel: u32,
        name: String,
        from: From,
    },
    /// A second channel for a declared source of the same act.
    Again {
        desk: String,
        channel: u32,
        name: String,
    },
    /// From a point of the desk to points anywhere.
    Output {
        desk: String,
        bank: String,
        number: u32,
        to: Vec<String>,
    },
    Personal {
        desk: String,
        number: u32,
        bank: String,
        from: u32,
    },
    Record,
    /// `keep NAME out of record`
    Keep {
        name: String,
    },
    /// `text` is the row; the setting has the value `from` as the plan writes it.
    Set {
        text: String,
        device: String,
        bank: String,
        first: u32,
        from: String,
    },
}

/// A setting said on a device: `offset`, `slot` or `mode`.
#[derive(Clone, Debug, PartialEq)]
pub struct Fixed {
    pub device: String,
    pub set: &'static str,
    pub bank: String,
    pub value: String,
    /// Words on the device's line.
    pub words: String,
}

#[derive(Clone, Debug)]
pub struct Small {
    /// Carriers and models.
    pub models: String,
    /// Each device's line without what is fixed, and links.
    pub devices: Vec<(String, String)>,
    pub fixed: Vec<Fixed>,
    pub acts: Vec<String>,
    /// The act that a row stands in.
    pub rows: Vec<(Option<usize>, Row)>,
    /// What the models offer, for coverage.
    pub has: BTreeSet<&'static str>,
}

impl Small {
    pub fn text(&self) -> String {
        let mut text = format!("show \"Small\"\n{}", self.models);
        for (device, line) in &self.devices {
            let words: Vec<&str> =
                self.fixed.iter().filter(|f| f.device == *device).map(|f| f.words.as_str()).collect();
            let _ = writeln!(text, "{line} {}", words.join(" "));
        }
        self.write_rows(None, &mut text);
        for (at, act) in self.acts.iter().enumerate() {
            let _ = writeln!(text, "act {act} {{");
            self.write_rows(Some(at), &mut text);
            let _ = writeln!(text, "}}");
        }
        text
    }

    fn write_rows(&self, act: Option<usize>, text: &mut String) {
        for (_, row) in self.rows.iter().filter(|(of, _)| *of == act) {
            let _ = match row {
                Row::Input { desk, channel, name, from: From::Point(point) } => {
                    writeln!(text, "inputs {desk} {{ {channel} {name} dynamic from {point} }}")
                }
                Row::Input { desk, channel, name, from: From::Any(Some(device)) } => {
                    writeln!(text, "inputs {desk} {{ {channel} {name} dynamic from {device} any }}")
                }
                Row::Input { desk, channel, name, from: From::Any(None) } => {
                    writeln!(text, "inputs {desk} {{ {channel} {name} dynamic from any }}")
                }
                Row::Again { desk, channel, name } => writeln!(text, "inputs {desk} {{ {channel} {name} }}"),
                Row::Output { desk, bank, number, to } => {
                    writeln!(text, "outputs {desk} {{ {bank} {number} to {} }}", to.join(" and "))
                }
                Row::Personal { desk, number, bank, from } => {
                    writeln!(text, "personal {desk} {{ {number} {bank} {from} }}")
                }
                Row::Record => writeln!(text, "record all inputs"),
                Row::Keep { name } => writeln!(text, "keep {name} out of record"),
                Row::Set { text: row, .. } => writeln!(text, "{row}"),
            };
        }
    }
}

/// What a drawn desk model offers.
struct Desk {
    block: u32,
    local: u32,
    channels: u32,
    outs: u32,
    mixes: u32,
    slots: u32,
    tracks: bool,
    playback: bool,
    personal: bool,
    aux: bool,
    out_of_channels: bool,
    channel_from: Vec<&'static str>,
    port_from: Vec<&'static str>,
    port_block: u32,
    picks: u32,
}

struct Stage {
    ins: u32,
    optical: bool,
    offsets: Vec<u32>,
    optical_offsets: Vec<u32>,
    slots: Vec<u32>,
    fixed_out: bool,
}

pub fn draw(seed: u64) -> Small {
    let mut dice = Dice(seed);
    let mut small = Small {
        models: String::new(),
        devices: Vec::new(),
        fixed: Vec::new(),
        acts: Vec::new(),
        rows: Vec::new(),
        has: BTreeSet::new(),
    };
    let slots = dice.pick(&[4, 6, 6, 8]);
    let _ = writeln!(small.models, "carrier wire {{ slots {slots} at 48 kHz }}");
    let desk = desk_model(&mut small, slots, &mut dice);
    let stages: Vec<Stage> = (1..=2).map(|n| box_model(&mut small, n, &mut dice)).collect();
    let desks = if dice.one_in(4) { 2 } else { 1 };
    let boxes = cabling(&mut small, desks, &stages, &mut dice);
    if dice.one_in(5) {
        small.acts = vec!["dawn".to_string(), "noon".to_string()];
        small.has.insert("act");
    }
    rows(&mut small, &desk, desks, &stages, &boxes, &mut dice);
    small
}

fn desk_model(small: &mut Small, slots: u32, dice: &mut Dice) -> Desk {
    let block = dice.pick(&[1, 2, 2, 2, 3]);
    let desk = Desk {
        block,
        local: dice.pick(&[2, 4]),
        channels: dice.pick(&[4, 5, 6, 8]),
        outs: dice.pick(&[2, 4]),
        mixes: dice.pick(&[2, 3]),
        slots,
        tracks: dice.one_in(3),
        playback: dice.one_in(5),
        personal: block < 3 && dice.one_in(4),
        aux: dice.one_in(3),
        out_of_channels: dice.one_in(3),
        channel_from: Vec::new(),
        port_from: Vec::new(),
        port_block: if dice.one_in(4) { 1 } else { block },
        picks: if dice.one_in(3) { dice.within(2, 4) } else { 0 },
    };
    let mut from = vec!["local", "portA", "portB"];
    if desk.playback {
        from.push("playback");
    }
    if desk.picks > 0 {
        from.push("pick");
    }
    if dice.one_in(3) {
        dice.shuffle(&mut from);
    }
    let mut port_from = vec!["out", "local"];
    if desk.port_block == 1 {
        port_from.push("mix");
    }
    if desk.aux {
        port_from.push("odd");
    }
    if dice.one_in(3) {
        dice.shuffle(&mut port_from);
    }
    let desk = Desk { channel_from: from, port_from, ..desk };
    write_desk(small, &desk, dice);
    desk
}

fn how(block: u32) -> String {
    if block == 1 { "one by one".to_string() } else { format!("in blocks of {block}") }
}

fn at_most(small: &mut Small, most: u32, chance: u32, dice: &mut Dice) -> String {
    if !dice.one_in(chance) {
        return String::new();
    }
    small.has.insert("at most");
    format!(" at most {most}")
}

fn write_desk(small: &mut Small, desk: &Desk, dice: &mut Dice) {
    let mut lines = vec![
        format!("local 1-{} in mic phantom each", desk.local),
        format!("mix 1-{} origin", desk.mixes),
        format!("channel 1-{} inner end", desk.channels),
        format!("out 1-{} line", desk.outs),
        "port portA wire to any".to_string(),
        "port portB wire to any".to_string(),
    ];
    let through = dice.one_in(3);
    let most = dice.within(1, desk.channels);
    let limit = at_most(small, most, 5, dice);
    lines.push(format!("channel from {} {}{limit}", desk.channel_from.join(", "), how(desk.block)));
    small.has.insert(if desk.block > 1 { "channel block" } else { "point" });
    if desk.tracks {
        let from: Vec<&str> = desk.channel_from.iter().copied().filter(|from| *from != "playback").collect();
        lines.push(format!("track 1-{} inner end", desk.channels));
        lines.push(format!("track from {} {}", from.join(", "), how(desk.block)));
    }
    if desk.playback {
        lines.push("playback 1-4 origin".to_string());
    }
    if desk.picks > 0 {
        small.has.insert("pick");
        let limit = at_most(small, 1, 4, dice);
        lines.push(format!("pick 1-{} inner", desk.picks));
        lines.push(format!("pick from local, portA, portB one by one{limit}"));
    }
    let mut out_from = vec!["mix"];
    if desk.out_of_channels {
        out_from.push("channel");
    }
    if desk.aux {
        small.has.insert("named block");
        lines.push("aux 1-2 out line".to_string());
        lines.push("aux from mix one by one".to_string());
        let second = dice.pick(&["aux 2", "out 2", "out 1"]);
        lines.push(format!("block odd aux 1, {second}"));
    }
    let out_limit = at_most(small, dice.pick(&[1, 2]), 8, dice);
    lines.push(format!("out from {} one by one{out_limit}", out_from.join(", ")));
    small.has.insert("point");
    for (port, other) in [("portA", "portB"), ("portB", "portA")] {
        let mut from = desk.port_from.clone();
        if through {
            from.push(other);
        }
        lines.push(format!("{port} from {} {}", from.join(", "), how(desk.port_block)));
        if desk.personal {
            let (first, last) = (desk.slots - 1, desk.slots);
            lines.push(format!("reserved {port} {first}-{last} for personal"));
            lines.push(format!("{port} {first}-{last} from personal straight"));
        }
    }
    if desk.personal {
        small.has.insert("reserved");
        lines.push("personal 1-2 inner end".to_string());
        lines.push("personal from mix, channel one by one".to_string());
    }
    let _ = writeln!(small.models, "model desk-small {{\n  {}\n}}", lines.join("\n  "));
}

fn listed(numbers: &[u32]) -> String {
    numbers.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}

fn box_model(small: &mut Small, n: u32, dice: &mut Dice) -> Stage {
    let stage = Stage {
        ins: dice.pick(&[2, 2, 3, 4]),
        optical: dice.one_in(3),
        offsets: dice.pick(&[vec![1, 3], vec![1, 3, 5], vec![1, 2, 4], vec![3, 5]]),
        optical_offsets: dice.pick(&[vec![1, 3], vec![3, 5]]),
        slots: if dice.one_in(4) { dice.pick(&[vec![1, 3], vec![1, 2, 5]]) } else { Vec::new() },
        fixed_out: dice.one_in(6),
    };
    let mut lines = vec![
        format!("in 1-{} mic phantom each", stage.ins),
        "out 1-2 line".to_string(),
        "port up wire to desk".to_string(),
        "port thru wire to next".to_string(),
        "up passes thru".to_string(),
    ];
    if stage.slots.is_empty() {
        let at = if dice.one_in(6) { format!("at {}", dice.within(1, 3)) } else { "stacked".to_string() };
        lines.push(format!("in rides up {at}"));
    } else {
        lines.push(format!("in rides up at a setting {}", listed(&stage.slots)));
    }
    if stage.fixed_out {
        lines.push(format!("out takes up at {}", dice.within(1, 5)));
    } else {
        lines.push(format!("out takes up offset {}", listed(&stage.offsets)));
    }
    if stage.optical {
        lines.push("optical 1-2 out line".to_string());
        lines.push(format!("optical copies in from {} in mode copy", dice.within(1, 2)));
        lines.push(format!("optical takes up offset {} in mode outputs", listed(&stage.optical_offsets)));
    }
    let _ = writeln!(small.models, "model box-{n} {{\n  {}\n}}", lines.join("\n  "));
    stage
}

/// A box of the rig: its name and its model.
type Boxes = Vec<(String, usize)>;

fn cabling(small: &mut Small, desks: u32, stages: &[Stage], dice: &mut Dice) -> Boxes {
    for desk in 1..=desks {
        small.devices.push((format!("d{desk}"), format!("desk d{desk} is desk-small")));
    }
    let mut tops = vec!["d1.portA".to_string()];
    if desks == 2 {
        small.has.insert("link between desks");
        small.devices.push((String::new(), "link d1.portB to d2.portB".to_string()));
        tops.push("d2.portA".to_string());
        small.devices.push((String::new(), "clock d1".to_string()));
    } else {
        tops.push("d1.portB".to_string());
    }
    let mut boxes = Boxes::new();
    // Names do not follow the order of the chain.
    let mut names = vec!["b1", "b2", "b3", "b4"];
    dice.shuffle(&mut names);
    for (at, top) in tops.into_iter().enumerate() {
        let mut on = top;
        let count = if at == 0 { dice.within(1, 3) } else { dice.below(2) };
        for _ in 0..count {
            let Some(name) = names.pop() else { break };
            let model = dice.below(2) as usize;
            small.devices.push((name.to_string(), format!("box {name} is box-{} on {on}", model + 1)));
            on = format!("{name}.thru");
            fixed_on(small, name, &stages[model], dice);
            boxes.push((name.to_string(), model));
        }
    }
    if dice.one_in(4) {
        let (name, model) = dice.pick(&boxes);
        let last = stages[model].ins.min(2);
        small.devices.push(("sn".to_string(), format!("snake sn is snake-8 to {name}.in 1-{last}")));
        small.has.insert("snake");
    }
    boxes
}

fn fixed_on(small: &mut Small, name: &str, stage: &Stage, dice: &mut Dice) {
    let mut fix = |set, bank: &str, value: String, words: String| {
        small.fixed.push(Fixed { device: name.to_string(), set, bank: bank.to_string(), value, words });
    };
    if !stage.fixed_out && dice.one_in(4) {
        let value = dice.pick(&stage.offsets);
        fix("offset", "out", value.to_string(), format!("offset {value}"));
    }
    if !stage.slots.is_empty() && dice.one_in(3) {
        let value = dice.pick(&stage.slots);
        fix("slot", "in", value.to_string(), format!("slot {value}"));
    }
    if stage.optical && dice.one_in(4) {
        let value = dice.pick(&["copy", "outputs"]);
        fix("mode", "optical", value.to_string(), format!("optical {value}"));
    }
    if !stage.fixed_out {
        small.has.insert("offset");
    }
    if !stage.slots.is_empty() {
        small.has.insert("slot");
    }
    if stage.optical {
        small.has.insert("mode");
    }
}

/// What the rows of one place (the house, or an act) may still use.
#[derive(Clone)]
struct Free {
    sockets: Vec<String>,
    channels: Vec<(String, u32)>,
    outs: Vec<String>,
}

fn rows(small: &mut Small, desk: &Desk, desks: u32, stages: &[Stage], boxes: &Boxes, dice: &mut Dice) {
    let mut free = Free { sockets: Vec::new(), channels: Vec::new(), outs: Vec::new() };
    let snake = small.devices.iter().find(|(name, _)| name == "sn").map(|(_, line)| line.clone());
    for (name, model) in boxes {
        let run = snake.as_ref().is_some_and(|line| line.contains(&format!(" {name}.in ")));
        let first = if run { stages[*model].ins.min(2) + 1 } else { 1 };
        free.sockets.extend((first..=stages[*model].ins).map(|n| format!("{name}.in {n}")));
        if run {
            free.sockets.extend((1..first).map(|n| format!("sn.in {n}")));
        }
        free.outs.extend((1..=2).map(|n| format!("{name}.out {n}")));
        if stages[*model].optical {
            free.outs.extend((1..=2).map(|n| format!("{name}.optical {n}")));
        }
    }
    for d in 1..=desks {
        free.sockets.extend((1..=desk.local.min(2)).map(|n| format!("d{d}.local {n}")));
        if desk.playback {
            free.sockets.push(format!("d{d}.playback {}", dice.within(1, 4)));
        }
        free.channels.extend((1..=desk.channels).map(|n| (format!("d{d}"), n)));
        free.outs.extend((1..=desk.outs).map(|n| format!("d{d}.out {n}")));
    }
    let acts = small.acts.len();
    draw_rows(small, None, desk, &mut free, if acts == 0 { 5 } else { 2 }, dice);
    for act in 0..acts {
        draw_rows(small, Some(act), desk, &mut free.clone(), 3, dice);
    }
    if desk.tracks && dice.one_in(2) {
        small.rows.push((None, Row::Record));
        let names: Vec<String> = small
            .rows
            .iter()
            .filter_map(|(act, row)| match row {
                Row::Input { name, .. } if act.is_none() => Some(name.clone()),
                _ => None,
            })
            .collect();
        if let Some(name) = names.first().filter(|_| dice.one_in(6)) {
            small.rows.retain(|(_, row)| *row != Row::Record);
            small.rows.push((None, Row::Keep { name: name.clone() }));
        }
    }
    if dice.one_in(4) {
        fixed_route(small, desk, dice);
    }
}

fn take<T>(list: &mut Vec<T>, at: usize) -> Option<T> {
    (at < list.len()).then(|| list.remove(at))
}

fn draw_rows(small: &mut Small, act: Option<usize>, desk: &Desk, free: &mut Free, most: u32, dice: &mut Dice) {
    let inputs = dice.within(1, most.div_ceil(2));
    let tidy = !dice.one_in(7);
    let tag = act.map_or("h".to_string(), |act| format!("x{act}"));
    for n in 0..inputs {
        let any = dice.one_in(6);
        let Some((d, channel)) = take_channel(free, desk.block, tidy, n, dice) else { break };
        let name = format!("{tag}{n}");
        let from = if any {
            small.has.insert("any");
            let on = small.devices.iter().filter(|(name, _)| name.starts_with('b')).map(|(name, _)| name.clone());
            let on: Vec<String> = on.collect();
            if dice.one_in(2) { From::Any(None) } else { From::Any(Some(dice.pick(&on))) }
        } else {
            let at = if tidy { 0 } else { dice.below(free.sockets.len() as u32) as usize };
            let Some(socket) = take(&mut free.sockets, at) else { break };
            From::Point(socket)
        };
        small.rows.push((act, Row::Input { desk: d, channel, name: name.clone(), from }));
        if dice.one_in(8) {
            let at = dice.below(free.channels.len() as u32) as usize;
            if let Some((desk, channel)) = take(&mut free.channels, at) {
                small.rows.push((act, Row::Again { desk, channel, name }));
            }
        }
    }
    draw_outputs(small, act, desk, free, most.min(4), dice);
}

fn take_channel(free: &mut Free, block: u32, tidy: bool, n: u32, dice: &mut Dice) -> Option<(String, u32)> {
    if tidy {
        return take(&mut free.channels, 0);
    }
    let _ = (block, n);
    let at = dice.below(free.channels.len() as u32) as usize;
    take(&mut free.channels, at)
}

fn draw_outputs(small: &mut Small, act: Option<usize>, desk: &Desk, free: &mut Free, most: u32, dice: &mut Dice) {
    let desks: Vec<String> =
        small.devices.iter().filter(|(name, _)| name.starts_with('d')).map(|d| d.0.clone()).collect();
    let mut used: BTreeSet<(String, u32)> = small
        .rows
        .iter()
        .filter_map(|(of, row)| match row {
            Row::Output { desk, number, .. } if of.is_none() => Some((desk.clone(), *number)),
            _ => None,
        })
        .collect();
    for _ in 0..dice.below(most) {
        let d = dice.pick(&desks);
        let (bank, number) = if dice.one_in(8) && desk.out_of_channels {
            // A channel that nothing feeds makes a silent output, which is an error of its own.
            let fed: Vec<u32> = small
                .rows
                .iter()
                .filter_map(|(of, row)| match row {
                    Row::Input { desk, channel, .. } if *desk == d && (of.is_none() || *of == act) => Some(*channel),
                    _ => None,
                })
                .collect();
            if fed.is_empty() {
                continue;
            }
            ("channel", dice.pick(&fed))
        } else {
            ("mix", dice.within(1, desk.mixes))
        };
        if free.outs.is_empty() || !used.insert((d.clone(), number)) {
            continue;
        }
        let count = dice.pick(&[1, 1, 2]);
        let mut to = Vec::new();
        for _ in 0..count {
            let at = dice.below(free.outs.len() as u32) as usize;
            to.extend(take(&mut free.outs, at));
        }
        if !to.is_empty() {
            small.rows.push((act, Row::Output { desk: d, bank: bank.to_string(), number, to }));
        }
    }
    if desk.personal && act.is_none() && dice.one_in(2) {
        let row = Row::Personal { desk: "d1".to_string(), number: dice.within(1, 2), bank: "mix".to_string(), from: 1 };
        small.rows.push((act, row));
    }
}

/// A `set` line for a block of channels or of a port.
fn fixed_route(small: &mut Small, desk: &Desk, dice: &mut Dice) {
    small.has.insert("set");
    let on_port = dice.one_in(3);
    let (bank, size, block) =
        if on_port { ("portA", desk.slots - 2, desk.port_block) } else { ("channel", desk.channels, desk.block) };
    let feeds: Vec<(&str, u32)> = if on_port {
        vec![("out", desk.outs), ("local", desk.local)]
    } else {
        vec![("local", desk.local), ("portA", desk.slots), ("portB", desk.slots)]
    };
    let (from, count) = dice.pick(&feeds);
    let (to_blocks, from_blocks) = (size / block, count / block);
    if to_blocks == 0 || from_blocks == 0 {
        return;
    }
    let range = |first: u32| if block == 1 { format!("{first}") } else { format!("{first}-{}", first + block - 1) };
    let first = dice.below(to_blocks) * block + 1;
    let source = dice.below(from_blocks) * block + 1;
    let value = format!("d1.{from} {}", range(source));
    let act = if small.acts.is_empty() || dice.one_in(2) { None } else { Some(0) };
    let text = format!("set d1.{bank} {} from {value}", range(first));
    small.rows.push((act, Row::Set { text, device: "d1".to_string(), bank: bank.to_string(), first, from: value }));
}
