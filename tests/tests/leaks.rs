//! Who hears what he must not: on small random rigs the compiler's leaks are those of a walk written here, which
//! knows a plan's JSON and the rows as drawn and nothing of the compiler's checks. `FANTAIL_RIGS` says how many
//! rigs, `FANTAIL_SEED` the first seed.
#![allow(clippy::unwrap_used, clippy::panic)]

use fantail::project::InMemory;
use fantail_tests::dice::Dice;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The rule, the line of the row, and the source.
type Leaks = BTreeSet<(&'static str, usize, String)>;

const RULES: &[&str] = &["ears-only-leaks", "kept-source-leaks", "talkback-heard", "data-in-a-mix"];
const USES: &[&str] = &[
    "pa",
    "sub",
    "fill",
    "delay",
    "wedge",
    "side-fill",
    "in-ears",
    "broadcast",
    "press",
    "relay",
    "hearing-loop",
    "record",
    "effects",
    "comms",
    "",
];
const PUBLIC: &[&str] = &["pa", "sub", "fill", "delay", "broadcast", "press", "relay", "hearing-loop", "record"];

const HEARD: &[&str] = &["pa", "sub", "fill", "delay", "wedge", "side-fill", "in-ears"];

#[derive(Clone, Copy, PartialEq)]
enum Sort {
    Plain,
    EarsOnly,
    Data,
    Talkback,
}

/// What an output row says of its mix.
#[derive(PartialEq)]
enum Of {
    Nothing,
    AllBut(Vec<String>),
    These(Vec<String>),
}

struct Output {
    line: usize,
    desk: &'static str,
    bank: &'static str,
    numbers: Vec<u32>,
    to: Vec<String>,
    used_as: &'static str,
    of: Of,
}

#[derive(Default)]
struct Rig {
    text: String,
    lines: usize,
    sorts: BTreeMap<String, Sort>,
    channels: BTreeMap<&'static str, BTreeMap<u32, String>>,
    outputs: Vec<Output>,
    kept: BTreeSet<(String, &'static str)>,
    feeds: Vec<(usize, String)>,
}

impl Rig {
    fn line(&mut self, text: &str) -> usize {
        self.text.push_str(text);
        self.text.push('\n');
        self.lines += 1;
        self.lines
    }
}

fn draw(seed: u64) -> Rig {
    let mut dice = Dice(seed);
    let mut rig = Rig::default();
    let (two_desks, two_boxes) = (dice.below(5) < 2, dice.one_in(2));
    rig.line("desk foh is desk-48");
    rig.line("box stage is box-16x8 on foh.portA offset 1");
    if two_boxes {
        rig.line("box far is box-16x8 on stage.thru offset 9");
    }
    if two_desks {
        rig.line("desk monitors is desk-48");
        rig.line("link foh.portB to monitors.portA");
    }
    inputs(&mut rig, &mut dice, two_boxes);
    if two_desks {
        second_list(&mut rig, &mut dice);
    }
    let mut sockets = Vec::new();
    for number in 1..=8 {
        sockets.push(format!("foh.out {}", number + 2));
        sockets.push(format!("stage.out {number}"));
        sockets.extend(two_boxes.then(|| format!("far.out {number}")));
    }
    outputs(&mut rig, &mut dice, "foh", &mut sockets);
    if two_desks {
        let mut sockets = (3..=12).map(|number| format!("monitors.out {number}")).collect();
        outputs(&mut rig, &mut dice, "monitors", &mut sockets);
    }
    keeps(&mut rig, &mut dice);
    if dice.one_in(3) {
        let source = dice.pick(&rig.channels["foh"].values().cloned().collect::<Vec<_>>());
        let line = rig.line(&format!("personal foh {{ 3 {source} }}"));
        rig.feeds.push((line, source));
    }
    rig
}

/// Some of them, in order.
fn some(dice: &mut Dice, of: &[String]) -> Vec<String> {
    of.iter().filter(|_| dice.one_in(2)).cloned().collect()
}

fn inputs(rig: &mut Rig, dice: &mut Dice, two_boxes: bool) {
    rig.line("inputs foh {");
    for (index, name) in ["one", "two", "three", "four", "five", "six"].into_iter().enumerate() {
        let number = u32::try_from(index).unwrap() + 1;
        let (sort, words) = match dice.below(8) {
            0 | 1 => (Sort::EarsOnly, "playback FROM pad ears-only"),
            2 => (Sort::Data, "timecode FROM pad"),
            3 => (Sort::Data, "line FROM pad data"),
            4 => (Sort::Talkback, "talkback FROM"),
            _ => (Sort::Plain, "dynamic FROM"),
        };
        let from = match dice.below(3) {
            0 => format!("from foh.local {number}"),
            1 if two_boxes => format!("from far {number}"),
            _ => format!("from stage {number}"),
        };
        let channel = number * 2 + dice.below(2);
        rig.line(&format!("  {channel} {name} {}", words.replace("FROM", &from)));
        rig.sorts.insert(name.to_string(), sort);
        rig.channels.entry("foh").or_default().insert(channel, name.to_string());
    }
    rig.line("}");
}

fn second_list(rig: &mut Rig, dice: &mut Dice) {
    rig.line("inputs monitors {");
    rig.line("  40 seven dynamic from monitors.local 1");
    rig.sorts.insert("seven".to_string(), Sort::Plain);
    rig.channels.entry("monitors").or_default().insert(40, "seven".to_string());
    for (channel, name) in rig.channels["foh"].clone() {
        if dice.below(3) > 0 {
            rig.line(&format!("  {channel} {name}"));
            rig.channels.entry("monitors").or_default().insert(channel, name);
        }
    }
    rig.line("}");
}

fn outputs(rig: &mut Rig, dice: &mut Dice, desk: &'static str, sockets: &mut Vec<String>) {
    let heard: Vec<String> = rig.channels[desk].values().cloned().collect();
    rig.line(&format!("outputs {desk} {{"));
    if dice.below(3) > 0 {
        let to = vec![format!("{desk}.out 1"), format!("{desk}.out 2")];
        let used_as = dice.pick(&["pa", "pa", "fill", "record", "broadcast", ""]);
        output(
            rig,
            dice,
            Output { line: 0, desk, bank: "main", numbers: vec![1, 2], to, used_as, of: Of::Nothing },
            &heard,
        );
    }
    for number in 1..=1 + dice.below(4) {
        let mut to = vec![sockets.remove(dice.below(u32::try_from(sockets.len()).unwrap()) as usize)];
        if dice.one_in(4) {
            to.push(sockets.remove(dice.below(u32::try_from(sockets.len()).unwrap()) as usize));
        }
        let used_as = dice.pick(USES);
        let (bank, number) = match dice.below(6) {
            0 => ("channel", dice.pick(&rig.channels[desk].keys().copied().collect::<Vec<_>>())),
            _ => ("mix", number),
        };
        let twice = rig.outputs.iter().any(|o| o.desk == desk && o.bank == bank && o.numbers == [number]);
        if !twice {
            let row = Output { line: 0, desk, bank, numbers: vec![number], to, used_as, of: Of::Nothing };
            output(rig, dice, row, &heard);
        }
    }
    rig.line("}");
}

fn output(rig: &mut Rig, dice: &mut Dice, mut row: Output, heard: &[String]) {
    if row.bank != "channel" {
        row.of = match dice.below(4) {
            0 => Of::Nothing,
            1 => Of::AllBut(some(dice, heard)),
            2 => Of::AllBut(Vec::new()),
            _ => Of::These(some(dice, heard)),
        };
    }
    let of = match &row.of {
        Of::These(names) if !names.is_empty() => format!("of {}", names.join(", ")),
        Of::AllBut(names) if !names.is_empty() => format!("of all inputs but {}", names.join(", ")),
        Of::AllBut(_) => "of all inputs".to_string(),
        _ => String::new(),
    };
    if of.is_empty() {
        row.of = Of::Nothing;
    }
    let (numbers, to) = match row.bank {
        "main" => ("1-2".to_string(), format!("{}.out 1-2", row.desk)),
        _ => (row.numbers[0].to_string(), row.to.join(" and ")),
    };
    row.line = rig.line(&format!("  {} {numbers} to {to} {} {of}", row.bank, row.used_as));
    rig.outputs.push(row);
}

fn keeps(rig: &mut Rig, dice: &mut Dice) {
    let names: Vec<String> = rig.sorts.keys().cloned().collect();
    for _ in 0..dice.below(3) {
        let (name, word) =
            (dice.pick(&names), dice.pick(&["pa", "pa", "wedge", "broadcast", "in-ears", "record", "sub"]));
        rig.line(&format!("keep {name} out of {word}"));
        let uses: &[&'static str] = if word == "pa" { &["pa", "sub", "fill", "delay"] } else { &[word] };
        rig.kept.extend(uses.iter().map(|used_as| (name.clone(), *used_as)));
    }
}

/// Which sources a point carries, told from a plan's JSON alone.
struct Walk<'a> {
    plan: &'a Value,
    devices: BTreeMap<&'a str, &'a Value>,
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_default()
}

fn list<'a>(value: &'a Value, key: &str) -> impl Iterator<Item = &'a Value> {
    value[key].as_array().into_iter().flatten()
}

/// `foh.portA 3` apart.
fn split(point: &str) -> (&str, &str, u64) {
    let (bank, number) = point.rsplit_once(' ').unwrap();
    let (device, bank) = bank.split_once('.').unwrap();
    (device, bank, number.split('-').next().unwrap().parse().unwrap())
}

impl<'a> Walk<'a> {
    fn new(plan: &'a Value) -> Self {
        let wiring = |device: &'a Value| (text(device, "name"), &plan["models"][text(device, "model")]["wiring"]);
        Walk { plan, devices: list(plan, "devices").map(wiring).collect() }
    }

    fn is_port(&self, device: &str, name: &str) -> bool {
        list(self.devices[device], "ports").any(|port| text(port, "port") == name)
    }

    fn setting(&self, device: &str, set: &str, bank: &str, number: u64) -> Option<&'a Value> {
        list(self.plan, "settings").find(|setting| {
            let within = setting["first"].as_u64().is_none_or(|first| first <= number)
                && setting["last"].as_u64().is_none_or(|last| number <= last);
            text(setting, "device") == device && text(setting, "set") == set && text(setting, "bank") == bank && within
        })
    }

    fn routed(&self, device: &str, bank: &str, number: u64) -> Option<BTreeSet<String>> {
        let setting = self.setting(device, "route", bank, number)?;
        let (of, from, first) = split(text(setting, "from"));
        let number = first + number - setting["first"].as_u64().unwrap();
        Some(if self.is_port(of, from) { self.arrives(of, from, number) } else { self.at(of, from, number) })
    }

    /// What a bank's point carries.
    fn at(&self, device: &str, bank: &str, number: u64) -> BTreeSet<String> {
        let here = format!("{device}.{bank} {number}");
        let mut carried: BTreeSet<String> = list(self.plan, "plugs")
            .filter(|plug| text(plug, "at") == here)
            .map(|plug| text(plug, "source").to_string())
            .collect();
        for mix in list(self.plan, "mixes").filter(|mix| text(mix, "mix") == here) {
            let of: BTreeSet<&str> = list(mix, "of").filter_map(Value::as_str).collect();
            carried.extend(self.channels(device).into_iter().filter(|source| of.contains(source.as_str())));
        }
        for takes in list(self.devices[device], "takes").filter(|takes| text(takes, "bank") == bank) {
            let offset = self.setting(device, "offset", bank, number).and_then(|setting| setting["value"].as_u64());
            let first = takes["at"].as_u64().or(offset);
            carried.extend(first.into_iter().flat_map(|f| self.arrives(device, text(takes, "port"), f + number - 1)));
        }
        carried.extend(self.routed(device, bank, number).into_iter().flatten());
        carried
    }

    /// All that a desk can mix.
    fn channels(&self, device: &str) -> BTreeSet<String> {
        let routes = list(self.plan, "settings")
            .filter(|s| text(s, "device") == device && text(s, "set") == "route" && text(s, "bank") == "channel");
        let numbers = routes.flat_map(|s| s["first"].as_u64().unwrap()..=s["last"].as_u64().unwrap());
        numbers.flat_map(|number| self.at(device, "channel", number)).collect()
    }

    fn arrives(&self, device: &str, port: &str, slot: u64) -> BTreeSet<String> {
        let here = format!("{device}.{port}");
        let main = list(self.plan, "cables").filter(|cable| text(cable, "use") == "main");
        let far = main.filter_map(|cable| match (text(cable, "from"), text(cable, "to")) {
            (from, to) if from == here => Some(to),
            (from, to) if to == here => Some(from),
            _ => None,
        });
        let far = far.filter_map(|far| far.split_once('.'));
        far.flat_map(|(device, port)| self.leaves(device, port, slot)).collect()
    }

    fn leaves(&self, device: &str, port: &str, slot: u64) -> BTreeSet<String> {
        let wiring = self.devices[device];
        let mut slot = slot;
        for carries in list(wiring, "carries").filter(|carries| text(carries, "port") == port) {
            assert_eq!(text(carries, "at"), "stacked");
            let bank = list(wiring, "banks").find(|bank| bank["bank"] == carries["bank"]).unwrap();
            let size = bank["size"].as_u64().unwrap();
            if slot <= size {
                return self.at(device, text(carries, "bank"), slot);
            }
            slot -= size;
        }
        if let Some(routed) = self.routed(device, port, slot) {
            return routed;
        }
        let passed = list(wiring, "passes").filter(|passes| text(passes, "to") == port);
        passed.flat_map(|passes| self.arrives(device, text(passes, "from"), slot)).collect()
    }
}

/// What the walk finds to leak.
fn walked(rig: &Rig, plan: &Value) -> Leaks {
    let walk = Walk::new(plan);
    let sort = |name: &String| rig.sorts[name];
    let mut leaks = Leaks::new();
    for row in &rig.outputs {
        let sockets =
            row.to.iter().map(|to| split(to)).flat_map(|(device, bank, number)| walk.at(device, bank, number));
        for name in sockets {
            let kept = rig.kept.contains(&(name.clone(), row.used_as));
            let past_ears = sort(&name) == Sort::EarsOnly && !["in-ears", "record"].contains(&row.used_as);
            if past_ears {
                leaks.insert(("ears-only-leaks", row.line, name.clone()));
            }
            // One leak is told once.
            if kept && !past_ears {
                leaks.insert(("kept-source-leaks", row.line, name.clone()));
            }
            if row.bank == "channel" && sort(&name) == Sort::Data && HEARD.contains(&row.used_as) {
                leaks.insert(("data-in-a-mix", row.line, name.clone()));
            }
            if sort(&name) == Sort::Talkback && PUBLIC.contains(&row.used_as) && !kept {
                leaks.insert(("talkback-heard", row.line, name.clone()));
            }
        }
        if row.bank != "channel" {
            let inside = row.numbers.iter().flat_map(|number| walk.at(row.desk, row.bank, u64::from(*number)));
            let data = inside.filter(|name| sort(name) == Sort::Data);
            leaks.extend(data.map(|name| ("data-in-a-mix", row.line, name)));
        }
    }
    for (line, name) in &rig.feeds {
        let arrives = walk.at("foh", "personal", 3).contains(name);
        if arrives && sort(name) == Sort::Data {
            leaks.insert(("data-in-a-mix", *line, name.clone()));
        }
    }
    leaks
}

/// What the plan says that each mix carries is what the rows say: told from the rows as drawn.
fn contents(rig: &Rig, plan: &Value) -> Option<String> {
    for row in rig.outputs.iter().filter(|row| row.bank != "channel") {
        let heard: BTreeSet<&String> = rig.channels[row.desk].values().collect();
        let wanted: Option<BTreeSet<&String>> = match &row.of {
            Of::These(names) => Some(names.iter().collect()),
            Of::AllBut(names) => Some(heard.into_iter().filter(|name| !names.contains(name)).collect()),
            Of::Nothing if row.bank == "main" => {
                let kept = |name: &String| rig.kept.contains(&(name.clone(), row.used_as));
                Some(heard.into_iter().filter(|name| rig.sorts[*name] == Sort::Plain && !kept(name)).collect())
            }
            Of::Nothing => None,
        };
        for number in &row.numbers {
            let name = format!("{}.{} {number}", row.desk, row.bank);
            let said = list(plan, "mixes").find(|mix| text(mix, "mix") == name);
            let said = said.map(|mix| list(mix, "of").map(|of| of.as_str().unwrap().to_string()).collect());
            let wanted: Option<BTreeSet<String>> =
                wanted.as_ref().map(|of| of.iter().map(|name| (*name).clone()).collect());
            if wanted != said {
                return Some(format!("`{name}` carries {said:?}, and the rows say {wanted:?}"));
            }
        }
    }
    None
}

/// What the compiler says.
fn told(analysis: &fantail::Analysis, rig: &Rig) -> Result<Leaks, String> {
    let mut leaks = Leaks::new();
    for diagnostic in analysis.found.iter().filter(|diagnostic| diagnostic.is_error()) {
        let Some(rule) = RULES.iter().find(|rule| **rule == diagnostic.rule) else {
            return Err(format!("{}: {}", diagnostic.rule, diagnostic.message));
        };
        let line = 1 + rig.text[..diagnostic.span.start as usize].matches('\n').count();
        let names: Vec<String> = match *rule {
            "data-in-a-mix" => match diagnostic.message.split_once(" carries ") {
                Some((_, after)) => after.split('`').skip(1).step_by(2).map(str::to_string).collect(),
                None => diagnostic.about.clone(),
            },
            _ => diagnostic.about.clone(),
        };
        leaks.extend(names.into_iter().map(|name| (*rule, line, name)));
    }
    Ok(leaks)
}

fn judged(rig: &Rig) -> Result<Leaks, String> {
    let files = InMemory::default().with("/leaks.fantail", rig.text.clone());
    let analysis = fantail::analyse(Path::new("/leaks.fantail"), &files);
    let plan: Value = serde_json::from_str(&fantail::plan::json(&analysis.plan, &[])).unwrap();
    let (told, walked) = (told(&analysis, rig)?, walked(rig, &plan));
    if let Some(wrong) = contents(rig, &plan) {
        return Err(wrong);
    }
    if told != walked {
        let (more, less): (Vec<_>, Vec<_>) = (told.difference(&walked).collect(), walked.difference(&told).collect());
        return Err(format!("only the compiler tells {more:?}\nonly the walk finds {less:?}"));
    }
    Ok(walked)
}

#[test]
fn leaks_are_those_of_a_walk_over_the_plan() {
    let number = |name, usual| std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual);
    let (rigs, start): (u64, u64) = (number("FANTAIL_RIGS", 120), number("FANTAIL_SEED", 1));
    let mut found: BTreeMap<&str, u64> = BTreeMap::new();
    let (mut tight, mut wrong) = (0, Vec::new());
    for seed in start..start + rigs {
        let rig = draw(seed);
        match judged(&rig) {
            Ok(leaks) if leaks.is_empty() => tight += 1,
            Ok(leaks) => leaks.iter().for_each(|(rule, ..)| *found.entry(rule).or_default() += 1),
            Err(why) => wrong.push(format!("seed {seed}: {why}\n{}", rig.text)),
        }
        if wrong.len() > 2 {
            break;
        }
    }
    println!("{rigs} rigs, {tight} of them without a leak; leaks: {found:?}");
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
    if rigs >= 120 {
        assert!(tight > 0, "no rig is without a leak");
        assert!(RULES.iter().all(|rule| found.get(rule).is_some_and(|times| *times > 8)), "{found:?}");
    }
}
