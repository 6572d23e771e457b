//! Random rigs: invented models, chained boxes, linked desks, settings thrown at random among those
//! that the models allow. Most do nothing sensible; all must be heard alike by both evaluators.

use fantail::plan::*;
use fantail::verify::Arrival;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// A small generator, the same on every machine (splitmix64).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: u32) -> u32 {
        (self.next() % u64::from(n.max(1))) as u32
    }

    fn one_in(&mut self, n: u32) -> bool {
        self.below(n) == 0
    }

    fn pick<T: Clone>(&mut self, from: &[T]) -> T {
        from[self.below(from.len() as u32) as usize].clone()
    }
}

#[derive(Debug, Default)]
pub struct Coverage {
    pub rigs: usize,
    pub refused: usize,
    pub ends: usize,
    pub longest: usize,
    pub settings: BTreeMap<String, usize>,
}

impl Coverage {
    pub fn count(&mut self, plan: &Plan, arrivals: &[Arrival]) {
        self.rigs += 1;
        self.ends += arrivals.len();
        self.longest = arrivals.iter().map(|arrival| arrival.path.len()).max().unwrap_or(0).max(self.longest);
        for setting in &plan.settings {
            *self.settings.entry(setting.set.clone()).or_default() += 1;
        }
    }
}

/// Writes what arrives into the plan's signals; every other end is wanted.
pub fn claim(plan: &mut Plan, arrivals: &[Arrival], seed: u64) -> Vec<Wanted> {
    let mut dice = Dice(seed ^ 0xABCD);
    let mut wants = Vec::new();
    for Arrival { end, source, path } in arrivals {
        let asked = dice.one_in(2);
        if asked {
            wants.push(Wanted { act: None, what: source.clone(), at: end.clone(), via: None, arrives: true });
        }
        let end = End { end: end.clone(), asked, path: path.clone(), used_as: None };
        match plan.signals.iter_mut().find(|signal| signal.source == *source) {
            Some(signal) => signal.ends.push(end),
            None => plan.signals.push(Signal {
                source: source.clone(),
                label: String::new(),
                kind: String::new(),
                ends: vec![end],
            }),
        }
    }
    let order = |plan: &Plan, signal: &Signal| {
        let (device, rest) =
            signal.ends[0].path[0].rsplit_once('.').map(|(d, r)| (d.to_owned(), r.to_owned())).unwrap();
        let (bank, n) = rest.split_once(' ').map(|(b, n)| (b.to_owned(), n.parse::<u32>().unwrap())).unwrap();
        let model = &plan.devices.iter().find(|d| d.name == device).unwrap().model;
        let bank = plan.models[model].wiring.banks.iter().position(|b| b.bank == bank);
        (device, bank, n)
    };
    let mut signals = std::mem::take(&mut plan.signals);
    signals.sort_by_key(|signal| order(plan, signal));
    plan.signals = signals;
    plan.power = super::sketch::power(plan);
    wants
}

pub fn plan(seed: u64) -> Plan {
    let mut dice = Dice(seed);
    let rate_hz = dice.pick(&[48_000, 48_000, 48_000, 44_100, 96_000]);
    let mut plan = Plan { fantail: 1, rate_hz, ..Plan::default() };
    for n in 0..3 {
        plan.models.insert(format!("box{n}"), model(box_model(&mut dice)));
    }
    for n in 0..2 {
        plan.models.insert(format!("desk{n}"), model(desk_model(&mut dice)));
    }
    plan.models.insert("snake".into(), model(snake_model(&mut dice)));
    devices(&mut plan, &mut dice);
    runs(&mut plan, &mut dice);
    plugs(&mut plan, &mut dice);
    for device in plan.devices.clone() {
        let wiring = plan.models[&device.model].wiring.clone();
        settings(&mut plan, &device.name, &wiring, &mut dice);
    }
    plan
}

fn model(wiring: Value) -> Model {
    serde_json::from_value(json!({ "wiring": wiring })).unwrap()
}

fn bank(name: &str, size: u32, role: &str, end: bool) -> Value {
    json!({"bank": name, "size": size, "role": role, "end": end, "signal": "line", "phantom": 0})
}

fn port(name: &str, faces: &str, dice: &mut Dice) -> Value {
    let slots = dice.pick(&[8u32, 16, 24, 24, 32]);
    let back = dice.pick(&[slots, slots, slots / 2]);
    let slots =
        json!([{"rate_hz": 96_000, "in": slots / 2, "out": slots / 2}, {"rate_hz": 48_000, "in": slots, "out": back}]);
    json!({"port": name, "carrier": "c", "faces": faces, "slots": slots})
}

fn box_model(dice: &mut Dice) -> Value {
    let (ins, outs) = (dice.pick(&[3u32, 4, 6, 8]), dice.pick(&[2u32, 4, 6]));
    let ride = |dice: &mut Dice| dice.pick(&[json!("stacked"), json!("stacked"), json!("setting"), json!(1), json!(5)]);
    let mut carries = vec![json!({"port": "up", "bank": "in", "at": ride(dice), "choices": [1, 4, 9, 13]})];
    if dice.one_in(3) {
        carries.push(json!({"port": "up", "bank": "line", "at": ride(dice), "choices": [2, 7, 17]}));
    }
    let two = dice.one_in(3);
    let mut ports = vec![port("up", "desk", dice), port("thru", "next", dice)];
    let mut passes = vec![json!({"from": "thru", "to": "up"}), json!({"from": "up", "to": "thru"})];
    let driven = if dice.one_in(2) { json!("first") } else { Value::Null };
    let mut takes =
        vec![json!({"bank": "out", "port": "up", "at": "setting", "choices": [1, 3, 9, 17], "driven_by": driven})];
    if two {
        ports.push(port("up2", "desk", dice));
        carries.push(json!({"port": "up2", "bank": "in", "at": ride(dice), "choices": [1, 4, 9, 13]}));
        takes.push(
            json!({"bank": "out", "port": "up2", "at": dice.pick(&[json!(1), json!("setting")]), "driven_by": "first"}),
        );
        if dice.one_in(2) {
            passes.push(json!({"from": "thru", "to": "up2"}));
        }
    }
    takes.push(json!({"bank": "extra", "port": dice.pick(&["up", "thru"]), "at": dice.pick(&[json!(2), json!("setting")]), "mode": "outputs"}));
    json!({
        "banks": [bank("in", ins, "in", false), bank("line", 2, "in", true), bank("out", outs, "out", true), bank("extra", 4, "out", true)],
        "ports": ports, "carries": carries, "passes": passes, "takes": takes,
        "copies": [{"bank": "extra", "of": dice.pick(&["in", "out"]), "first": 1 + dice.below(3), "mode": "copy"}],
        "routes": [], "blocks": [], "reserved": []
    })
}

fn desk_model(dice: &mut Dice) -> Value {
    let block = dice.pick(&[1u32, 2, 4, 4, 6, 8]);
    let (channels, outs) = (dice.pick(&[12u32, 16, 21]), dice.pick(&[6u32, 8, 10]));
    let mut routes = vec![
        json!({"bank": "pick", "from": ["local", "portA", "portB"]}),
        json!({"bank": "channel", "from": ["local", "portA", "portB", "pick", "odd"], "block": block}),
        json!({"bank": "out", "from": ["mix", "channel", "local"], "block": dice.pick(&[1, 2])}),
        json!({"bank": "portB", "from": ["out", "local", "portA", "odd"], "block": block}),
        json!({"bank": "portA", "first": 1, "last": 16, "from": ["out", "local", "portB", "odd"], "block": block}),
    ];
    let mut carries = vec![];
    match dice.below(3) {
        0 => routes.push(
            json!({"bank": "portA", "first": 17, "last": 20, "from": ["feed"], "fixed": true, "rate_hz": 48_000}),
        ),
        1 => carries.push(json!({"port": "portA", "bank": "feed", "at": "setting"})),
        _ => {}
    }
    json!({
        "banks": [bank("local", 8, "in", false), bank("pick", 8, "inner", false), bank("channel", channels, "inner", true),
            bank("mix", 6, "origin", false), bank("out", outs, "out", true), bank("feed", 4, "inner", true)],
        "ports": [port("portA", "any", dice), port("portB", "any", dice), port("portC", "any", dice)],
        "carries": carries, "passes": [{"from": "portB", "to": "portC"}], "takes": [],
        "copies": [{"bank": "feed", "of": "channel", "first": 1 + dice.below(9)}],
        "routes": routes,
        "blocks": [{"block": "odd", "points": ["mix 5-6", "out 2-3", "local 8", "portA 2-3"]}],
        "reserved": []
    })
}

fn snake_model(dice: &mut Dice) -> Value {
    let first = 1 + dice.below(2);
    json!({
        "banks": [bank("in", 6, "in", false), bank("tail", 6, "out", true)], "ports": [], "carries": [], "passes": [],
        "takes": [], "copies": [{"bank": "tail", "of": "in", "first": first}], "routes": [], "blocks": [], "reserved": []
    })
}

fn devices(plan: &mut Plan, dice: &mut Dice) {
    let mut add = |name: String, model: String, role: &str, out_of_use| {
        plan.devices.push(Device { name, model, role: role.into(), out_of_use, ..Device::default() });
    };
    let (desks, boxes, snakes) = (1 + dice.below(2), 1 + dice.below(6), dice.below(3));
    // A free way on, to which the next box's way up is plugged.
    let mut free = Vec::new();
    for n in 0..desks {
        add(format!("a-desk{n}"), format!("desk{}", dice.below(2)), "desk", vec![]);
        free.extend(["portA", "portB", "portC"].map(|port| format!("a-desk{n}.{port}")));
    }
    let mut links = Vec::new();
    if desks == 2 && dice.one_in(2) {
        links.push((free.remove(dice.below(3) as usize), free.pop().unwrap()));
    }
    for n in 0..boxes {
        let (name, model) = (format!("b-box{}", (n * 7 + 3) % 10), format!("box{}", dice.below(3)));
        add(name.clone(), model, "box", if dice.one_in(4) { vec![1 + dice.below(4)] } else { vec![] });
        if free.is_empty() {
            continue;
        }
        links.push((free.swap_remove(dice.below(free.len() as u32) as usize), format!("{name}.up")));
        free.push(format!("{name}.thru"));
        if n % 2 == 1 {
            free.push(format!("{name}.up2"));
        }
    }
    for n in 0..snakes {
        add(format!("c-snake{n}"), "snake".into(), "snake", if dice.one_in(3) { vec![2] } else { vec![] });
    }
    plan.devices.sort_by(|a, b| a.name.cmp(&b.name));
    for (from, to) in links {
        let known = |end: &str| {
            let (device, port) = end.split_once('.').unwrap();
            let model = &plan.devices.iter().find(|d| d.name == device).unwrap().model;
            plan.models[model].wiring.ports.iter().any(|p| p.port == port)
        };
        if known(&from) && known(&to) {
            let (from, to) = if dice.one_in(3) { (to, from) } else { (from, to) };
            plan.cables.push(Cable {
                from,
                to,
                carrier: "c".into(),
                length_m: None,
                used_as: "main".into(),
                ..Cable::default()
            });
        }
    }
}

/// Every socket where something may be plugged, as device, bank, number.
fn sockets(plan: &Plan) -> Vec<(String, String, u32)> {
    let mut all = Vec::new();
    for device in &plan.devices {
        for bank in plan.models[&device.model].wiring.banks.iter().filter(|bank| bank.role == Role::In) {
            let free = (1..=bank.size).filter(|n| !device.out_of_use.contains(n));
            all.extend(free.map(|n| (device.name.clone(), bank.bank.clone(), n)));
        }
    }
    all
}

fn runs(plan: &mut Plan, dice: &mut Dice) {
    let snakes: Vec<String> = plan.devices.iter().filter(|d| d.role == "snake").map(|d| d.name.clone()).collect();
    let boxes: Vec<String> = plan.devices.iter().filter(|d| d.role == "box").map(|d| d.name.clone()).collect();
    for (snake, target) in snakes.iter().zip(&boxes) {
        let lines = 1 + dice.below(2);
        let (from, to) = (format!("{snake}.tail 1-{lines}"), format!("{target}.in 2-{}", lines + 1));
        let (from, to) = if lines == 1 { (format!("{snake}.tail 1"), format!("{target}.in 2")) } else { (from, to) };
        plan.cables.push(Cable {
            from,
            to,
            carrier: "analogue".into(),
            length_m: None,
            used_as: "snake".into(),
            ..Cable::default()
        });
    }
}

fn plugs(plan: &mut Plan, dice: &mut Dice) {
    let full = |plan: &Plan, device: &str, bank: &str, n: u32| {
        plan.cables.iter().any(|c| c.to.starts_with(&format!("{device}.{bank} ")) && (2..=3).contains(&n))
    };
    for (number, (device, bank, n)) in sockets(plan).into_iter().enumerate() {
        if !dice.one_in(4) && !full(plan, &device, &bank, n) {
            plan.plugs.push(Plug {
                source: format!("s{number}"),
                at: format!("{device}.{bank} {n}"),
                ..Plug::default()
            });
        }
    }
}

fn settings(plan: &mut Plan, device: &str, wiring: &Wiring, dice: &mut Dice) {
    let blank = |set: &str, bank: &str| Setting {
        device: device.into(),
        set: set.into(),
        bank: bank.into(),
        first: None,
        last: None,
        from: None,
        value: None,
        owner: None,
    };
    let mut modes = BTreeMap::new();
    for (bank, mode) in wiring.takes.iter().filter_map(|t| Some((&t.bank, t.mode.clone()?))) {
        let mode = dice.pick(&[mode, "copy".into()]);
        plan.settings.push(Setting { value: Some(json!(mode)), ..blank("mode", bank) });
        modes.insert(bank, mode);
    }
    let at_setting = |at: &Place| *at == Place::Word("setting".into());
    let live = |takes: &Takes| takes.mode.is_none() || takes.mode.as_ref() == modes.get(&takes.bank);
    let mut done = Vec::new();
    for takes in wiring.takes.iter().filter(|takes| at_setting(&takes.at) && live(takes)) {
        if done.contains(&&takes.bank) || dice.one_in(6) {
            continue;
        }
        let value = if takes.choices.is_empty() { 1 + dice.below(9) } else { dice.pick(&takes.choices) };
        plan.settings.push(Setting { value: Some(json!(value)), ..blank("offset", &takes.bank) });
        done.push(&takes.bank);
    }
    let mut done = Vec::new();
    for carries in wiring.carries.iter().filter(|carries| at_setting(&carries.at)) {
        if !done.contains(&&carries.bank) && !dice.one_in(6) {
            let value = if carries.choices.is_empty() { 9 + dice.below(9) } else { dice.pick(&carries.choices) };
            plan.settings.push(Setting { value: Some(json!(value)), ..blank("slot", &carries.bank) });
            done.push(&carries.bank);
        }
    }
    for route in wiring.routes.iter().filter(|route| !route.fixed) {
        routes(plan, wiring, route, &blank("route", &route.bank), dice);
    }
}

/// How many points something has to give, or to be fed.
fn size(plan: &Plan, wiring: &Wiring, name: &str, inward: bool) -> u32 {
    if let Some(bank) = wiring.banks.iter().find(|bank| bank.bank == name) {
        return bank.size;
    }
    match wiring.ports.iter().find(|port| port.port == name) {
        Some(port) => {
            let fits =
                port.slots.iter().filter(|slots| slots.rate_hz >= plan.rate_hz).min_by_key(|slots| slots.rate_hz);
            fits.map_or(0, |slots| if inward { slots.inward } else { slots.outward })
        }
        None => 7,
    }
}

fn routes(plan: &mut Plan, wiring: &Wiring, route: &Route, blank: &Setting, dice: &mut Dice) {
    let block = route.block.unwrap_or(1);
    let whole = size(plan, wiring, &route.bank, false);
    let end = route.last.unwrap_or(whole).min(whole);
    let mut first = 1;
    while first <= end {
        // The last block of a range may be short, but not shorter than the port is.
        let last = (first + block - 1).min(route.last.unwrap_or(whole));
        let from = dice.pick(&route.from);
        let points = size(plan, wiring, &from, true);
        let start = 1 + block * dice.below(points.div_ceil(block));
        let stop = (start + (last - first)).min(points);
        if last <= whole && start <= stop && !dice.one_in(4) {
            let name = format!("{}.{from}", blank.device);
            let text = match from.as_str() {
                "odd" if start == 1 && block > 1 && points <= block => name,
                _ if start == stop => format!("{name} {start}"),
                _ => format!("{name} {start}-{stop}"),
            };
            let setting = Setting { first: Some(first), last: Some(last), from: Some(text), ..blank.clone() };
            plan.settings.push(setting);
        }
        first += block;
    }
}
