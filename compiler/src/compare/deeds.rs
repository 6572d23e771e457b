//! What is to be done where two plans differ, step by step, as plain data. The schema is `grammar/compare.schema.json`.

use crate::plan::{Cable, Device, Mix, Setting};
use serde::Serialize;
use serde_json::Value;

/// The same steps in these acts.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Work {
    /// Empty where they are the same in every act.
    pub acts: Vec<String>,
    pub steps: Vec<Step>,
    /// What is done once stands in a list before this one.
    #[serde(skip)]
    pub later: bool,
}

/// One thing to do, when, and who does it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    pub who: String,
    pub when: When,
    /// It stands in the list of every act, and is done once for all of them.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub once: bool,
    #[serde(flatten)]
    pub deed: Deed,
}

/// Whoever works down a list of their own is safe as long as nobody begins a stage before all have done the one before.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum When {
    /// Before anything else: 48 V off, wherever hands are laid on.
    First,
    Then,
    /// When everything is plugged: 48 V on.
    Last,
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
        cable: Cable,
    },
    TakeAway {
        device: String,
    },
    Bring {
        device: Device,
    },
    /// How a device is, apart from what is patched; absent where nothing is said of it.
    Mark {
        device: String,
        /// A key of the device in a plan.
        of: String,
        #[serde(skip_serializing_if = "Option::is_none")]
        was: Option<Value>,
        #[serde(skip_serializing_if = "Option::is_none")]
        now: Option<Value>,
    },
    /// A switch goes back to where it carries nothing.
    Clear {
        device: String,
        set: String,
        bank: String,
        #[serde(skip_serializing_if = "Option::is_none")]
        first: Option<u32>,
        #[serde(skip_serializing_if = "Option::is_none")]
        last: Option<u32>,
    },
    Set {
        setting: Setting,
    },
    /// Another desk turns it from now on; it stays as it is.
    HandOver {
        setting: Setting,
        #[serde(skip_serializing_if = "Option::is_none")]
        from: Option<String>,
    },
    /// What stands at a channel, a track, a mix or a personal feed; absent where nothing does.
    Name {
        at: String,
        #[serde(skip_serializing_if = "Option::is_none")]
        was: Option<Strip>,
        #[serde(skip_serializing_if = "Option::is_none")]
        now: Option<Strip>,
    },
    /// What a mix carries from now on; absent where no row says any more.
    Send {
        mix: String,
        called: String,
        add: Vec<Named>,
        out: Vec<Named>,
        /// Where that is otherwise: it is one side of a stereo mix, or no longer.
        #[serde(skip_serializing_if = "Option::is_none")]
        stereo: Option<bool>,
        #[serde(skip_serializing_if = "Option::is_none")]
        of: Option<Mix>,
        /// Something still hangs on it.
        used: bool,
    },
    /// What a hand must keep out of a mix of which no row says what it carries, and what it need not any more.
    LeaveOut {
        mix: String,
        called: String,
        out: Vec<Named>,
        free: Vec<Named>,
        /// Something still hangs on it, and still no row says what it carries.
        used: bool,
    },
    Lay {
        cable: Cable,
    },
    /// How a source is set up on stage; absent where it is not plugged in.
    Stand {
        what: String,
        called: String,
        #[serde(skip_serializing_if = "Option::is_none")]
        was: Option<Spot>,
        #[serde(skip_serializing_if = "Option::is_none")]
        now: Option<Spot>,
    },
    Plug(Plugging),
    /// What is in a socket has another name.
    Relabel {
        at: String,
        was: String,
        now: String,
    },
    #[serde(rename = "48 V on")]
    On {
        setting: Setting,
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

/// A source or a mix, and how people call it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Named {
    pub what: String,
    pub called: String,
    /// Its channel on the desk of the mix.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
}

/// What a person at a desk or a recorder reads at one place, and how it is dialled there.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Strip {
    pub label: String,
    /// Its polarity is turned over there.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub inverted: bool,
}

/// How a source is set up on stage.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Spot {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stand: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// The ground lift of its DI is on.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub lifted: bool,
}
