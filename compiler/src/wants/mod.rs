//! Rows become wants: which source must reach which end point, in the house or in one act. Names of
//! sources, groups and uses are resolved here. Nothing is routed yet.

pub mod free;
mod inputs;
mod keep;
mod labels;
mod names;
mod outputs;
mod record;
mod scene;
mod uses;

pub use keep::Kept;
pub use names::{Speaker, of_acts};
pub use scene::{Scene, scene};
pub use uses::{OUTPUT_USES, Use, uses_meant};

use crate::plan::Remarks;
use crate::rig::{MicFact, Point};
use crate::source::{At, Span};
use crate::syntax::ast::{Name, Pickup, Priority, Stand};
use std::collections::BTreeMap;

/// One signal that stands on stage, or comes out of a device of its own accord.
#[derive(Clone, Debug)]
pub struct Source {
    /// As the plan calls it: `kick-in`, `keys.left`, `kestrel.kick`.
    pub name: String,
    pub label: String,
    /// Of the row that declares it: index into `Scene::rows`.
    pub row: usize,
    /// The desk in whose list it is declared.
    pub desk: Option<u32>,
    pub mic: Option<MicFact>,
    /// The microphone's word, where it is said as it holds: in the row, or in a change.
    pub mic_said: Option<Name>,
    pub stand: Option<Stand>,
    pub spot: Spot,
    pub phantom: Option<Span>,
    /// The desk of each row that says `phantom`, and where; the declaring row's first.
    pub phantom_by: Vec<At<Option<u32>>>,
    /// The pad of the declaring row.
    pub pad: Option<Span>,
    /// Gain and pad as rows state them, each for the preamp on the way to its desk; the declaring row's
    /// first.
    pub stated: Vec<Stated>,
    pub ears_only: bool,
    /// Time code, a tone: in no mix.
    pub data: bool,
    /// Speech to the crew and the stage: to no audience.
    pub talkback: bool,
    pub polarity_inverted: bool,
    pub spare: bool,
    /// What it stands in for, by index, and where that is said.
    pub spare_for: Option<At<Vec<usize>>>,
    pub pickup: Option<At<Pickup>>,
    /// What it plays at, in dB SPL.
    pub level_db_spl: Option<f64>,
    pub stereo: bool,
    pub via: Option<(u32, u32)>,
    pub remarks: Remarks,
    /// What second rows say of it, by the desk of each.
    pub again: Vec<(u32, Remarks)>,
    /// The ground lift of this DI is on.
    pub lifted: Option<Span>,
}

impl Source {
    /// May a mix for that use carry it, by what it is? A `keep` may forbid more.
    pub fn may_be_in_a_mix_for(&self, used_as: Option<Use>) -> bool {
        let (ears, public) = (used_as.is_some_and(Use::is_for_ears), used_as.is_some_and(Use::is_public));
        !(self.data || (self.ears_only && !ears) || (self.talkback && public))
    }
}

/// What one row states for the preamp on the way to its desk.
#[derive(Clone, Debug)]
pub struct Stated {
    pub desk: Option<u32>,
    /// In dB.
    pub gain_db: Option<At<f64>>,
    pub pad: Option<Span>,
}

/// Where a source comes from.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Spot {
    /// It plugs into this socket.
    Socket(Point),
    /// It may plug into any of these.
    Any(Vec<Point>),
    /// A device gives it: playback, gear that others bring.
    Origin(Point),
    /// No row says where; it was reported if somebody wants it.
    Nowhere,
}

/// What must arrive, or must never.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Target {
    /// Into `Scene::sources`.
    Source(usize),
    /// An origin, or any point that the signal must pass.
    Point(Point),
}

#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum WantKind {
    Channel,
    Output,
    Track,
    Personal,
}

/// One source at one end point.
#[derive(Clone, Debug)]
pub struct Want {
    pub end: Point,
    pub what: Target,
    /// A bank that the signal must pass.
    pub via: Option<(u32, u32)>,
    pub kind: WantKind,
    /// Into `Scene::rows`.
    pub row: usize,
}

/// A source that must never arrive at an end point: a track that would record it.
#[derive(Clone, Debug)]
pub struct Never {
    pub end: Point,
    pub source: usize,
    pub row: usize,
}

/// A row of the file, for messages and for changing it.
#[derive(Clone, Debug)]
pub struct RowFact {
    /// How a message calls it: `kick-in`, `foh.mix 1`.
    pub name: String,
    pub span: Span,
    pub priority: Priority,
    pub kind: RowKind,
    /// Where its `from` or `to` stands, as it holds.
    pub place: Option<Span>,
    /// Where its channels stand.
    pub numbers: Option<Span>,
    pub desk: Option<u32>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum RowKind {
    /// Declares a source.
    Input,
    /// A second want for one.
    Again,
    Output,
    Personal,
    Record,
    Keep,
}

/// A row of the house in whose place a row of this act stands.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Replaced {
    /// `kick`, `mix 1`
    pub name: String,
    pub row: Span,
    /// It declares a source, which is then plugged nowhere.
    pub source: bool,
    /// The act's row, by the name that the plan has for it: `heron.kick`.
    pub by: String,
    pub at: Span,
}

/// What a mix carries, as far as the file says it.
#[derive(Clone, Debug)]
pub struct Mix {
    pub point: Point,
    /// Sources by index; `None` where it is unsaid.
    pub of: Option<Vec<usize>>,
    pub said: Option<Span>,
    /// What goes before one more name after `of all inputs` to take it out: ` but ` or `, `.
    pub but: Option<&'static str>,
    pub label: Option<String>,
    /// The socket whose row gave the label.
    pub label_of: Option<Point>,
    /// Some row that sends it says so.
    pub stereo: bool,
}

/// A `record` that says how long it runs, on one device.
#[derive(Clone, Debug)]
pub struct Recording {
    pub device: u32,
    pub tracks: usize,
    pub seconds: f64,
    /// Of the time.
    pub said: Span,
}

/// The recordings of each device, by its name, with a scene that has it. What stands outside acts is one recording,
/// however many acts hear it.
pub fn recordings(scenes: &[Scene]) -> BTreeMap<&str, (&Scene, Vec<Recording>)> {
    let mut said: BTreeMap<&str, (&Scene, BTreeMap<Span, Recording>)> = BTreeMap::new();
    for scene in scenes {
        for recording in &scene.recordings {
            let name = scene.rig.device_name(recording.device);
            let (_, list) = said.entry(name).or_insert_with(|| (scene, BTreeMap::new()));
            let most = list.entry(recording.said).or_insert_with(|| recording.clone());
            most.tracks = most.tracks.max(recording.tracks);
        }
    }
    said.into_iter().map(|(name, (scene, list))| (name, (scene, list.into_values().collect()))).collect()
}

/// An output row, point by point.
#[derive(Clone, Debug)]
pub struct Output {
    pub from: Point,
    pub to: Point,
    pub used_as: Option<Use>,
    pub label: Option<String>,
    pub row: usize,
    pub stereo: bool,
    pub remarks: Remarks,
}

/// A personal-monitor feed, number by number.
#[derive(Clone, Debug)]
pub struct Personal {
    pub feed: Point,
    pub of: Target,
    pub stereo: bool,
    pub remarks: Remarks,
}

/// What a pin fixes: these points are fed by those, in order, or by a named block.
#[derive(Clone, Debug)]
pub struct Pin {
    pub to: Vec<Point>,
    pub from: PinFrom,
    pub span: Span,
}

#[derive(Clone, Debug)]
pub enum PinFrom {
    Points(Vec<Point>),
    /// A named block of a device: its index among the model's blocks.
    Block(u32, usize),
}
