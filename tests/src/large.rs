//! Larger random shows as text over the plain gear: one desk or two, chains of boxes, splits, snakes,
//! looms, hubs, acts, records, feeds, keeps. A tidy show is drawn from settings that satisfy it, so most of
//! it must route; an untidy one is a tidy one after a bad night. Every row stands on a line of its own, so
//! that a row can be taken out by taking its line out.

mod disorder;
mod judge;
mod lines;
mod stage;

pub use judge::{CONFLICTS, Judged, judge, shrunk};
pub use lines::{Place, Text};

use crate::dice::Dice;
use stage::{Desk, Rig, Socket};

/// A row of an input list.
#[derive(Clone)]
struct Input {
    desk: String,
    act: Option<usize>,
    first: u32,
    count: u32,
    name: String,
    /// Empty where the row wants a source that another one declares.
    kind: String,
    /// `from stage 3`, `via front.iso-a`, or nothing.
    from: String,
    rest: String,
}

#[derive(Clone)]
struct Output {
    desk: String,
    act: Option<usize>,
    bank: &'static str,
    first: u32,
    count: u32,
    to: Vec<String>,
    rest: String,
}

/// A show that is being drawn.
struct Draft {
    rig: Rig,
    inputs: Vec<Input>,
    outputs: Vec<Output>,
    /// Rows of `personal foh`.
    feeds: Vec<String>,
    /// One-line statements, with the act they stand in.
    others: Vec<(Option<usize>, String)>,
    acts: usize,
    named: u32,
    kept: Vec<String>,
}

/// The show of a seed: every other one is tidy.
pub fn draw(seed: u64) -> (Text, bool) {
    let mut dice = Dice(seed.wrapping_mul(0x5851_F42D_4C95_7F2D));
    let tidy = seed % 2 == 0;
    let mut draft = Draft {
        rig: stage::draw(&mut dice, tidy),
        inputs: Vec::new(),
        outputs: Vec::new(),
        feeds: Vec::new(),
        others: Vec::new(),
        acts: if dice.one_in(3) { dice.within(1, 3) as usize } else { 0 },
        named: 0,
        kept: Vec::new(),
    };
    draft.lists(&mut dice);
    draft.second_desk(&mut dice);
    draft.choose_kept(&mut dice);
    draft.mixes(&mut dice);
    draft.words(&mut dice);
    if !tidy {
        disorder::disorder(&mut draft, &mut dice);
    }
    (draft.text(&mut dice), tidy)
}

impl Draft {
    fn name(&mut self, dice: &mut Dice) -> String {
        self.named += 1;
        let words =
            ["kick", "snare", "tom", "hat", "bass", "guitar", "keys", "vocal", "horn", "choir", "harp", "track"];
        format!("{}-{}", dice.pick(&words), self.named)
    }

    /// Channels block by block, each from one block of sockets; point by point where the desk can.
    fn lists(&mut self, dice: &mut Dice) {
        let desk = self.rig.foh.clone();
        let mut feeds = self.rig.feeds();
        dice.shuffle(&mut feeds);
        let most = 2 + dice.below(4) as usize;
        let mut blocks: Vec<u32> = (0..desk.channels / 8).collect();
        if dice.one_in(2) {
            dice.shuffle(&mut blocks);
        }
        let of_acts = if self.acts > 0 { dice.below(2) as usize + 1 } else { 0 };
        for (at, (block, feed)) in blocks.iter().zip(feeds.clone()).take(most).enumerate() {
            let mut sockets = feed;
            let loose = !desk.eights || (desk.picks && at == 0 && !self.rig.linked);
            if loose && dice.one_in(2) {
                dice.shuffle(&mut sockets);
            }
            if at >= of_acts {
                self.block(&desk, None, *block, &sockets, dice);
            }
        }
        for block in blocks.iter().take(of_acts) {
            self.acts_in_block(&desk, *block, &feeds, dice);
        }
    }

    /// Each act has a kit of its own in these channels.
    fn acts_in_block(&mut self, desk: &Desk, block: u32, feeds: &[Vec<Socket>], dice: &mut Dice) {
        // Blocks past those of the house: nobody else plugs there.
        let free: Vec<Vec<Socket>> = feeds.iter().rev().take(2).cloned().collect();
        for act in 0..self.acts {
            if !dice.one_in(4) && !free.is_empty() {
                let sockets = dice.pick(&free);
                let sockets: Vec<Socket> = sockets.into_iter().filter(|socket| !self.plugged(socket, act)).collect();
                self.block(desk, Some(act), block, &sockets, dice);
            }
        }
    }

    fn plugged(&self, socket: &Socket, act: usize) -> bool {
        let holds = |row: &&Input| row.act.is_none_or(|of| of == act);
        self.inputs.iter().filter(holds).any(|row| row.from == socket.from(1) || row.from == socket.from(2))
            || self.rig.in_pairs.borrow().contains(&socket.text())
    }

    fn block(&mut self, desk: &Desk, act: Option<usize>, block: u32, sockets: &[Socket], dice: &mut Dice) {
        let mut at = 0;
        while let Some(socket) = sockets.get(at) {
            let place = if desk.eights { socket.place } else { at as u32 };
            let first = block * 8 + place + 1;
            let next = sockets.get(at + 1).filter(|next| next.follows(socket));
            let stereo = next.is_some() && first % 2 == 1 && dice.one_in(5);
            at += if stereo { 2 } else { 1 };
            if dice.one_in(4) {
                continue;
            }
            let (kind, mut rest) = kind(socket, dice);
            if stereo {
                rest.push_str(" stereo");
                self.rig.in_pairs.borrow_mut().push(socket.next());
            }
            let count = if stereo { 2 } else { 1 };
            let any = act.is_none() && !stereo && dice.one_in(30) && socket.device != desk.name;
            let from = if any { format!("from {} any", socket.device) } else { socket.from(count) };
            let name = self.name(dice);
            self.inputs.push(Input { desk: desk.name.clone(), act, first, count, name, kind, from, rest });
        }
    }

    /// What the second desk hears: over the link on the same numbers, or over the isolated legs.
    fn second_desk(&mut self, dice: &mut Dice) {
        let Some(second) = self.rig.second.clone() else { return };
        let via = if self.rig.linked { "" } else { "via front.iso-a" };
        let mut rows = Vec::new();
        if self.rig.linked && dice.one_in(2) {
            self.others.push((None, format!("inputs {} same as {}", second.name, self.rig.foh.name)));
            return;
        }
        for row in &self.inputs {
            let reaches = self.rig.linked || row.from.starts_with("from front ") && !row.from.ends_with("any");
            if row.act.is_none() && reaches && row.first + row.count - 1 <= second.channels && !dice.one_in(3) {
                let desk = second.name.clone();
                rows.push(Input {
                    desk,
                    kind: String::new(),
                    from: via.to_string(),
                    rest: String::new(),
                    ..row.clone()
                });
            }
        }
        self.inputs.extend(rows);
    }

    fn sources(&self) -> Vec<String> {
        self.inputs.iter().filter(|row| row.act.is_none() && !row.kind.is_empty()).map(|row| row.name.clone()).collect()
    }

    fn choose_kept(&mut self, dice: &mut Dice) {
        let names = self.sources();
        for name in names {
            if dice.one_in(25) {
                let from = dice.pick(&["pa", "wedge", "broadcast, pa", "relay"]);
                self.others.push((None, format!("keep {name} out of {from}")));
                self.kept.push(name);
            }
        }
    }

    fn of(&self, dice: &mut Dice) -> String {
        let mut names = self.sources();
        names.retain(|name| !self.kept.contains(name));
        dice.shuffle(&mut names);
        names.truncate(dice.within(1, 4) as usize);
        match dice.below(4) {
            0 if !names.is_empty() => format!(" of {}", names.join(", ")),
            1 if self.kept.is_empty() => " of all inputs".to_string(),
            1 => format!(" of all inputs but {}", self.kept.join(", ")),
            _ => String::new(),
        }
    }

    /// The boxes' outputs. On a desk in eights its sockets 1-8 feed the boxes at one offset, 9-16 those at
    /// another.
    fn mixes(&mut self, dice: &mut Dice) {
        let foh = self.rig.foh.clone();
        let mut mix = 1;
        let boxes: Vec<(String, u32)> = self.rig.boxes.iter().map(|b| (b.name.clone(), b.outs)).collect();
        let mut played: Vec<(String, u32)> = boxes.into_iter().filter(|(_, outs)| *outs == 8).collect();
        dice.shuffle(&mut played);
        played.truncate(dice.within(1, 2) as usize);
        for (half, (name, outs)) in played.iter().enumerate() {
            let desk = match &self.rig.second {
                Some(second) if self.rig.linked && half == 1 => second.clone(),
                _ => foh.clone(),
            };
            let own = desk.name != foh.name || self.rig.boxes.iter().any(|b| b.name == *name && b.desk == foh.name);
            for out in 1..=*outs {
                if mix > desk.mixes || dice.one_in(3) || !own {
                    continue;
                }
                let mut to = vec![format!("{name} {out}")];
                let socket = half as u32 * 8 + out;
                if dice.one_in(6) && desk.eights && desk.name == foh.name {
                    to.push(format!("{}.out {socket}", foh.name));
                }
                let rest =
                    format!("{}{}", dice.pick(&["wedge", "wedge", "side-fill", "in-ears", "relay"]), self.of(dice));
                self.outputs.push(Output {
                    desk: desk.name.clone(),
                    act: None,
                    bank: "mix",
                    first: mix,
                    count: 1,
                    to,
                    rest,
                });
                mix += 1;
            }
        }
        if played.len() < 2 || !foh.eights {
            let to = vec![format!("{}.out 15-16", foh.name)];
            let desk = foh.name;
            self.outputs.push(Output { desk, act: None, bank: "main", first: 1, count: 2, to, rest: "pa".to_string() });
        }
    }

    fn words(&mut self, dice: &mut Dice) {
        let foh = self.rig.foh.clone();
        let names = self.sources();
        let mut feed = 1;
        while dice.one_in(2) && feed <= 7 && !names.is_empty() && self.rig.rate == 48 {
            let one = self.inputs.iter().filter(|row| row.act.is_none() && row.count == 1 && !row.kind.is_empty());
            let one: Vec<String> = one.map(|row| row.name.clone()).collect();
            let source = if one.is_empty() || dice.one_in(3) { format!("mix {feed}") } else { dice.pick(&one) };
            self.feeds.push(format!("{feed} {source}"));
            feed += 1;
        }
        if dice.one_in(2) {
            let but =
                if dice.one_in(3) && !names.is_empty() { format!(" but {}", dice.pick(&names)) } else { String::new() };
            self.others.push((None, format!("record all inputs{but}")));
        }
        if names.len() > 3 && dice.one_in(2) {
            self.others.push((None, format!("group band {}, {}", names[0], names[2])));
        }
        for row in self.inputs.clone() {
            let here = row.act.is_none() && !row.kind.is_empty() && row.count == 1;
            if here && dice.one_in(20) {
                self.others.push((None, format!("expect {} reaches {}.channel {}", row.name, foh.name, row.first)));
            }
            if here && self.acts > 0 && dice.one_in(20) {
                self.others.push((Some(dice.below(self.acts as u32) as usize), format!("without input {}", row.name)));
            }
        }
    }
}

/// A kind of microphone or line with what belongs to it.
fn kind(socket: &Socket, dice: &mut Dice) -> (String, String) {
    if socket.origin {
        return ("playback".to_string(), String::new());
    }
    let kinds = [
        ("dynamic", ""),
        ("dynamic", ""),
        ("condenser", " phantom"),
        ("boundary", " 48V"),
        ("di-active", " phantom"),
        ("di-passive", ""),
        ("radio", ""),
        ("ribbon", ""),
        ("line", " pad"),
        ("playback", " pad"),
    ];
    let (kind, rest) = dice.pick(&kinds);
    let mut rest = rest.to_string();
    if dice.one_in(3) {
        rest.push_str(&format!(" gain {} dB", dice.within(0, 60)));
    }
    (kind.to_string(), rest)
}
