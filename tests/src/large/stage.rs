//! The gear of a large random show: desks, boxes in chains, and what is plugged into the boxes.

use crate::dice::Dice;
use std::cell::RefCell;

#[derive(Clone)]
pub struct Desk {
    pub name: String,
    pub model: &'static str,
    pub channels: u32,
    pub mixes: u32,
    pub outs: u32,
    pub eights: bool,
    pub picks: bool,
}

/// A place to plug into, with its place in the block of eight that reaches the desk.
#[derive(Clone)]
pub struct Socket {
    pub device: String,
    pub bank: &'static str,
    pub number: u32,
    pub place: u32,
    pub origin: bool,
}

impl Socket {
    pub fn text(&self) -> String {
        format!("{}{} {}", self.device, self.bank, self.number)
    }

    pub fn next(&self) -> String {
        format!("{}{} {}", self.device, self.bank, self.number + 1)
    }

    pub fn from(&self, count: u32) -> String {
        match count {
            1 => format!("from {}", self.text()),
            _ => format!("from {}-{}", self.text(), self.number + count - 1),
        }
    }

    pub fn follows(&self, before: &Socket) -> bool {
        self.text() == before.next() && self.place == before.place + 1
    }
}

#[derive(Clone)]
pub struct StageBox {
    pub name: String,
    pub model: &'static str,
    /// The desk at the head of its chain.
    pub desk: String,
    pub on: String,
    pub ins: u32,
    pub outs: u32,
    pub offset: Option<u32>,
    pub optical: &'static str,
    /// The first slot of its inputs.
    pub base: u32,
    pub words: String,
}

pub struct Rig {
    pub foh: Desk,
    pub second: Option<Desk>,
    pub linked: bool,
    pub rate: u32,
    pub boxes: Vec<StageBox>,
    /// Snakes: name, model, lines, box, first socket.
    pub snakes: Vec<(String, &'static str, u32, String, u32)>,
    /// Lines of the split that lead to both boxes.
    pub split: Option<(u32, String, String)>,
    pub hub: Option<String>,
    /// More gear, as lines.
    pub extra: Vec<String>,
    /// Second sockets of stereo pairs.
    pub in_pairs: RefCell<Vec<String>>,
}

pub fn desk(name: &str, model: &'static str) -> Desk {
    let (channels, mixes, outs) = match model {
        "desk-48" => (48, 24, 16),
        "desk-96" => (96, 32, 32),
        _ => (40, 16, 16),
    };
    let eights = model.starts_with("desk-40");
    Desk { name: name.to_string(), model, channels, mixes, outs, eights, picks: model.ends_with("pick") }
}

pub fn draw(dice: &mut Dice, tidy: bool) -> Rig {
    let models =
        ["desk-40-eights", "desk-40-eights", "desk-40-eights", "desk-40-eights-pick", "desk-48", "desk-48", "desk-96"];
    let mut foh = desk("foh", dice.pick(&models));
    let mut rig = Rig {
        second: None,
        linked: false,
        rate: if dice.one_in(8) { 96 } else { 48 },
        boxes: Vec::new(),
        snakes: Vec::new(),
        split: None,
        hub: None,
        extra: Vec::new(),
        in_pairs: RefCell::default(),
        foh: foh.clone(),
    };
    if dice.one_in(5) {
        rig.linked = dice.one_in(2);
        let plain = dice.one_in(8);
        if rig.linked && !plain {
            foh = desk("foh", "desk-40-eights");
        }
        let model = if rig.linked && foh.eights || dice.one_in(2) { "desk-40-eights" } else { "desk-48" };
        rig.second = Some(desk("monitors", model));
        rig.foh = foh;
    }
    rig.chains(dice, tidy);
    rig.lines(dice);
    if rig.rate == 48 && dice.one_in(4) {
        rig.hub = rig.boxes.iter().find(|b| b.model == "box-16x8-hub" && b.desk == "foh").map(|b| b.name.clone());
    }
    rig
}

impl Rig {
    pub fn slots(&self) -> u32 {
        if self.rate == 96 { 24 } else { 48 }
    }

    fn chains(&mut self, dice: &mut Dice, tidy: bool) {
        let ports: &[&str] = if self.linked { &["foh.portA"] } else { &["foh.portA", "foh.portB"] };
        let count = dice.within(1, 5);
        let mut ends: Vec<(String, u32)> = ports.iter().map(|port| ((*port).to_string(), 0)).collect();
        let mut next_offset = 1;
        for number in 1..=count {
            let at = if dice.one_in(4) { ends.len() - 1 } else { 0 };
            let (model, ins, outs) = dice.pick(&[
                ("box-8x8", 8, 8),
                ("box-16x8", 16, 8),
                ("box-16x8", 16, 8),
                ("box-16x8-optical", 16, 8),
                ("box-16x8-hub", 16, 8),
                ("box-32x16", 32, 16),
            ]);
            let (on, base) = ends[at].clone();
            // The chains fill their links, but do not overflow.
            if base + ins > self.slots() && (tidy || !dice.one_in(5)) {
                continue;
            }
            let name = format!("box{number}");
            let last = if self.rate == 96 { 24 } else { 40 };
            let fits = next_offset + outs - 1 <= last;
            let offset = if fits && !dice.one_in(3) { Some(next_offset) } else { None };
            next_offset += outs;
            let optical = if model == "box-16x8-optical" { "optical copy" } else { "" };
            ends[at] = (format!("{name}.thru"), base + ins);
            let words = dice.pick(&["", "cable 60 m screened locking", "place USC"]).to_string();
            let desk = "foh".to_string();
            self.boxes.push(StageBox { name, model, desk, on, ins, outs, offset, optical, base, words });
        }
        if self.boxes.is_empty() {
            self.boxes.push(StageBox {
                name: "box0".to_string(),
                model: "box-16x8",
                desk: "foh".to_string(),
                on: "foh.portA".to_string(),
                ins: 16,
                outs: 8,
                offset: None,
                optical: "",
                base: 0,
                words: String::new(),
            });
        }
        if self.second.is_some() && !self.linked {
            self.split_legs(dice);
        }
    }

    fn split_legs(&mut self, dice: &mut Dice) {
        let lines = dice.pick(&[8, 16]);
        let Some(direct) = self.boxes.iter().find(|b| b.ins >= lines).map(|b| b.name.clone()) else { return };
        self.split = Some((lines, direct, "mon-box".to_string()));
        self.boxes.push(StageBox {
            name: "mon-box".to_string(),
            model: "box-16x8",
            desk: "monitors".to_string(),
            on: "monitors.portA".to_string(),
            ins: 16,
            outs: 8,
            offset: Some(1),
            optical: "",
            base: 0,
            words: String::new(),
        });
    }

    fn lines(&mut self, dice: &mut Dice) {
        let split = self.split.as_ref().map(|(_, direct, mon)| (direct.clone(), mon.clone()));
        for number in 0..self.boxes.len() {
            let b = &self.boxes[number];
            let taken = split.as_ref().is_some_and(|(direct, mon)| *direct == b.name || *mon == b.name);
            if taken || !dice.one_in(3) {
                continue;
            }
            let (model, lines) = if b.ins > 8 && dice.one_in(2) { ("snake-12", 12) } else { ("snake-8", 8) };
            let first = if dice.one_in(2) { 1 } else { b.ins - lines + 1 };
            self.snakes.push((format!("riser{}", number + 1), model, lines, b.name.clone(), first));
        }
    }

    /// What an input of a box is called where it is plugged: at the snake's or the split's far end.
    fn plug(&self, b: &StageBox, number: u32) -> (String, u32) {
        let split = self.split.as_ref().filter(|(lines, direct, _)| *direct == b.name && number <= *lines);
        if split.is_some() {
            return ("front".to_string(), number);
        }
        for (name, _, lines, to, first) in &self.snakes {
            if *to == b.name && (*first..*first + *lines).contains(&number) {
                return (name.clone(), number - first + 1);
            }
        }
        (b.name.clone(), number)
    }

    /// Blocks of eight sockets as they reach the first desk.
    pub fn feeds(&self) -> Vec<Vec<Socket>> {
        let socket = |device: String, bank, number: u32, place, origin| Socket { device, bank, number, place, origin };
        let mut feeds = Vec::new();
        for b in self.boxes.iter().filter(|b| b.desk == "foh") {
            for block in 0..b.ins / 8 {
                if b.base + block * 8 + 8 > self.slots() {
                    continue;
                }
                let of_block = (0..8).map(|place| {
                    let (device, number) = self.plug(b, block * 8 + place + 1);
                    socket(device, "", number, place, false)
                });
                feeds.push(of_block.collect());
            }
        }
        let own = |bank: &'static str, first: u32, origin: bool| -> Vec<Socket> {
            (0..8).map(|place| socket("foh".to_string(), bank, first + place, place, origin)).collect()
        };
        feeds.push(own(".local", 1, false));
        feeds.push(own(".local", 17, false));
        feeds.push(own(".playback", 9, true));
        feeds
    }
}
