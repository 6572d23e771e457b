//! A right plan with one thing wrong.

use fantail::plan::{Place, Plan, Plug, Setting, Signal, Wiring};
use serde_json::{Value, json};

type Moved = Vec<(String, Plan)>;

pub fn acts(plan: &Plan) -> Vec<Option<String>> {
    if plan.acts.is_empty() { vec![None] } else { plan.acts.iter().map(|act| Some(act.act.clone())).collect() }
}

/// Every setting gone, and one step further each way.
pub fn settings(plan: &Plan) -> Moved {
    let lists: Vec<Option<usize>> = std::iter::once(None).chain((0..plan.acts.len()).map(Some)).collect();
    let mut all = Vec::new();
    for list in lists {
        let count = settings_of(&mut plan.clone(), list).len();
        for number in 0..count {
            let setting = settings_of(&mut plan.clone(), list)[number].clone();
            let mut gone = plan.clone();
            settings_of(&mut gone, list).remove(number);
            all.push((format!("without {setting:?}"), gone));
            for step in steps(plan, &setting) {
                let mut moved = plan.clone();
                settings_of(&mut moved, list)[number] = step.clone();
                all.push((format!("{setting:?} became {step:?}"), moved));
            }
        }
    }
    all
}

fn settings_of(plan: &mut Plan, list: Option<usize>) -> &mut Vec<Setting> {
    match list {
        None => &mut plan.settings,
        Some(act) => &mut plan.acts[act].settings,
    }
}

fn steps(plan: &Plan, setting: &Setting) -> Vec<Setting> {
    let with = |value: Value| Setting { value: Some(value), ..setting.clone() };
    match setting.set.as_str() {
        "route" => route_steps(setting),
        "gain" => vec![with(json!(setting.value.as_ref().and_then(Value::as_f64).unwrap_or(0.0) + 1.0))],
        "phantom" | "pad" => vec![with(json!(setting.value != Some(json!(true))))],
        "mode" => {
            let wiring = wiring_of(plan, &setting.device);
            let copies = wiring.copies.iter().map(|copy| (&copy.bank, &copy.mode));
            let takes = wiring.takes.iter().map(|take| (&take.bank, &take.mode));
            let words =
                copies.chain(takes).filter(|(bank, _)| **bank == setting.bank).filter_map(|(_, mode)| mode.clone());
            let others = words.map(Value::from).filter(|word| Some(word) != setting.value.as_ref());
            others.map(with).collect()
        }
        "offset" | "slot" => {
            let wiring = wiring_of(plan, &setting.device);
            let takes = wiring.takes.iter().filter(|t| t.bank == setting.bank).map(|t| (&t.at, &t.choices));
            let rides = wiring.carries.iter().filter(|c| c.bank == setting.bank).map(|c| (&c.at, &c.choices));
            let lists = takes.chain(rides).filter(|(at, _)| **at == Place::Word("setting".into()));
            lists
                .flat_map(|(_, list)| list)
                .map(|n| json!(n))
                .filter(|n| Some(n) != setting.value.as_ref())
                .map(with)
                .collect()
        }
        other => panic!("no steps for {other}"),
    }
}

fn wiring_of<'p>(plan: &'p Plan, device: &str) -> &'p Wiring {
    let mut devices = plan.devices.iter().chain(plan.acts.iter().flat_map(|act| &act.devices));
    &plan.models[&devices.find(|one| one.name == device).unwrap().model].wiring
}

/// The next block on both sides, and the next place for it.
fn route_steps(setting: &Setting) -> Vec<Setting> {
    let (first, last) = (setting.first.unwrap(), setting.last.unwrap());
    let size = last - first + 1;
    let mut all = Vec::new();
    let from = setting.from.as_deref().unwrap();
    match from.split_once(' ') {
        None => all.push(Setting { from: Some(format!("{}.out 1-8", setting.device)), ..setting.clone() }),
        Some((bank, numbers)) => {
            let start: u32 = numbers.split('-').next().unwrap().parse().unwrap();
            for start in [start.checked_sub(size), start.checked_add(size)].into_iter().flatten().filter(|n| *n > 0) {
                let text =
                    if size == 1 { format!("{bank} {start}") } else { format!("{bank} {start}-{}", start + size - 1) };
                all.push(Setting { from: Some(text), ..setting.clone() });
            }
            for other in
                ["local", "portA", "portB", "pick", "mix", "main"].map(|bank| format!("{}.{bank}", setting.device))
            {
                if other != bank {
                    all.push(Setting { from: Some(format!("{other} {numbers}")), ..setting.clone() });
                }
            }
        }
    }
    for first in [first.checked_sub(size), first.checked_add(size)].into_iter().flatten().filter(|n| *n > 0) {
        all.push(Setting { first: Some(first), last: Some(first + size - 1), ..setting.clone() });
    }
    all
}

/// Every cable that carries something gone, turned round, and changed for another at its far end.
pub fn cables(plan: &Plan) -> Moved {
    let mut all = Vec::new();
    for (number, cable) in plan.cables.iter().enumerate() {
        if ["spare", "redundant"].contains(&cable.used_as.as_str()) {
            continue;
        }
        let mut gone = plan.clone();
        gone.cables.remove(number);
        all.push((format!("without {cable:?}"), gone));
        let mut turned = plan.clone();
        (turned.cables[number].from, turned.cables[number].to) = (cable.to.clone(), cable.from.clone());
        all.push((format!("{cable:?} turned round"), turned));
        for (other, far) in
            plan.cables.iter().enumerate().skip(number + 1).filter(|(_, far)| far.used_as == cable.used_as)
        {
            let mut swapped = plan.clone();
            swapped.cables[number].to.clone_from(&far.to);
            swapped.cables[other].to.clone_from(&cable.to);
            all.push((format!("{cable:?} and {far:?} swapped"), swapped));
        }
    }
    all
}

/// Every plug one socket on, and pulled.
pub fn plugs(plan: &Plan) -> Moved {
    let mut all = Vec::new();
    for (number, plug) in plan.plugs.iter().enumerate() {
        let (bank, n) = plug.at.split_once(' ').unwrap();
        let n: u32 = n.parse().unwrap();
        for n in [n - 1, n + 1] {
            let mut moved = plan.clone();
            moved.plugs[number].at = format!("{bank} {n}");
            all.push((format!("{plug:?} at {n}"), moved));
        }
        let mut gone = plan.clone();
        gone.plugs.remove(number);
        all.push((format!("without {plug:?}"), gone));
    }
    all
}

/// Every plug's way to the preamp that gives it 48 V, changed: another preamp, another leg, too short, none; and
/// one where none is asked for.
pub fn phantom_paths(plan: &Plan) -> Moved {
    let mut all = Vec::new();
    let lists = std::iter::once(None).chain((0..plan.acts.len()).map(Some));
    for list in lists {
        for number in 0..plugs_of(&mut plan.clone(), list).len() {
            let mut change = |what: &str, edit: &dyn Fn(&mut Vec<String>)| {
                let mut changed = plan.clone();
                let plug = &mut plugs_of(&mut changed, list)[number];
                let before = plug.phantom_path.clone();
                edit(&mut plug.phantom_path);
                if plug.phantom_path != before {
                    all.push((format!("{}: {what}", plug.source), changed));
                }
            };
            change("no way", &|path| path.clear());
            change("a way from nowhere", &|path| path.insert(0, "foh.local 9".into()));
            change("one socket less", &|path| drop(path.pop()));
            change("the next socket", &|path| path.last_mut().into_iter().for_each(|last| last.push('1')));
            change("another preamp", &|path| path.last_mut().into_iter().for_each(|last| *last = "foh.local 2".into()));
            change("another leg", &|path| {
                path.iter_mut().for_each(|at| *at = at.replace("split.direct", "split.iso-a"));
            });
        }
    }
    all
}

fn plugs_of(plan: &mut Plan, list: Option<usize>) -> &mut Vec<Plug> {
    match list {
        None => &mut plan.plugs,
        Some(act) => &mut plan.acts[act].plugs,
    }
}

/// Every signal left out, doubled, renamed, and each of its ends changed in one way.
pub fn claims(plan: &Plan) -> Moved {
    let mut all = Vec::new();
    for number in 0..plan.signals.len() {
        let mut change = |what: &str, edit: &dyn Fn(&mut Signal)| {
            let mut changed = plan.clone();
            edit(&mut changed.signals[number]);
            all.push((format!("{}: {what}", plan.signals[number].source), changed));
        };
        change("another source", &|signal| signal.source = "somebody".into());
        for end in 0..plan.signals[number].ends.len() {
            change("asked", &|signal| signal.ends[end].asked = !signal.ends[end].asked);
            change("one end less", &|signal| drop(signal.ends.remove(end)));
            change("one end twice", &|signal| signal.ends.push(signal.ends[end].clone()));
            change("another end", &|signal| signal.ends[end].end = "foh.channel 40".into());
            change("no such end", &|signal| signal.ends[end].end = "foh.mix 1".into());
            change("a shorter path", &|signal| drop(signal.ends[end].path.remove(0)));
            change("a longer path", &|signal| signal.ends[end].path.push("foh.channel 1".into()));
            change("another path", &|signal| signal.ends[end].path[0].push('1'));
        }
        let mut doubled = plan.clone();
        doubled.signals.push(plan.signals[number].clone());
        all.push(("doubled".into(), doubled));
    }
    if plan.signals.len() > 1 {
        let mut disordered = plan.clone();
        disordered.signals.reverse();
        all.push(("in another order".into(), disordered));
    }
    all
}

/// Where an object stands that has fixed keys.
pub fn objects(value: &Value) -> Vec<String> {
    let mut found = vec![];
    visit(value, String::new(), &mut |pointer, value| {
        if value.is_object() && pointer != "/models" {
            found.push(pointer.to_owned());
        }
    });
    found
}

/// Where a text, number or flag stands.
pub fn leaves(value: &Value) -> Vec<String> {
    let mut found = vec![];
    visit(value, String::new(), &mut |pointer, value| {
        if !value.is_object() && !value.is_array() {
            found.push(pointer.to_owned());
        }
    });
    found
}

fn visit(value: &Value, pointer: String, tell: &mut dyn FnMut(&str, &Value)) {
    tell(&pointer, value);
    match value {
        Value::Object(map) => map.iter().for_each(|(key, value)| visit(value, format!("{pointer}/{key}"), tell)),
        Value::Array(list) => {
            list.iter().enumerate().for_each(|(n, value)| visit(value, format!("{pointer}/{n}"), tell))
        }
        _ => {}
    }
}

pub fn nonsense(value: &Value) -> Vec<Value> {
    match value {
        Value::Number(_) => vec![json!(0), json!(1), json!(7), json!(u32::MAX), json!(-1)],
        Value::Bool(flag) => vec![json!(!flag)],
        _ => [
            "",
            " ",
            ".",
            "foh",
            "foh.",
            "foh.portA 1-4294967295",
            "foh.portA 4294967295",
            "portA",
            "in 1-8",
            "\u{202e}é.ß 1",
        ]
        .into_iter()
        .map(Value::from)
        .collect(),
    }
}
