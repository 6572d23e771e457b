//! What goes wrong with a tidy show: rows moved, sockets changed, offsets and blocks fixed, more wanted
//! than there is.

use super::{Draft, Input, Output};
use crate::dice::Dice;

pub(super) fn disorder(draft: &mut Draft, dice: &mut Dice) {
    for _ in 0..dice.within(1, 3) {
        match dice.below(15) {
            0 | 1 => channel(draft, dice),
            2 | 3 => socket(draft, dice),
            4 => again(draft, dice),
            5 | 6 => output(draft, dice),
            7 => offset(draft, dice),
            8 => fixed(draft, dice),
            9 => kept(draft, dice),
            10 => crowd(draft, dice),
            11 => sockets(draft, dice),
            12 => light(draft, dice),
            13 => open(draft, dice),
            _ => in_act(draft, dice),
        }
    }
}

fn free_channel(draft: &Draft, dice: &mut Dice) -> u32 {
    let taken = |channel: u32| draft.inputs.iter().any(|row| (row.first..row.first + row.count).contains(&channel));
    let free: Vec<u32> = (1..=draft.rig.foh.channels).filter(|channel| !taken(*channel)).collect();
    if free.is_empty() { 1 } else { dice.pick(&free) }
}

fn free_socket(draft: &Draft, dice: &mut Dice) -> Option<String> {
    let pairs = draft.rig.in_pairs.borrow().clone();
    let free: Vec<String> = (draft.rig.feeds().concat().iter())
        .filter(|socket| !socket.origin && !pairs.contains(&socket.text()))
        .map(|socket| socket.from(1))
        .filter(|from| !draft.inputs.iter().any(|row| row.from == *from || row.from.starts_with(&format!("{from}-"))))
        .collect();
    if free.is_empty() { None } else { Some(dice.pick(&free)) }
}

fn single(draft: &Draft, dice: &mut Dice) -> Option<usize> {
    let own = |row: &Input| row.count == 1 && !row.kind.is_empty();
    let rows: Vec<usize> = (0..draft.inputs.len()).filter(|at| own(&draft.inputs[*at])).collect();
    if rows.is_empty() { None } else { Some(dice.pick(&rows)) }
}

fn channel(draft: &mut Draft, dice: &mut Dice) {
    let Some(at) = single(draft, dice) else { return };
    draft.inputs[at].first = free_channel(draft, dice);
}

fn socket(draft: &mut Draft, dice: &mut Dice) {
    let (Some(at), Some(from)) = (single(draft, dice), free_socket(draft, dice)) else { return };
    draft.inputs[at].from = if dice.one_in(6) { "from any".to_string() } else { from };
}

fn again(draft: &mut Draft, dice: &mut Dice) {
    let Some(at) = single(draft, dice) else { return };
    let row = draft.inputs[at].clone();
    let first = free_channel(draft, dice);
    draft.inputs.push(Input { first, kind: String::new(), from: String::new(), rest: String::new(), ..row });
}

fn output(draft: &mut Draft, dice: &mut Dice) {
    let boxes: Vec<(String, u32)> = draft.rig.boxes.iter().map(|b| (b.name.clone(), b.outs)).collect();
    let (name, outs) = dice.pick(&boxes);
    let mut to = vec![format!("{name} {}", dice.within(1, outs))];
    if dice.one_in(3) {
        to = vec![format!("{}.out {}", draft.rig.foh.name, dice.within(1, draft.rig.foh.outs))];
    }
    if draft.outputs.iter().any(|row| row.to.contains(&to[0])) {
        return;
    }
    let used: Vec<u32> = draft.outputs.iter().filter(|row| row.bank == "mix").map(|row| row.first).collect();
    let free: Vec<u32> = (1..=draft.rig.foh.mixes).filter(|mix| !used.contains(mix)).collect();
    if free.is_empty() {
        return;
    }
    let first = dice.pick(&free);
    let desk = draft.rig.foh.name.clone();
    draft.outputs.push(Output { desk, act: None, bank: "mix", first, count: 1, to, rest: "wedge".to_string() });
}

fn offset(draft: &mut Draft, dice: &mut Dice) {
    let at = dice.below(draft.rig.boxes.len() as u32) as usize;
    let offset = dice.pick(&[1, 1, 9, 17, 25]);
    draft.rig.boxes[at].offset = Some(offset);
    if draft.rig.boxes[at].model == "box-16x8-optical" && dice.one_in(2) {
        draft.rig.boxes[at].optical = dice.pick(&["optical outputs offset 17", "optical outputs", "optical copy", ""]);
    }
}

fn fixed(draft: &mut Draft, dice: &mut Dice) {
    let desk = &draft.rig.foh;
    let feed = dice.pick(&["local", "portA", "portB"]);
    let (to, from) = (dice.below(5), dice.below(3));
    let (name, count) = (&desk.name, if desk.eights { 8 } else { 1 });
    let run = |block: u32| match count {
        1 => format!("{}", block * 8 + 1),
        _ => format!("{}-{}", block * 8 + 1, block * 8 + 8),
    };
    let line = if dice.one_in(3) {
        format!("set {name}.portA {} from {name}.{} {}", run(to), "out", run(from % 2))
    } else {
        format!("set {name}.channel {} from {name}.{feed} {}", run(to), run(from))
    };
    draft.others.push((None, line));
}

fn kept(draft: &mut Draft, dice: &mut Dice) {
    let Some(at) = single(draft, dice) else { return };
    let row = &draft.inputs[at];
    if row.act.is_none() {
        let from = dice.pick(&["record", "pa", "record", "wedge"]);
        draft.others.push((None, format!("keep {} out of {from}", row.name)));
    }
    if !draft.others.iter().any(|(_, line)| line.starts_with("record ")) {
        draft.others.push((None, "record all inputs".to_string()));
    }
}

fn in_act(draft: &mut Draft, dice: &mut Dice) {
    if draft.acts == 0 {
        draft.acts = 2;
    }
    let act = Some(dice.below(draft.acts as u32) as usize);
    let Some(from) = free_socket(draft, dice) else { return };
    let first = dice.within(1, draft.rig.foh.channels);
    let name = draft.name(dice);
    let (desk, kind) = (draft.rig.foh.name.clone(), "dynamic".to_string());
    draft.inputs.push(Input { desk, act, first, count: 1, name, kind, from, rest: String::new() });
}

/// Many channels out of step: more than the picks of a desk can serve.
fn crowd(draft: &mut Draft, dice: &mut Dice) {
    for _ in 0..dice.within(3, 8) {
        channel(draft, dice);
    }
}

/// What goes to the boxes is wanted at the desk's sockets too, in no order.
fn sockets(draft: &mut Draft, dice: &mut Dice) {
    let foh = draft.rig.foh.clone();
    let mut free: Vec<String> = (1..=foh.outs).map(|socket| format!("{}.out {socket}", foh.name)).collect();
    free.retain(|socket| !draft.outputs.iter().any(|row| row.to.contains(socket) || row.to[0].ends_with("15-16")));
    dice.shuffle(&mut free);
    for row in draft.outputs.iter_mut().filter(|row| row.desk == foh.name && row.count == 1 && row.to.len() == 1) {
        row.to.extend(free.pop());
    }
}

/// A box's optical sockets as a copy of its inputs for a desk of their own, and as more outputs.
fn light(draft: &mut Draft, dice: &mut Dice) {
    let Some(b) = draft.rig.boxes.iter_mut().find(|b| b.model == "box-16x8-optical") else { return };
    if !draft.rig.extra.is_empty() {
        return;
    }
    b.optical = dice.pick(&["", "", "optical outputs", "optical copy"]);
    let name = b.name.clone();
    let lines = [
        "model light-desk {",
        "  light 1-8    in optical",
        "  channel 1-8  inner end",
        "  channel from light one by one",
        "}",
        "desk side is light-desk",
    ];
    draft.rig.extra = lines.iter().map(|line| (*line).to_string()).collect();
    draft.rig.extra.push(format!("loom {name}.optical 1-8 to side.light 1-8"));
    let of_box = draft.inputs.iter().filter(|row| row.count == 1 && row.act.is_none() && !row.kind.is_empty());
    let of_box = of_box.filter(|row| row.from.starts_with(&format!("from {name} ")) && !row.from.ends_with("any"));
    let rows: Vec<String> = of_box.take(2).map(|row| row.name.clone()).collect();
    for (at, name) in rows.into_iter().enumerate() {
        let (desk, kind) = ("side".to_string(), String::new());
        let first = at as u32 + 1;
        draft.inputs.push(Input {
            desk,
            act: None,
            first,
            count: 1,
            name,
            kind: kind.clone(),
            from: kind.clone(),
            rest: kind,
        });
    }
    let used: Vec<u32> = draft.outputs.iter().filter(|row| row.bank == "mix").map(|row| row.first).collect();
    if let Some(first) = (1..=draft.rig.foh.mixes).find(|mix| !used.contains(mix)) {
        let (desk, rest) = (draft.rig.foh.name.clone(), "record".to_string());
        let to = vec![format!("{name}.optical {}", dice.within(1, 8))];
        draft.outputs.push(Output { desk, act: None, bank: "mix", first, count: 1, to, rest });
    }
}

/// The sockets of several rows are left to the compiler.
fn open(draft: &mut Draft, dice: &mut Dice) {
    let boxes: Vec<String> = draft.rig.boxes.iter().map(|b| b.name.clone()).collect();
    for _ in 0..dice.within(2, 5) {
        if let Some(at) = single(draft, dice) {
            draft.inputs[at].from = format!("from {} any", dice.pick(&boxes));
        }
    }
}
