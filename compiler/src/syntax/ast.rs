//! What a file says, as the parser reads it: statements and rows with the place of every part.
//! Nothing is resolved here: a name is a name, a number a number, and ranges are not expanded.

mod attrs;
mod gear;

pub use attrs::{Attr, AttrKind, Cable, OwnClock, Pickup, Place, Priority, Stand};
pub use gear::{
    Bank, BankRole, Carrier, CarrierItem, Faces, Feed, FeedVerdict, Kind, Mic, Model, ModelItem, ModelItemKind,
    PhantomPolicy, PhantomSupply, Port, RideAt, Route, RouteHow, TakeAt,
};

use crate::quantity::Quantity;
use crate::source::{At, Span};

/// One word, in NFC.
pub type Name = At<String>;
/// A quoted text, without its quotes.
pub type Text = At<String>;

/// A name of one or more parts: `foh.local`, `toms.1`, `kestrel.kick`. Never empty.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Dotted {
    pub parts: Vec<Name>,
    pub span: Span,
}

/// `12` (first = last) or `1-8`. `first <= last`; not yet checked against any bank, so do not
/// expand it before that.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Range {
    pub first: u32,
    pub last: u32,
    pub span: Span,
}

/// `1-8, 12, 15-16`. Never empty.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Numbers {
    pub ranges: Vec<Range>,
    pub span: Span,
}

/// A word with a number is a bank's points (`main 1-2`, `foh.local 3`); without one a source, a
/// group or a device (`drums`). `name` is `None` where a list goes on in the bank before it:
/// `foh.out 1-2, 5`.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Term {
    pub name: Option<Dotted>,
    pub range: Option<Range>,
    pub span: Span,
}

/// Terms joined by `,`. Never empty; the first has a name.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Terms {
    pub terms: Vec<Term>,
    pub span: Span,
}

/// `all inputs but talkback`, or names.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Sources {
    All { span: Span, but: Option<Terms> },
    Named(Terms),
}

#[derive(Clone, Debug, PartialEq)]
pub struct Statement {
    pub span: Span,
    /// The statement word: `inputs`, `box`.
    pub word: Span,
    pub kind: StatementKind,
}

#[derive(Clone, Debug, PartialEq)]
pub enum StatementKind {
    /// `fantail 1`
    Version(At<u32>),
    /// `show "Night Ferry" at "Quayside Hall" on 2026-07-04`
    Show {
        title: Text,
        venue: Option<Text>,
        date: Option<At<Date>>,
    },
    /// `include "../rig.fantail"`, `include outside "…"`
    Include {
        path: Text,
        outside: bool,
    },
    /// `rate 48 kHz`
    Rate(At<Quantity>),
    /// `clock foh`
    Clock(Name),
    Carrier(Carrier),
    Kind(Kind),
    Feed(Feed),
    Mic(Mic),
    Model(Model),
    Device(Device),
    /// `link foh.portB to monitors.portA cable 90 m`
    Link {
        from: Dotted,
        to: Dotted,
        attrs: Vec<Attr>,
    },
    /// `loom split.direct 1-16 to stage-left 1-16 cable 10 m`
    Loom {
        from: Terms,
        to: Terms,
        attrs: Vec<Attr>,
    },
    /// `spare cable 60 m screened`
    SpareCable(Vec<Attr>),
    /// `inputs foh { … }`; the desk may be left out where there is one.
    Inputs {
        desk: Option<Name>,
        rows: Vec<InputRow>,
    },
    /// `inputs monitors same as foh`
    InputsSame {
        desk: Name,
        of: Name,
    },
    Outputs {
        desk: Option<Name>,
        rows: Vec<OutputRow>,
    },
    Personal {
        desk: Option<Name>,
        rows: Vec<PersonalRow>,
    },
    /// `record all inputs but talkback`, `record drums on foh for 3 h`
    Record {
        what: Sources,
        desk: Option<Name>,
        lasts: Option<At<Quantity>>,
    },
    /// `keep talkback out of pa, broadcast`
    Keep {
        what: Terms,
        out_of: Vec<Name>,
    },
    /// `group drums kick-in, kick-out`
    Group {
        name: Name,
        members: Terms,
    },
    /// `set foh.channel 1-8 from foh.portA 1-8`: a pin, which the search does not move. A named
    /// block of unlike points stands without a number: `set foh.portA 1-8 from foh.extras`.
    Set {
        to: Terms,
        from: Terms,
    },
    Act(Act),
    Expect(Expect),
    /// `allow mirrored-outputs on stage-right because "…"`; `on` may name a point: `foh.out 3`
    Allow {
        rule: Name,
        on: Option<Terms>,
        because: Option<Text>,
    },
    /// `change input kick-in from stage-left 13`
    Change {
        what: What,
        attrs: Vec<Attr>,
    },
    /// `without input click`
    Without {
        what: What,
    },
}

/// `2026-07-04`, a date of the calendar.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Date {
    pub year: u16,
    pub month: u8,
    pub day: u8,
}

/// `14:05`, in minutes from midnight, under 1440.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Time(pub u16);

/// What `change` and `without` name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum What {
    /// `input kick-in`, `input monitors.kick-in`
    Input(Dotted),
    /// `output mix 1`, `output monitors.mix 1-2`
    Output(Term),
    /// `personal 3-4`, `personal monitors 3-4`
    Personal { desk: Option<Name>, numbers: Numbers },
    /// `box stage-right`, `desk foh`, `snake …`
    Device { word: At<DeviceWord>, name: Name },
    /// `link foh.portB to monitors.portA`; `to` may be left out
    Link { from: Dotted, to: Option<Dotted> },
    /// `loom split.direct`
    Loom { from: Dotted },
    /// `group drums`
    Group(Name),
    /// `act kestrel` (only after `without`)
    Act(Name),
    /// `record` (only after `without`): takes out every `record` inherited
    Record(Span),
    /// `rate` (only after `change`; the new rate is an `Attr::Quantity`)
    Rate(Span),
    /// `clock` (only after `change`; the new clock is an `AttrKind::Is`)
    Clock(Span),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum DeviceWord {
    /// `desk` or `console`
    Desk,
    Box,
    Hub,
    Snake,
    Split,
    Recorder,
    Outside,
}

impl DeviceWord {
    pub fn word(self) -> &'static str {
        match self {
            DeviceWord::Desk => "desk",
            DeviceWord::Box => "box",
            DeviceWord::Hub => "hub",
            DeviceWord::Snake => "snake",
            DeviceWord::Split => "split",
            DeviceWord::Recorder => "recorder",
            DeviceWord::Outside => "outside",
        }
    }
}

/// `box stage-left is box-16x8 on foh.portA offset 1 cable 60 m`,
/// `outside truck "TV truck" in 1-48`
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    pub word: At<DeviceWord>,
    pub name: Name,
    pub label: Option<Text>,
    pub model: Option<Name>,
    pub attrs: Vec<Attr>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct InputRow {
    pub span: Span,
    pub channels: Option<Numbers>,
    pub name: Name,
    pub attrs: Vec<Attr>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct OutputRow {
    pub span: Span,
    /// The bank whose points are sent: `mix`, `main`.
    pub bank: Name,
    pub numbers: Numbers,
    /// Has `AttrKind::To` unless the row was broken.
    pub attrs: Vec<Attr>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct PersonalRow {
    pub span: Span,
    pub numbers: Numbers,
    pub feeds: Terms,
    pub attrs: Vec<Attr>,
}

/// `act kestrel "Kestrel Field" from 23:20 to 00:30 { … }`
#[derive(Clone, Debug, PartialEq)]
pub struct Act {
    pub name: Name,
    pub title: Option<Text>,
    pub from: Option<At<Time>>,
    pub to: Option<At<Time>>,
    pub statements: Vec<Statement>,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Expect {
    /// `kick-in reaches foh.channel 1`, `click not reaches pa`
    Reaches { what: Term, not: Option<Span>, place: Term },
    /// `spare inputs on each box at least 2`, `spare inputs on stage-left at least 2`
    Spare { on: Option<Name>, at_least: At<u32> },
    /// `latency from kick-in to stage-left.out 7 under 8 ms`
    Latency { from: Term, to: Term, under: At<Quantity> },
}
