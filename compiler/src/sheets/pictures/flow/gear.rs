//! A device as a box of rows: what it is, what leaves it, and a row for each end of a cable. A row has its cable's
//! number, which stands at the other end too.

use super::super::super::known::Known;
use super::super::paper::{Anchor, Drawing, KEY, LINE, PLAIN, pill_width};
use super::super::ports_and_banks;
use crate::plan::{Cable, Device, Plan, Points, Usage, cable_kind, length, point, port_or_bank, ranges, slots_at};
use rustc_hash::FxHashMap;
use std::collections::{BTreeMap, BTreeSet};

/// In the order of the plan, counted from 1.
pub(super) type Numbers<'p> = FxHashMap<(&'p str, &'p str), usize>;

/// What of the plan is asked again and again.
pub(super) struct Rig<'k, 'p> {
    pub known: &'k Known<'p>,
    numbers: Numbers<'p>,
    usage: Usage,
    plugged: FxHashMap<&'p str, BTreeSet<&'p str>>,
    /// By device: bank and use, and which sockets.
    leaving: FxHashMap<&'p str, BTreeMap<(&'p str, &'p str), BTreeSet<u32>>>,
}

pub(super) struct Gear {
    pub name: String,
    pub role: String,
    head: String,
    about: Vec<String>,
    pub ends: Vec<End>,
}

/// One end of a cable.
#[derive(Clone)]
pub(super) struct End {
    pub cable: usize,
    /// The device at the other end.
    pub to: String,
    /// The cable's own words stand at its first end.
    pub first: bool,
    pub digital: bool,
    /// It carries what the main one carries, or is unplugged.
    pub quiet: bool,
    lines: Vec<String>,
    pub points: Vec<String>,
}

impl<'k, 'p> Rig<'k, 'p> {
    pub fn of(known: &'k Known<'p>) -> Self {
        let cables = (1..).zip(&known.view.cables);
        let mut rig = Rig {
            known,
            numbers: cables.map(|(n, cable)| ((cable.from.as_str(), cable.to.as_str()), n)).collect(),
            usage: Usage::along(known.view.signals.iter().copied(), &|at| known.far_end(at)),
            plugged: FxHashMap::default(),
            leaving: FxHashMap::default(),
        };
        for plug in &known.view.plugs {
            if let Some(at) = Points::read(&plug.at) {
                rig.plugged.entry(at.device).or_default().insert(&plug.at);
            }
        }
        for output in &known.view.outputs {
            if let Some(to) = Points::read(&output.to) {
                let used_as = output.used_as.as_deref().unwrap_or("in use");
                rig.leaving.entry(to.device).or_default().entry((to.bank, used_as)).or_default().insert(to.first);
            }
        }
        rig
    }

    pub fn gear(&self, device: &Device) -> Gear {
        let known = self.known;
        let model = known.model(&device.name).and_then(|model| model.label.clone());
        let plugged = self.plugged.get(device.name.as_str()).map(|all| match all.len() {
            1 => "1 source plugged in".to_string(),
            many => format!("{many} sources plugged in"),
        });
        let act = device.name.rsplit_once('.').map(|(act, _)| format!("brought by {act}"));
        let mut leaving: Vec<_> = self.leaving.get(device.name.as_str()).into_iter().flatten().collect();
        leaving.sort_by_key(|((bank, _), sockets)| (*bank, sockets.first().copied()));
        let leaving =
            leaving.into_iter().map(|((bank, used_as), sockets)| format!("{bank} {}: {used_as}", ranges(sockets)));
        let about = [model, act, plugged].into_iter().flatten().chain(leaving).collect();
        let head = format!("{} {}", known.numbered(&device.name), known.called(&device.name));
        let (name, role) = (device.name.clone(), device.role.clone());
        Gear { name, role, head, about, ends: self.ends(&device.name) }
    }

    fn ends(&self, device: &str) -> Vec<End> {
        let mut out: Vec<End> = Vec::new();
        for at in ports_and_banks(self.known, device) {
            for cable in self.known.cables_at(device, at).iter().copied() {
                let Some(number) = self.numbers.get(&(cable.from.as_str(), cable.to.as_str())) else { continue };
                let own = port_or_bank(&cable.from).is_some_and(|(name, port)| name == device && port == at);
                // A cable from a device to itself has both its ends here.
                let first = own && !out.iter().any(|end| end.cable == *number);
                out.push(self.end(cable, *number, first));
            }
        }
        out
    }

    fn end(&self, cable: &Cable, number: usize, first: bool) -> End {
        let (here, there) = if first { (&cable.from, &cable.to) } else { (&cable.to, &cable.from) };
        let own = port_or_bank(here).map_or("", |(device, _)| device);
        let short = here.strip_prefix(own).unwrap_or(here).trim_start_matches('.').to_string();
        let digital = !cable.is_run();
        // A link runs both ways.
        let mut lines = vec![short, format!("{} {there}", if first || digital { "to" } else { "from" })];
        let mut points = Vec::new();
        if first {
            lines.push([length(cable.length_m), cable_kind(cable)].join(", ").trim_start_matches(", ").to_string());
            let (used, of) = self.used(cable);
            lines.extend(used);
            points = of;
        }
        let to = port_or_bank(there).map_or_else(String::new, |(device, _)| device.to_string());
        let quiet = matches!(cable.used_as.as_str(), "redundant" | "spare");
        End { cable: number, to, first, digital, quiet, lines, points }
    }

    /// What a cable carries in words, and the points of it that signals pass.
    fn used(&self, cable: &Cable) -> (Vec<String>, Vec<String>) {
        let Some((device, bank)) = port_or_bank(&cable.from) else { return Default::default() };
        if let Some(run) = Points::read(&cable.from) {
            let passed = self.usage.passed(device, bank);
            let used: BTreeSet<u32> = passed.range(run.first..=run.last).copied().collect();
            let isolated = self.known.bank(&run).is_some_and(|bank| bank.isolated);
            let isolated = isolated.then(|| "isolated: passes no 48 V".to_string());
            let of = run.last - run.first + 1;
            let words = [Some(format!("{} of {of} lines in use", used.len())), isolated];
            return (words.into_iter().flatten().collect(), points(device, bank, &used));
        }
        let wiring = self.known.model(device).map(|model| &model.wiring);
        let slots = wiring.and_then(|wiring| slots_at(wiring, bank, self.known.plan.rate_hz));
        let (into, out_of) = (self.usage.arriving(device, bank), self.usage.leaving(device, bank));
        let say = |word: &str, used: &BTreeSet<u32>, of: Option<u32>| {
            let used = if used.is_empty() { "none".to_string() } else { ranges(used) };
            of.map_or_else(|| format!("{word} {used}"), |of| format!("{word} {used} of {of}"))
        };
        let words = vec![
            say("in", &into, slots.map(|slots| slots.inward)),
            say("out", &out_of, slots.map(|slots| slots.outward)),
        ];
        (words, points(device, bank, &into.union(&out_of).copied().collect()))
    }
}

fn points(device: &str, bank: &str, numbers: &BTreeSet<u32>) -> Vec<String> {
    numbers.iter().map(|n| point(device, bank, *n)).collect()
}

/// Every cable in words, each once, and what is laid and unplugged.
pub(super) fn said(gear: &[Gear], plan: &Plan) -> String {
    let ends = gear.iter().flat_map(|one| one.ends.iter().filter(|end| end.first).map(move |end| (one, end)));
    let cables = ends.map(|(one, end)| format!("{}: {} {}", end.cable, one.name, end.lines.join(", ")));
    cables.chain(spares(plan)).collect::<Vec<_>>().join(". ")
}

pub(super) fn spares(plan: &Plan) -> Vec<String> {
    let spare = |length: Option<f64>| length.map_or_else(|| "a cable".to_string(), |metres| format!("{metres} m"));
    let all: Vec<String> = plan.spare_cables.iter().map(|one| spare(one.length_m)).collect();
    if all.is_empty() { Vec::new() } else { vec![format!("Laid and unplugged: {}", all.join(", "))] }
}

/// A box set for a width: its lines, and where the rows of its cables are.
pub(super) struct Set {
    pub height: f64,
    width: f64,
    head: Vec<String>,
    about: Vec<String>,
    ends: Vec<(End, Vec<String>)>,
}

const PAD: f64 = 5.0;
/// Room for a cable's number before its words.
const NUMBER: f64 = 24.0;

impl Set {
    pub fn of(gear: &Gear, width: f64) -> Set {
        let about = gear.about.iter().flat_map(|words| PLAIN.wrap(words, width - 2.0 * PAD, 2)).collect();
        Set::with(KEY.wrap(&gear.head, width - 2.0 * PAD, 2), about, &gear.ends, width)
    }

    /// The same in as many boxes as it takes for none to be too high.
    pub fn parts(gear: &Gear, width: f64, most: usize) -> Vec<Set> {
        let whole = Set::of(gear, width);
        if gear.ends.len() <= most {
            return vec![whole];
        }
        let head = |n: usize| KEY.wrap(&format!("{}, part {}", gear.head, n + 1), width - 2.0 * PAD, 2);
        let about = |n: usize| if n == 0 { whole.about.clone() } else { Vec::new() };
        let chunks = gear.ends.chunks(most).enumerate();
        chunks.map(|(n, ends)| Set::with(head(n), about(n), ends, width)).collect()
    }

    fn with(head: Vec<String>, about: Vec<String>, ends: &[End], width: f64) -> Set {
        let set = |end: &End| {
            let lines = end.lines.iter().enumerate().flat_map(|(at, words)| {
                let (pen, indent) = if at == 0 { (KEY, NUMBER) } else { (PLAIN, PAD) };
                pen.wrap(words, width - indent - PAD, if at == 0 { 1 } else { 3 })
            });
            (end.clone(), lines.collect::<Vec<String>>())
        };
        let ends: Vec<(End, Vec<String>)> = ends.iter().map(set).collect();
        let lines = head.len() + about.len() + ends.iter().map(|(_, lines)| lines.len()).sum::<usize>();
        Set { height: (lines + 1) as f64 * LINE, width, head, about, ends }
    }

    /// How far down the row of each cable's end is.
    pub fn rows(&self) -> impl Iterator<Item = (&End, f64)> {
        let mut y = (self.head.len() + self.about.len() + 1) as f64 * LINE;
        self.ends.iter().map(move |(end, lines)| {
            let at = y;
            y += lines.len() as f64 * LINE;
            (end, at)
        })
    }

    pub fn draw(&self, drawing: &mut Drawing, (x, y): (f64, f64)) {
        drawing.frame((x + 0.7, y), (self.width - 1.4, self.height), 1.4, "#fff");
        let mut base = y + 3.0;
        for (pen, lines) in [(KEY, &self.head), (PLAIN, &self.about)] {
            for line in lines {
                base += LINE;
                drawing.text((x + PAD, base), pen, Anchor::Start, line);
            }
        }
        for (end, lines) in &self.ends {
            let height = lines.len() as f64 * LINE;
            drawing.line(&[(x + 1.4, base + 3.2), (x + self.width - 1.4, base + 3.2)], 0.4, None);
            let area = ((x + 2.0, base + 2.0), (self.width - 4.0, height));
            drawing.standing_for(&end.points, &lines.join(", "), area, |drawing| {
                let number = end.cable.to_string();
                drawing.pill((x + PAD - 1.0, base + 3.8), &number, false);
                for (at, line) in lines.iter().enumerate() {
                    let named = (KEY, PAD + pill_width(&number) + 3.0);
                    let (pen, indent) = if at == 0 { named } else { (PLAIN, PAD) };
                    drawing.text((x + indent, base + (at + 1) as f64 * LINE), pen, Anchor::Start, line);
                }
            });
            base += height;
        }
    }
}
