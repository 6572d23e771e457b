//! The plan's types. Each list is in the order that its comment says; a key may be added, none re-used.

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
    /// By mix: desk, bank, number.
    pub mixes: Vec<Mix>,
    /// By device, then bank in the model's order, then number.
    pub settings: Vec<Setting>,
    /// By first source point, then ends in the order of devices and banks.
    pub signals: Vec<Signal>,
    /// By start, then name. Each adds to the lists above, which hold in every act.
    pub acts: Vec<Act>,
    /// The order in which gear is switched on, step by step; off the other way round.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub power: Vec<PowerStep>,
    /// What this show says otherwise than the files that it took over: by act, thing, attribute.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub changes: Vec<Change>,
    /// Every kind of source that is plugged in, by name.
    #[serde(skip_serializing_if = "BTreeMap::is_empty", default)]
    pub kinds: BTreeMap<String, Kind>,
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

#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Device {
    pub name: String,
    pub model: String,
    /// desk, box, hub, snake, split, recorder, outside
    pub role: String,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub label: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub place: Option<String>,
    /// The mains supply that it is plugged into.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub supply: Option<String>,
    /// Dead and reserved lines, which nothing may use: numbers in the device's `in` banks, which then
    /// carry silence.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub out_of_use: Vec<u32>,
}

/// Either a link between two ports, `foh.portA` to `stage-left.up`, slot n to slot n both ways, as far
/// as one end sends and the other receives; or a run of analogue lines, `drum-riser.tail 1-12` to
/// `stage-left.in 1-12`, in order, one way, from an `out` bank to an `in` bank, one range at each end.
/// A link's `carrier` is that of both its ports. A `spare` is not plugged in, and a `redundant` cable
/// carries what the main one carries: neither brings a signal of its own.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Cable {
    pub from: String,
    pub to: String,
    pub carrier: String,
    /// All lengths together, in metres.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub length_m: Option<f64>,
    /// main, redundant, spare, snake, loom
    #[serde(rename = "use")]
    pub used_as: String,
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

/// A source as its row declares it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Source {
    pub source: String,
    pub label: String,
    /// A key of `kinds`.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub kind: Option<String>,
    /// What the instrument gives to its DI: passive, piezo, active, line.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub pickup: Option<String>,
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
    pub plugs: Vec<Plug>,
    pub settings: Vec<Setting>,
    pub mixes: Vec<Mix>,
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

/// What is switched on together. Each step after all that feeds it; gear that feeds each other stands in one;
/// what makes the sound in the last. Passive gear, and what a link gives its power, stands in none.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct PowerStep {
    /// Why in this place, for people.
    pub why: String,
    /// Sources with a switch of their own, by name.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub sources: Vec<String>,
    /// The device that clocks the rig first, then by name.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub devices: Vec<Powered>,
    /// Of the last step: sockets on which an amplifier, a powered loudspeaker or a sender hangs. By device, then as
    /// in the model. What an output row does not say the use of counts among them.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub outputs: Vec<String>,
}

/// A device and the mains supply that it says.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Powered {
    pub device: String,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub supply: Option<String>,
}

/// What a kind of source is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Kind {
    /// mic, line, instrument …: what travels on its cable.
    pub signal: String,
    /// needs, tolerates, never
    pub phantom: String,
    /// Of a DI: the pickups that it is made for.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub suits: Vec<String>,
    /// No sound that anybody may hear.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub data: bool,
    /// Speech to the crew and the stage.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub talkback: bool,
    /// What gives it has a switch of its own, unless it is a passive or piezo pickup.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub mains: bool,
}

/// What a model is inside. Enough to recompute every signal from plugs, settings and cables.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Model {
    /// It has a switch of its own: it is neither passive nor powered by a link.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub mains: bool,
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

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
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
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Port {
    pub port: String,
    pub carrier: String,
    /// desk, next, any
    pub faces: String,
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

impl Plan {
    /// Takes out what a plan with errors must not show. Devices, cables and models stay.
    pub fn withhold(&mut self) {
        self.sources.clear();
        self.plugs.clear();
        self.settings.clear();
        self.signals.clear();
        self.acts.clear();
        self.changes.clear();
        self.power.clear();
    }
}
