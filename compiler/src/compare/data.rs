//! What two plans differ in, as plain data. The schema is `grammar/compare.schema.json`.

use super::deeds::Work;
use crate::plan::{Origin, ShowHead};
use serde::{Serialize, Serializer};

/// Everything that a change of the show means on the ground.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Comparison {
    pub old: ShowHead,
    pub new: ShowHead,
    /// The worst first.
    pub risks: Vec<Risk>,
    /// By thing.
    pub changes: Vec<Change>,
    /// What to do, in order; acts for which the same is to be done stand together.
    pub work: Vec<Work>,
    /// Filled by whoever can print sheets.
    pub paper: Vec<Paper>,
    /// For the printed forms.
    #[serde(skip)]
    pub called: super::called::Called,
}

impl Comparison {
    /// The plans say the same.
    pub fn is_empty(&self) -> bool {
        self.risks.is_empty() && self.changes.is_empty() && self.work.iter().all(|work| work.steps.is_empty())
    }
}

/// What became of one thing.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Change {
    pub verb: Verb,
    /// `source kick-in`
    pub thing: String,
    /// How people call it.
    pub called: String,
    /// The other of two that were swapped.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub with: Option<String>,
    /// Which of several: the bank of an offset, the desk of a channel, the word of a remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub of: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub was: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub now: Option<String>,
    /// Whom it concerns: a crew, or the device at which it is dialled.
    pub who: Vec<String>,
    /// Empty where it holds in every act.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub acts: Vec<String>,
    /// The rows that did it, as far as a row did.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub origins: Vec<Origin>,
}

/// What can become of a thing, in the words of the trade.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verb {
    #[default]
    Added,
    Gone,
    Renamed,
    /// A model took another's place.
    Exchanged,
    /// To another socket or box.
    Moved,
    /// Two things changed places.
    Swapped,
    /// On another channel or track; another thing on a feed.
    Repatched,
    Reordered,
    /// A cable leads elsewhere.
    Recabled,
    /// Its length.
    Cable,
    Phantom,
    Gain,
    Pad,
    Polarity,
    Mic,
    Stand,
    Labelled,
    /// What an output is for.
    Used,
    /// What a mix carries.
    Sent,
    Mode,
    Offset,
    Slot,
    Blocks,
    /// The desk that may turn a preamp.
    Owner,
    /// By which preamps a desk hears.
    Preamps,
    /// Whatever else a row says.
    Said,
}

impl Verb {
    /// It says how something is that both sides have: where one has none, that is told elsewhere.
    pub(crate) fn needs_both(self) -> bool {
        matches!(self, Verb::Owner | Verb::Preamps)
    }

    /// On or off.
    pub(crate) fn is_switch(self) -> bool {
        matches!(self, Verb::Phantom | Verb::Pad | Verb::Polarity)
    }

    /// Of a device itself.
    pub(crate) fn is_dialled(self) -> bool {
        matches!(self, Verb::Mode | Verb::Offset | Verb::Slot | Verb::Blocks)
    }

    /// As it is said.
    pub fn word(self) -> &'static str {
        match self {
            Verb::Added => "added",
            Verb::Gone => "gone",
            Verb::Renamed => "renamed",
            Verb::Exchanged => "exchanged",
            Verb::Moved => "moved",
            Verb::Swapped => "swapped",
            Verb::Repatched => "re-patched",
            Verb::Reordered => "re-ordered chain",
            Verb::Recabled => "re-cabled",
            Verb::Cable => "cable",
            Verb::Phantom => "48 V",
            Verb::Gain => "gain",
            Verb::Pad => "pad",
            Verb::Polarity => "polarity",
            Verb::Mic => "microphone",
            Verb::Stand => "stand",
            Verb::Labelled => "label",
            Verb::Used => "use",
            Verb::Sent => "sends",
            Verb::Mode => "mode",
            Verb::Offset => "offset",
            Verb::Slot => "slot",
            Verb::Blocks => "blocks",
            Verb::Owner => "set from",
            Verb::Preamps => "preamps",
            Verb::Said => "says",
        }
    }
}

impl Serialize for Verb {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}

/// What can go wrong when the change is made, or has already.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Risk {
    pub risk: Hazard,
    /// `source kick-in`
    pub thing: String,
    pub called: String,
    /// In words, with the places.
    pub says: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub acts: Vec<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hazard {
    /// What was set for a loudspeaker comes to ears.
    Ears,
    /// 48 V reaches what it did not reach before.
    Gains,
    Silent,
    /// It is heard where nobody asked for it.
    Leaks,
    /// It comes by a preamp that may be set otherwise.
    Level,
    /// Only a hand on a desk keeps it out.
    ByHand,
}

impl Hazard {
    /// As it is said.
    pub fn word(self) -> &'static str {
        match self {
            Hazard::Ears => "comes to ears",
            Hazard::Gains => "gains 48 V",
            Hazard::Silent => "goes silent",
            Hazard::Leaks => "leaks",
            Hazard::Level => "level may jump",
            Hazard::ByHand => "left to a hand",
        }
    }
}

impl Serialize for Hazard {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}

/// A sheet that is to be printed again, or taken away.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Paper {
    pub title: String,
    pub reader: String,
    /// What to do with it: print again, print it since it is new, take it away.
    pub how: String,
}
