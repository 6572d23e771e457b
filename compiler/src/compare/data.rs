//! What two plans differ in, as plain data. The schema is `grammar/compare.schema.json`.

use crate::plan::{Origin, ShowHead};
use serde::{Serialize, Serializer};

/// Everything that a change of the show means on the ground.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Comparison {
    /// The format: 1.
    pub fantail: u32,
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
    /// Whatever else a row says.
    Said,
}

impl Verb {
    /// It says how something is that both sides have: where one has none, that is told elsewhere.
    pub(crate) fn needs_both(self) -> bool {
        self == Verb::Owner
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
            Hazard::ByHand => "left to a hand",
        }
    }
}

impl Serialize for Hazard {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}

/// The same steps in these acts.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Work {
    /// Empty where they are the same in every act.
    pub acts: Vec<String>,
    pub steps: Vec<Step>,
}

/// One thing to do, and who does it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    pub who: String,
    #[serde(flatten)]
    pub deed: Deed,
}

/// Every deed leaves a rig behind in which no 48 V meets what it can hurt and no socket has two plugs.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "do", rename_all = "kebab-case")]
pub enum Deed {
    /// Then wait until it has drained.
    #[serde(rename = "48 V off")]
    Off {
        device: String,
        bank: String,
        first: u32,
        last: u32,
    },
    /// A source's plug, or what hangs on an output.
    Unplug(Plugging),
    Pull {
        cable: crate::plan::Cable,
    },
    TakeAway {
        device: String,
    },
    Bring {
        device: crate::plan::Device,
    },
    /// A switch goes back to where it carries nothing.
    Clear {
        device: String,
        set: String,
        bank: String,
        #[serde(skip_serializing_if = "Option::is_none")]
        first: Option<u32>,
    },
    Set {
        setting: crate::plan::Setting,
    },
    /// What a mix carries from now on; absent where no row says any more.
    Send {
        mix: String,
        add: Vec<String>,
        out: Vec<String>,
        #[serde(skip_serializing_if = "Option::is_none")]
        of: Option<crate::plan::Mix>,
    },
    Lay {
        cable: crate::plan::Cable,
    },
    Plug(Plugging),
    /// What hangs on an output has another name.
    Relabel {
        at: String,
        was: String,
        now: String,
    },
    #[serde(rename = "48 V on")]
    On {
        setting: crate::plan::Setting,
    },
}

/// One plug and its socket.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Plugging {
    /// A source; of an output what hangs on it, by its label, or by what feeds it where the label does not tell it.
    pub what: String,
    /// As people call it.
    pub called: String,
    pub at: String,
    pub side: Side,
    /// The microphone or DI; what an output is for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub is: Option<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    In,
    Out,
}

/// A sheet that is to be printed again, or taken away.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Paper {
    pub title: String,
    pub reader: String,
    /// What to do with it: print again, print it since it is new, take it away.
    pub how: String,
}
