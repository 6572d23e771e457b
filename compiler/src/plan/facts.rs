//! What rows, kinds and carriers say, as the plan repeats it: facts that people read and that change no signal, and
//! the order of switching on. A key may be added, none re-used.

use serde::{Deserialize, Serialize};

/// What a row says for people, which changes no signal.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Remarks {
    /// A stage place, metres across and up, or words.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub place: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub who: Option<String>,
    /// Of a row of a list: must, should, may.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub priority: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub note: Option<String>,
}

/// Sources that whoever makes a mix is asked to leave out by hand, since no row says what it carries.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Promise {
    pub mix: String,
    /// By name.
    pub without: Vec<String>,
}

/// How long a device records, and the room that it takes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Recording {
    pub device: String,
    pub tracks: usize,
    pub seconds: f64,
    pub bytes: f64,
}

/// A line that is kept for something else.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptFor {
    pub line: u32,
    #[serde(rename = "for")]
    pub for_what: String,
}

/// A cable that is laid and unplugged.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct SpareCable {
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub length_m: Option<f64>,
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub screened: bool,
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub locking: bool,
    #[serde(flatten)]
    pub remarks: Remarks,
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
    /// A key of `mics`, where the microphone is a declared one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub mic: Option<String>,
    /// What it plays at, in dB SPL.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub level_db_spl: Option<f64>,
    /// The ground lift of its DI is on.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub lifted: bool,
    /// One side of a stereo row.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub stereo: bool,
    /// It stands in for another, or its channel is kept free.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub spare: bool,
    /// What it stands in for.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub spare_for: Vec<String>,
    /// It may reach in-ears, personal feeds and tracks, nothing else.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub ears_only: bool,
    /// No sound that anybody may hear: in no mix.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub data: bool,
    /// What a second row for it says: a double patch, another desk's list.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub again: Vec<Again>,
    /// The bank by which its row wants it to come.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub via: Option<String>,
    #[serde(flatten)]
    pub remarks: Remarks,
}

/// What the row of a desk says of a source that another row declares.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Again {
    pub desk: String,
    #[serde(flatten)]
    pub remarks: Remarks,
}

/// An output row, point by point: what leaves, and where.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Output {
    pub from: String,
    pub to: String,
    #[serde(rename = "use", skip_serializing_if = "Option::is_none", default)]
    pub used_as: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub label: Option<String>,
    /// One side of a stereo row.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub stereo: bool,
    #[serde(flatten)]
    pub remarks: Remarks,
}

/// A personal-monitor feed as its row says it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct PersonalFeed {
    /// `foh.personal 3`
    pub feed: String,
    /// A source, or an origin's point.
    pub of: String,
    /// One side of a stereo row.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub stereo: bool,
    #[serde(flatten)]
    pub remarks: Remarks,
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

/// What a declared microphone or DI is.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Mic {
    /// How sheets call it.
    pub label: String,
    /// A key of `kinds`.
    pub kind: String,
    /// In mV/Pa.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub sensitivity_mv_pa: Option<f64>,
    /// The current that it draws of its phantom power.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub needs_ma: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub max_db_spl: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub note: Option<String>,
}

/// How signals travel between ports.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Carrier {
    /// Its longest cable.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub length_m: Option<f64>,
    /// It wants a cable that is screened, or that locks.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub screened: bool,
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub locking: bool,
    /// A hop takes so long.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub latency_ms: Option<f64>,
}
