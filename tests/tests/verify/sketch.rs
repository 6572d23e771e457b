//! Plans written by hand, short enough to be checked by eye. A line is one thing:
//! - `device foh desk desk`: name, model, role, then numbers out of use;
//! - `cable foh.portA to stage-left.up`, `run riser.tail 1-8 to stage-left.in 1-8`, and the same after `spare`, `redundant`;
//! - `plug kick at stage-left.in 1`, and `phantom`, after which the rest of the way to its preamp: `> riser.tail 1 > …`;
//! - `set foh route channel 1-8 = foh.portA 1-8`, `set stage-left offset out = 9`;
//! - `hear kick: stage-left.in 1 > foh.portA 1 > foh.channel 1`, with `!` after it where a row asks for it;
//! - `act kestrel`: all further lines are of this act.

use super::gear;
use fantail::plan::{Act, Cable, Device, End, Plan, Plug, PowerStep, Role, Setting, ShowHead, Signal, Wanted};
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// The plan, and what its rows want.
pub fn plan(text: &str) -> (Plan, Vec<Wanted>) {
    let show = ShowHead { title: "By hand".into(), ..ShowHead::default() };
    let mut plan = Plan { fantail: 1, show, rate_hz: 48000, ..Plan::default() };
    // Acts hold the same lists as the plan: collect into one each, the first for what always holds.
    let mut parts = vec![Act::default()];
    let mut wants = Vec::new();
    for line in text.lines().map(str::trim).filter(|line| !line.is_empty()) {
        let (word, rest) = line.split_once(' ').unwrap();
        if word == "act" {
            parts.push(Act { act: rest.into(), ..Act::default() });
            continue;
        }
        let part = parts.last_mut().unwrap();
        match word {
            "device" => part.devices.push(device(rest)),
            "cable" => part.cables.push(cable(rest, "main")),
            "run" => part.cables.push(cable(rest, "loom")),
            "spare" | "redundant" => part.cables.push(cable(rest, word)),
            "plug" => part.plugs.push(plug(rest)),
            "set" => part.settings.push(setting(rest)),
            "hear" => wants.extend(hear(rest, part)),
            other => panic!("no line `{other}`"),
        }
    }
    let rest = parts.split_off(1);
    let all = parts.remove(0);
    (plan.devices, plan.cables, plan.plugs) = (all.devices, all.cables, all.plugs);
    (plan.settings, plan.signals) = (all.settings, all.signals);
    plan.acts = rest;
    let acts: Vec<_> = plan.acts.iter().map(|act| act.act.clone()).collect();
    let every = |want: Wanted| match (&want.act, acts.is_empty()) {
        (None, false) => acts.iter().map(|act| Wanted { act: Some(act.clone()), ..want.clone() }).collect(),
        _ => vec![want],
    };
    let wants = wants.into_iter().flat_map(every).collect();
    let used =
        |name: &String| plan.devices.iter().chain(plan.acts.iter().flat_map(|a| &a.devices)).any(|d| d.model == *name);
    let models = gear::models().into_iter().filter(|(name, _)| used(name)).collect();
    plan.models = models;
    plan.power = power(&plan);
    (plan, wants)
}

/// None of this gear stands on mains of its own: what hangs on the outputs is all there is to switch on.
pub fn power(plan: &Plan) -> Vec<PowerStep> {
    let ends = plan.signals.iter().chain(plan.acts.iter().flat_map(|act| &act.signals)).flat_map(|signal| &signal.ends);
    let devices = || plan.devices.iter().chain(plan.acts.iter().flat_map(|act| &act.devices));
    let hangs = |end: &&End| {
        let (name, _) = end.end.split_once(' ').unwrap();
        let (device, bank) = name.rsplit_once('.').unwrap();
        let device = devices().find(|known| known.name == device).unwrap();
        let banks = &plan.models[&device.model].wiring.banks;
        let out = banks.iter().any(|known| known.bank == bank && known.role == Role::Out);
        end.asked && out && device.role != "hub"
    };
    let outputs: BTreeSet<String> = ends.filter(hangs).map(|end| end.end.clone()).collect();
    let step = PowerStep {
        why: "they make the sound: on last, off first".into(),
        outputs: outputs.into_iter().collect(),
        ..PowerStep::default()
    };
    if step.outputs.is_empty() { vec![] } else { vec![step] }
}

fn device(text: &str) -> Device {
    let mut words = text.split(' ');
    let mut next = || words.next().unwrap().to_owned();
    let (name, model, role) = (next(), next(), next());
    let out_of_use = words.map(|n| n.parse().unwrap()).collect();
    Device { name, model, role, out_of_use, ..Device::default() }
}

fn cable(text: &str, used_as: &str) -> Cable {
    let (from, to) = text.split_once(" to ").unwrap();
    let carrier = if from.contains(' ') { "analogue" } else { "aes50" };
    Cable {
        from: from.into(),
        to: to.into(),
        carrier: carrier.into(),
        length_m: Some(10.0),
        used_as: used_as.into(),
        ..Cable::default()
    }
}

fn plug(text: &str) -> Plug {
    let (source, at) = text.split_once(" at ").unwrap();
    let (at, way) = at.split_once(" phantom").map_or((at, None), |(at, way)| (at, Some(way)));
    let path = way.map(|way| std::iter::once(at).chain(way.split(" > ").skip(1)).map(str::to_owned).collect());
    let phantom_path = path.unwrap_or_default();
    Plug { source: source.into(), at: at.into(), phantom: way.is_some(), phantom_path, ..Plug::default() }
}

fn setting(text: &str) -> Setting {
    let (left, right) = text.split_once(" = ").unwrap();
    let words: Vec<&str> = left.split(' ').collect();
    let span = words.get(3).map(|span| span.split_once('-').unwrap_or((span, span)));
    let (first, last) = span.map(|(a, b)| (a.parse().unwrap(), b.parse().unwrap())).unzip();
    let (from, value) = match words[1] {
        "route" => (Some(right.to_owned()), None),
        "phantom" => (None, Some(json!(right == "on"))),
        "mode" => (None, Some(json!(right))),
        _ => (None, Some(serde_json::from_str::<Value>(right).unwrap())),
    };
    Setting {
        device: words[0].into(),
        set: words[1].into(),
        bank: words[2].into(),
        first,
        last,
        from,
        value,
        owner: None,
    }
}

fn hear(text: &str, part: &mut Act) -> Option<Wanted> {
    let (text, asked) = text.strip_suffix(" !").map_or((text, false), |text| (text, true));
    let (source, path) = text.split_once(": ").unwrap();
    let path: Vec<String> = path.split(" > ").map(str::to_owned).collect();
    let end = path.last().unwrap().clone();
    let kind = source.split_once(' ').map_or("dynamic", |(point, _)| point.rsplit_once('.').unwrap().1);
    if part.signals.last().is_none_or(|signal| signal.source != source) {
        let (source, label, kind) = (source.to_owned(), source.to_owned(), kind.to_owned());
        part.signals.push(Signal { source, label, kind, ends: vec![] });
    }
    part.signals.last_mut().unwrap().ends.push(End { end: end.clone(), asked, path, used_as: None });
    let act = (!part.act.is_empty()).then(|| part.act.clone());
    asked.then(|| Wanted { act, what: source.into(), at: end, via: None, arrives: true })
}
