//! The plan's types. Each list is in the order that its comment says; a key may be added, none re-used.

use super::facts::{
    Carrier, KeptFor, Kind, Mic, Output, PersonalFeed, PowerStep, Promise, Recording, Remarks, Source, SpareCable,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A routing plan. On errors `settings`, `plugs`, `signals` and `acts` are empty.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// The format: 1.
    pub fantail: u32,
    pub show: ShowHead,
    pub rate_hz: u32,
    /// The device that clocks the rig; absent where none is known.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub clock: Option<String>,
    /// By name.
    pub devices: Vec<Device>,
    /// By `from`, then `to`.
    pub cables: Vec<Cable>,
    /// What the input rows say of their sources, plugged in or not: by desk, then channel.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub sources: Vec<Source>,
    /// By place, in the order of devices and banks.
    pub plugs: Vec<Plug>,
    /// Sources that gear gives of its own, as plugs at the points that they come out of: in the order of plugs.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub given: Vec<Plug>,
    /// What the output rows say: by what leaves, then by where it goes.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub outputs: Vec<Output>,
    /// What the rows of the personal-monitor feeds say: by desk, then number.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub personal: Vec<PersonalFeed>,
    /// Laid and unplugged, in the order of their lengths.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub spare_cables: Vec<SpareCable>,
    /// By mix: desk, bank, number.
    pub mixes: Vec<Mix>,
    /// What the mixes must not carry of which no row says what they do: by mix.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub promised: Vec<Promise>,
    /// By device, then bank in the model's order, then number.
    pub settings: Vec<Setting>,
    /// By first source point, then ends in the order of devices and banks.
    pub signals: Vec<Signal>,
    /// By start, then name. Each adds to the lists above, which hold in every act.
    pub acts: Vec<Act>,
    /// The recordings that say how long they run: by device.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub recordings: Vec<Recording>,
    /// The order in which gear is switched on, step by step; off the other way round.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub power: Vec<PowerStep>,
    /// What this show says otherwise than the files that it took over: by act, thing, attribute.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub changes: Vec<Change>,
    /// What stands though a rule speaks against it: by rule, thing, act, reason.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub allowed: Vec<Allowed>,
    /// Every kind of source that is plugged in, by name.
    #[serde(skip_serializing_if = "BTreeMap::is_empty", default)]
    pub kinds: BTreeMap<String, Kind>,
    /// Every declared microphone or DI that a source has, by name.
    #[serde(skip_serializing_if = "BTreeMap::is_empty", default)]
    pub mics: BTreeMap<String, Mic>,
    /// Every carrier that a port of these models speaks, by name.
    #[serde(skip_serializing_if = "BTreeMap::is_empty", default)]
    pub carriers: BTreeMap<String, Carrier>,
    /// Every model used, by name.
    pub models: BTreeMap<String, Model>,
    /// Filled by whoever prints the plan as JSON.
    pub diagnostics: Vec<serde_json::Value>,
}

#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct ShowHead {
    pub title: String,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub venue: Option<String>,
    /// `2026-07-04`
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub date: Option<String>,
}

#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Device {
    pub name: String,
    pub model: String,
    /// desk, box, hub, snake, split, recorder, outside
    pub role: String,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub label: Option<String>,
    #[serde(flatten)]
    pub remarks: Remarks,
    /// The mains supply that it is plugged into.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub supply: Option<String>,
    /// Dead and reserved lines, which nothing may use: numbers in the device's `in` banks, which then
    /// carry silence.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub out_of_use: Vec<u32>,
    /// Those of them that are kept for something.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub kept_for: Vec<KeptFor>,
    /// What it runs on, where it says so: `internal`, or `external` with the clock's name behind it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub clock: Option<String>,
    /// The device whose clock it counts by, itself or one that digital lines lead to; or `external` with the clock's
    /// name behind it. Absent where it has no digital line, and where no row says which of several desks it is.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub runs_on: Option<String>,
    /// The rate that it says, in hertz.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub rate_hz: Option<u32>,
    /// A sample-rate converter stands at its digital lines.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub converts: bool,
    /// The device that it stands in for.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub backup_of: Option<String>,
    /// Legs of a split whose ground is lifted.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub lifted: Vec<String>,
    /// The desk that turns its gains.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub gain_by: Option<String>,
    /// Free on what it records to, in bytes.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub space_bytes: Option<f64>,
}

/// Either a link between two ports, `foh.portA` to `stage-left.up`, slot n to slot n both ways, as far
/// as one end sends and the other receives; or a run of analogue lines, `drum-riser.tail 1-12` to
/// `stage-left.in 1-12`, in order, one way, from an `out` bank to an `in` bank, one range at each end.
/// A link's `carrier` is that of both its ports. A `spare` is not plugged in, and a `redundant` cable
/// carries what the main one carries: neither brings a signal of its own.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Cable {
    pub from: String,
    pub to: String,
    pub carrier: String,
    /// All lengths together, in metres.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub length_m: Option<f64>,
    /// Its cable is said to be screened, or to lock.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub screened: bool,
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub locking: bool,
    /// main, redundant, spare, snake, loom
    #[serde(rename = "use")]
    pub used_as: String,
    /// As the row of the link or the loom says it.
    #[serde(flatten)]
    pub remarks: Remarks,
}

/// One attribute that a `change` set.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Change {
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub act: Option<String>,
    /// `input kick-in`
    pub thing: String,
    /// `from`
    pub attribute: String,
    /// What stood there before, and in which file; absent where nothing did.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub was: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub was_in: Option<String>,
    pub now: String,
    pub now_in: String,
}

/// An `allow` that silenced something.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Allowed {
    pub rule: String,
    /// `stage-right`, `foh.out 3-4`; absent where it holds for all that the rule speaks of.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub on: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub act: Option<String>,
    pub because: String,
    /// What the rule said, as it says it where nothing is allowed: by place in the files.
    pub said: Vec<String>,
}

/// A source plugged into a socket.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Plug {
    pub source: String,
    pub at: String,
    /// The microphone or DI as people call it: a declared one's label, else the kind.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub mic: Option<String>,
    /// tall, short, clip, straight, none
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub stand: Option<String>,
    /// The source asks for phantom.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub phantom: bool,
    /// The one preamp that gives it, and over which copper: every socket on the way, the plug's own first,
    /// that preamp's last. Empty where it asks for none.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub phantom_path: Vec<String>,
    /// The channel turns its polarity over.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub polarity_inverted: bool,
    /// What rows state for the preamps that it comes by, by preamp.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub preamps: Vec<PreampWish>,
}

/// Gain and pad that a row states for the preamp on the way to its desk.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PreampWish {
    pub at: String,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub gain_db: Option<f64>,
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub pad: bool,
}

/// What a mix carries, where the file says so.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Mix {
    pub mix: String,
    pub of: Vec<String>,
    /// One side of a stereo mix.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub stereo: bool,
}

/// One thing to dial in. `set` says which other keys are there:
/// - `route`: `bank`, `first`, `last` carry `from`, in order: `foh.portA 1-8`, or a named block `foh.extras`;
///   always exactly one block, or one point where the route is point by point, of the same device;
/// - `offset`, `slot`: `bank`, `value`: the number of the first slot that the bank takes, or rides;
/// - `mode`: `bank`, `value`: a word; an `offset` that only another mode has is not set;
/// - `phantom`, `pad`: `bank`, `first`, `last`, `value`: true or false; for phantom whole switches;
/// - `gain`: `bank`, `first`, `last`, `value`: dB.
///
/// No two settings are for one switch. A switch without a setting carries silence, or is off. An act
/// sets `offset`, `slot` and `mode` only on devices that it brings itself.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Setting {
    pub device: String,
    pub set: String,
    pub bank: String,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub first: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub last: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub from: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub value: Option<serde_json::Value>,
    /// The desk that may change it, for a preamp that several desks share.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub owner: Option<String>,
}

/// Everything that one source reaches.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Signal {
    /// A plugged source by name, or an origin's point: `foh.mix 1`.
    pub source: String,
    pub label: String,
    /// The source's kind (`boundary`), or the origin's bank (`mix`).
    pub kind: String,
    pub ends: Vec<End>,
}

/// An end point that is not silent.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct End {
    pub end: String,
    /// A row wants it; otherwise it was dragged along.
    pub asked: bool,
    /// What an output row says that it is for: `pa`, `wedge`.
    #[serde(rename = "use", skip_serializing_if = "Option::is_none", default)]
    pub used_as: Option<String>,
    /// Every point on the way from the source, the end last: first the socket of the plug, or the
    /// origin's own point. A link's slot stands once, under the port at the cable's `from` end,
    /// whichever way the signal runs; of an analogue run both sockets (`drum-riser.tail 3`,
    /// `stage-left.in 3`) are listed; of a named block the point itself (`foh.aux-out 1`).
    pub path: Vec<String>,
}

/// What differs from the lists that hold in every act.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Act {
    pub act: String,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub title: Option<String>,
    /// `23:20`
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub from: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub to: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub devices: Vec<Device>,
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub cables: Vec<Cable>,
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub sources: Vec<Source>,
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub outputs: Vec<Output>,
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub personal: Vec<PersonalFeed>,
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub spare_cables: Vec<SpareCable>,
    pub plugs: Vec<Plug>,
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub given: Vec<Plug>,
    pub settings: Vec<Setting>,
    pub mixes: Vec<Mix>,
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub promised: Vec<Promise>,
    /// A source whose ends differ stands here whole, and not above.
    pub signals: Vec<Signal>,
    /// Rows of the house that this act replaces: what they name is not plugged in here.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub replaced: Vec<Replaced>,
}

/// A row of the house and the act's row that stands in its place, each by the name of its source or sources.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Replaced {
    pub source: String,
    pub by: String,
}

/// What a model is inside. Enough to recompute every signal from plugs, settings and cables.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Model {
    /// It has a switch of its own: it is neither passive nor powered by a link.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub mains: bool,
    /// How sheets call it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub label: Option<String>,
    /// From a socket to a port or back, or through a desk.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub latency_ms: Option<f64>,
    /// What all its preamps together may give.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub phantom_limit_ma: Option<f64>,
    /// In watts.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub draws_w: Option<f64>,
    /// So many letters a channel strip shows.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub strip: Option<u32>,
    /// A sample-rate converter stands at its digital lines.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub converts: bool,
    pub wiring: Wiring,
}

#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Wiring {
    /// In the model's order.
    pub banks: Vec<Bank>,
    pub ports: Vec<Port>,
    pub carries: Vec<Carries>,
    pub passes: Vec<Passes>,
    pub takes: Vec<Takes>,
    pub copies: Vec<Copies>,
    pub routes: Vec<Route>,
    pub blocks: Vec<Block>,
    pub reserved: Vec<Reserved>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// Sockets where sources and analogue runs arrive.
    In,
    /// Sockets where signals leave.
    Out,
    /// Inside: channels, tracks, picks.
    Inner,
    /// A source of its own: mix, main, matrix, playback.
    Origin,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bank {
    pub bank: String,
    pub size: u32,
    pub role: Role,
    /// What arrives here is listed under `signals`.
    pub end: bool,
    /// mic, line …: what travels here.
    pub signal: String,
    /// Sockets switched by one phantom switch: 0 none, 1 each, n groups of n. A source that asks for
    /// phantom gets it from the first such bank that copper leads to (plug, runs, copies), at one
    /// switch only.
    pub phantom: u32,
    /// A transformer: passes no phantom.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub isolated: bool,
    /// Of preamps: from lowest to highest.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub gain_db: Option<(f64, f64)>,
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub pad: bool,
    /// The level at which it clips.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub clip_dbu: Option<f64>,
    /// Stereo pairs start on odd numbers.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub pairs: bool,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Port {
    pub port: String,
    pub carrier: String,
    /// desk, next, any
    pub faces: String,
    /// It gives power to what hangs on it, or needs it.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub powers: bool,
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub needs_power: bool,
    /// By rate, each the number of slots into and out of the device. The show's rate takes the entry
    /// of the lowest rate that is not below it.
    pub slots: Vec<Slots>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Slots {
    pub rate_hz: u32,
    #[serde(rename = "in")]
    pub inward: u32,
    #[serde(rename = "out")]
    pub outward: u32,
}

/// Where a bank rides: `"stacked"`, `"setting"`, or a slot's number.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Place {
    Word(String),
    Slot(u32),
}

/// The bank's points leave by the port: point k at slot `first + k - 1`, where `first` is the number
/// said here, the `slot` setting of that bank, or 1 for `stacked`, in which case what the port passes
/// on from another port moves up by the bank's size. Several stacked banks of a port follow each
/// other in the order of this list, and passed slots move up by all of them. Otherwise passed slots
/// keep their number. Each slot carries one thing, even where that is silent: the first bank of this
/// list that rides there, else a fixed route, else a route setting, else what is passed.
/// Without `choices`, a place at a setting may be any slot; so too in `Takes`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Carries {
    pub port: String,
    pub bank: String,
    pub at: Place,
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub choices: Vec<u32>,
}

/// What arrives at port `from` leaves by port `to`, slot for slot unless a stacked bank moves it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Passes {
    pub from: String,
    pub to: String,
}

/// Point k of the bank plays what arrives at slot `first + k - 1` of the port; `first` is the number
/// said here or the bank's `offset` setting. With `mode`, only while the bank's `mode` setting is that.
/// With `driven_by: "first"`, only where the port leads to the same desk as the first port of the
/// model that leads to any. A port leads to a desk if it faces the desk (`faces: "desk"`) and the
/// device at the other end of its cable has the role `desk`, or else has a port that leads to one, the
/// first such in its model's order.
/// A bank's point may have several feeds (plug, line, takes, copies, routes), of which at most one
/// source may sound; the same source by two ways takes the first of that order.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Takes {
    pub bank: String,
    pub port: String,
    pub at: Place,
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub choices: Vec<u32>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub mode: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub driven_by: Option<String>,
}

/// Point k plays what point `first + k - 1` of bank `of` carries.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Copies {
    pub bank: String,
    pub of: String,
    pub first: u32,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub mode: Option<String>,
}

/// What may feed points `first` to `last` of a bank, or of the way out of a port. `from` names banks,
/// ports (what arrives there) and named blocks. With `block` N, N points that start at 1, N+1, 2N+1 …
/// take N such points in order, by a `route` setting, where also the N taken start at 1, N+1 … of their
/// bank, port or named block; 1 is point by point, and so is none. The last block of a range may be
/// short; where the source's last block is shorter, `from` is cut to it and the rest is silent. A
/// named block of at most N points is written without numbers (`foh.extras`), point by point with
/// one (`foh.extras 3`, or the point itself). `fixed` needs no setting.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Route {
    pub bank: String,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub first: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub last: Option<u32>,
    pub from: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub block: Option<u32>,
    /// Point k of the range takes point k of the one bank in `from`, counted from the range's first.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub fixed: bool,
    /// At most so many points of the bank may be fed through this route at a time, silent or not.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub at_most: Option<u32>,
    /// Only at this rate.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub rate_hz: Option<u32>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Block {
    pub block: String,
    /// `aux-out 1-4`, in order
    pub points: Vec<String>,
}

/// Slots of a port, either way, that only the bank `for` may ride, take or be routed to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reserved {
    pub port: String,
    pub first: u32,
    pub last: u32,
    #[serde(rename = "for")]
    pub for_what: String,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub rate_hz: Option<u32>,
}

/// What the rows ask, as data for the evaluator: this source at this end, in this act.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Wanted {
    /// `None` where the show has no acts; else it holds in every act.
    pub act: Option<String>,
    /// A plugged source's name, or a point: an origin, or any point that the signal must pass.
    pub what: String,
    pub at: String,
    /// A bank of points that the signal must pass: `split.iso-a`.
    pub via: Option<String>,
    /// `false`: it must never arrive.
    pub arrives: bool,
}

impl Cable {
    /// An analogue run, line by line; else a link between two ports.
    pub fn is_run(&self) -> bool {
        self.from.contains(' ') || self.to.contains(' ')
    }
}

impl Setting {
    /// Of a switch: 48 V, a pad.
    pub fn is_on(&self) -> bool {
        self.value.as_ref().and_then(|value| value.as_bool()) == Some(true)
    }
}

impl Plan {
    pub(crate) fn kind_of(&self, source: &Source) -> Option<&Kind> {
        self.kinds.get(source.kind.as_ref()?)
    }

    /// It gives microphone level and can be hurt by 48 V: whoever stands at the preamp may think of it.
    pub(crate) fn phantom_hurts(&self, source: &Source) -> bool {
        self.kind_of(source).is_some_and(|kind| kind.phantom == "never" && kind.signal == "mic")
    }

    /// Takes out what a plan with errors must not show. Devices, cables and models stay.
    pub fn withhold(&mut self) {
        self.sources.clear();
        self.outputs.clear();
        self.personal.clear();
        self.plugs.clear();
        self.given.clear();
        self.settings.clear();
        self.signals.clear();
        self.acts.clear();
        self.changes.clear();
        self.allowed.clear();
        self.power.clear();
    }
}
