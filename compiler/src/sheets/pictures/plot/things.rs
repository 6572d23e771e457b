//! What stands on the stage, by place: sources, the loudspeakers and in-ears of mixes, boxes and sub-snakes. A source
//! without a place of its own is listed with the gear that it is plugged into, and gear without one stands apart.

use super::super::super::known::Known;
use super::place::Spot;
use crate::plan::{Device, Output, Plug, Points};
use rustc_hash::{FxHashMap, FxHashSet};

/// Uses of an output that somebody on the stage hears.
const ON_STAGE: [&str; 3] = ["wedge", "side-fill", "in-ears"];

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Source,
    /// A mix is heard from it.
    Loudspeaker,
    Ears,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) struct Item {
    pub kind: Kind,
    /// The channel, or `Mix 4`.
    pub number: String,
    pub label: String,
    pub under: Vec<String>,
    pub sign: Option<&'static str>,
    pub points: Vec<String>,
}

/// Things that belong together, under the name of the gear that they are plugged into.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Block {
    pub head: Option<String>,
    pub items: Vec<Item>,
}

/// All that stands at one place.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Standing {
    pub spot: Spot,
    pub blocks: Vec<Block>,
}

/// By what is said of the place, each with its turn: the order in which the plan names them.
#[derive(Default)]
struct Places(FxHashMap<String, (usize, Spot, Stand)>);

/// A source and its turn: by desk, then channel.
type Ordered = ((usize, u32), Item);

#[derive(Default)]
struct Stand {
    sources: Vec<Ordered>,
    heard: Vec<Item>,
    gear: Vec<Block>,
}

pub(super) fn standing(known: &Known) -> Vec<Standing> {
    let mut places = Places::default();
    let mut of_gear: FxHashMap<&str, Vec<Ordered>> = FxHashMap::default();
    let mut seen = FxHashSet::default();
    for plug in known.view.plugs.iter().chain(&known.view.given).filter(|plug| seen.insert(&plug.source)) {
        let place = known.source(&plug.source).and_then(|row| row.remarks.place.as_deref());
        let device = Points::read(&plug.at).map_or("", |at| at.device);
        match place {
            Some(_) => places.at(place).sources.push(source(known, plug)),
            None => of_gear.entry(device).or_default().push(source(known, plug)),
        }
    }
    for (output, last) in mixes(known) {
        let place = output.remarks.place.as_deref();
        places.at(place).heard.push(heard(known, output, last));
    }
    for device in known.devices.iter().copied() {
        let items = sorted(of_gear.remove(device.name.as_str()).unwrap_or_default());
        let on_stage = matches!(device.role.as_str(), "box" | "snake" | "split" | "hub");
        if on_stage || !items.is_empty() {
            let block = Block { head: Some(head(known, device)), items };
            places.at(device.remarks.place.as_deref()).gear.push(block);
        }
    }
    places.in_turn()
}

impl Places {
    fn at(&mut self, place: Option<&str>) -> &mut Stand {
        let (spot, turn) = (Spot::read(place), self.0.len());
        let (_, _, stand) = self.0.entry(format!("{spot:?}")).or_insert_with(|| (turn, spot, Stand::default()));
        stand
    }

    fn in_turn(self) -> Vec<Standing> {
        let mut all: Vec<_> = self.0.into_values().collect();
        all.sort_by_key(|(turn, ..)| *turn);
        all.into_iter().map(|(_, spot, stand)| Standing { spot, blocks: stand.blocks() }).collect()
    }
}

impl Stand {
    fn blocks(self) -> Vec<Block> {
        let loose = [sorted(self.sources), self.heard].map(|items| Block { head: None, items });
        loose.into_iter().filter(|block| !block.items.is_empty()).chain(self.gear).collect()
    }
}

fn sorted(mut items: Vec<Ordered>) -> Vec<Item> {
    items.sort_by_key(|(at, _)| *at);
    items.into_iter().map(|(_, item)| item).collect()
}

/// A source with the place of its channel: desks in the order of dialling, then the number.
fn source(known: &Known, plug: &Plug) -> Ordered {
    let first = known.devices.first().map(|desk| desk.name.as_str());
    let channel = known.channel(&plug.source);
    let elsewhere = channel.filter(|(desk, _)| Some(*desk) != first).map(|(desk, _)| format!("channel of {desk}"));
    let row = known.source(&plug.source);
    let spare = row.filter(|row| row.spare).map(|_| "spare".to_string());
    let who = row.and_then(|row| row.remarks.who.clone().filter(|who| *who != row.label));
    let sign = if plug.phantom { Some("48V") } else { known.never_phantom(&plug.source).then_some("no 48V") };
    let item = Item {
        kind: Kind::Source,
        number: channel.map_or_else(|| "–".to_string(), |(_, number)| number.to_string()),
        label: known.label(&plug.source),
        under: [plug.mic.clone(), who, spare, elsewhere].into_iter().flatten().collect(),
        sign,
        points: vec![plug.at.clone()],
    };
    let order = channel.map_or((usize::MAX, 0), |(desk, number)| (usize::from(Some(desk) != first), number));
    (order, item)
}

/// The outputs that are heard on the stage or stand there, the two sides of a stereo mix as one.
fn mixes<'p>(known: &Known<'p>) -> Vec<(&'p Output, Option<&'p Output>)> {
    let shown = |one: &&Output| {
        one.remarks.place.is_some() || one.used_as.as_deref().is_some_and(|used_as| ON_STAGE.contains(&used_as))
    };
    let mut out: Vec<(&Output, Option<&Output>)> = Vec::new();
    for output in known.view.outputs.iter().copied().filter(shown) {
        match out.last_mut() {
            Some((left, right)) if right.is_none() && are_sides(left, output) => *right = Some(output),
            _ => out.push((output, None)),
        }
    }
    out
}

fn are_sides(left: &Output, right: &Output) -> bool {
    let (Some(a), Some(b)) = (Points::read(&left.from), Points::read(&right.from)) else { return false };
    let next = a.device == b.device && a.bank == b.bank && a.first.checked_add(1) == Some(b.first);
    left.stereo && right.stereo && next && left.used_as == right.used_as && left.remarks == right.remarks
}

/// `Mix 9-10: Drum ears`, and the socket that it comes out of.
fn heard(known: &Known, left: &Output, right: Option<&Output>) -> Item {
    let of = |point: &str| Points::read(point).map(|at| (at.device.to_string(), at.bank.to_string(), at.first));
    let number = |one: &str, other: Option<&str>| {
        let (device, bank, first) = of(one)?;
        let last = other.and_then(of).map(|(_, _, last)| format!("-{last}")).unwrap_or_default();
        Some((device, bank, format!("{first}{last}")))
    };
    let from = number(&left.from, right.map(|right| right.from.as_str()));
    let to = number(&left.to, right.map(|right| right.to.as_str()));
    let label = left.label.clone().unwrap_or_else(|| known.label(&left.from));
    let label = if right.is_some() { label.strip_suffix(" L").map_or(label.clone(), String::from) } else { label };
    let who = left.remarks.who.clone();
    let socket = to.map(|(device, bank, numbers)| format!("{} {bank} {numbers}", known.called(&device)));
    let number = from.map_or_else(
        || left.from.clone(),
        |(desk, bank, numbers)| {
            let first = known.devices.first().is_some_and(|one| one.name == desk);
            if first { format!("{bank} {numbers}") } else { format!("{desk} {bank} {numbers}") }
        },
    );
    Item {
        kind: if left.used_as.as_deref() == Some("in-ears") { Kind::Ears } else { Kind::Loudspeaker },
        number,
        label,
        under: [left.used_as.clone(), who, socket].into_iter().flatten().collect(),
        sign: None,
        points: [Some(left), right].into_iter().flatten().map(|one| one.to.clone()).collect(),
    }
}

/// `Sub-snake 1 drum-riser, to stage-left.in 1-12`
fn head(known: &Known, device: &Device) -> String {
    let runs = known.view.cables.iter().filter(|_| device.role == "snake");
    let starts = |from: &str| Points::read(from).is_some_and(|at| at.device == device.name);
    let to: Vec<String> = runs.filter(|run| starts(&run.from)).map(|run| format!(", to {}", run.to)).collect();
    format!("{} {}{}", known.numbered(&device.name), known.called(&device.name), to.concat())
}
