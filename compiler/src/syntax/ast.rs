//! What a file says, as the parser reads it: statements and rows with the place of every part.
//! Nothing is resolved here: a name is a name, a number a number, and ranges are not expanded.

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

/// One attribute of a device, a cable or a row, with all it takes. Which may stand where is the
/// parser's business; the order within a row is free.
#[derive(Clone, Debug, PartialEq)]
pub struct Attr {
    pub span: Span,
    pub kind: AttrKind,
}

#[derive(Clone, Debug, PartialEq)]
pub enum AttrKind {
    // devices
    /// In `change` only: `is box-32x16`
    Is(Name),
    /// `on foh.portA`
    On(Dotted),
    /// `redundant on foh.portB`
    RedundantOn(Dotted),
    /// `offset 9`
    Offset(At<u32>),
    /// `slot 17`: where own inputs ride, on a model that rides at a setting
    Slot(At<u32>),
    /// `cable 75 m + 30 m screened locking`
    Cable(Cable),
    /// `dead 6, 11`
    Dead(Numbers),
    /// `reserved 12 "intercom"`
    Reserved {
        lines: Numbers,
        for_what: Option<Text>,
    },
    /// `optical copy`, `optical outputs offset 17`
    Mode {
        bank: Name,
        mode: Name,
        offset: Option<At<u32>>,
    },
    /// `gain by monitors`
    GainBy(Name),
    /// `space 500 GB`: free on what it records to
    Space(At<Quantity>),
    /// `clock internal`, `clock external "House clock"`: what this device runs on, where it is not its link
    ClockFrom(OwnClock),
    /// `rate 44.1 kHz`: the rate of this one device
    RunsAt(At<Quantity>),
    /// `converts`: a sample-rate converter stands at its digital lines
    Converts,
    /// `backup of player-a`
    BackupOf(Name),
    /// `supply "Stage A"`: the mains supply that it is plugged into
    Supply(Text),
    /// `lifted iso-a, iso-b`: legs of a split whose ground is lifted
    LiftedLegs(Vec<Name>),
    /// `in 1-48`, on `outside`
    Bank {
        name: Name,
        range: Range,
    },
    /// `place DSL`, `place 3.5 m, 2 m`, `place "behind the drums"`; also `at …` in a row
    Place(Place),
    // points
    /// `to stage-left 1-12`, `to foh.out 15-16 and stage-right 7-8`: full lists joined by `and`
    To(Vec<Terms>),
    /// `from drum-riser 1`
    From(Terms),
    /// `from stage-left any`, `from any`
    FromAny(Option<Dotted>),
    /// `via split.iso-a`
    Via(Dotted),
    /// In `change` only: `channel 27-28`
    Channel(Numbers),
    // inputs
    /// `condenser`, `vocal-hand`
    Mic(Name),
    /// `phantom`, `48V`, `48 V`
    Phantom,
    /// `gain 32 dB`
    Gain(At<Quantity>),
    Pad,
    /// `stand tall|short|clip|straight|none`
    Stand(At<Stand>),
    /// `level 118 dB SPL`
    Level(At<Quantity>),
    /// `pickup passive|piezo|active|line`: what an instrument gives to its DI
    Pickup(At<Pickup>),
    /// `lifted`: the ground lift of this DI is on
    Lifted,
    Spare,
    /// `spare for lead`: it stands in for that one
    SpareFor(Dotted),
    /// `polarity inverted`
    PolarityInverted,
    EarsOnly,
    /// `data`: time code, a tone: never in a mix
    Data,
    /// `priority must|should|may`
    Priority(At<Priority>),
    // outputs
    /// `pa`, `wedge`, `in-ears`
    Use(Name),
    /// `of kick-in, drums`, `of all inputs but talkback`
    Of(Sources),
    // any row
    Stereo,
    Who(Text),
    Note(Text),
    /// The row's texts that belong to no word: labels, pairing in order with the row's points.
    Labels(Vec<Text>),
    /// In `change` only: `no phantom` takes a flag away. The word as written.
    No(Name),
    /// In `change rate` only.
    Quantity(At<Quantity>),
}

/// A clock that a device does not take from its link.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum OwnClock {
    Internal,
    External(Text),
}

/// Several lengths are joined with couplers: `75 m + 30 m`.
#[derive(Clone, Debug, PartialEq)]
pub struct Cable {
    pub lengths: Vec<At<Quantity>>,
    pub screened: bool,
    pub locking: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Place {
    /// The trade's nine: USR USC USL SR C SL DSR DSC DSL (SC is also read as C).
    Named(Name),
    /// Across (performer's left positive) and up from the front edge.
    Metres {
        across: At<Quantity>,
        up: At<Quantity>,
    },
    Text(Text),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stand {
    Tall,
    Short,
    Clip,
    Straight,
    None,
}

impl Stand {
    pub fn word(self) -> &'static str {
        match self {
            Stand::Tall => "tall",
            Stand::Short => "short",
            Stand::Clip => "clip",
            Stand::Straight => "straight",
            Stand::None => "none",
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pickup {
    Passive,
    Piezo,
    Active,
    Line,
}

impl Pickup {
    pub fn word(self) -> &'static str {
        match self {
            Pickup::Passive => "passive",
            Pickup::Piezo => "piezo",
            Pickup::Active => "active",
            Pickup::Line => "line",
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Priority {
    May,
    Should,
    Must,
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

// What std and users declare about gear.

/// `carrier aes50 { slots 48 at 48 kHz; slots 24 at 96 kHz; length 100 m; screened; locking }`,
/// `carrier analogue { }`
#[derive(Clone, Debug, PartialEq)]
pub struct Carrier {
    pub name: Name,
    pub items: Vec<At<CarrierItem>>,
}

#[derive(Clone, Debug, PartialEq)]
pub enum CarrierItem {
    Slots {
        count: At<u32>,
        rate: At<Quantity>,
    },
    Length(At<Quantity>),
    Screened,
    Locking,
    /// `latency 0.0625 ms`, one hop
    Latency(At<Quantity>),
}

/// `kind condenser { signal mic; phantom needs }`, `kind di-passive { …; suits active, line }`
#[derive(Clone, Debug, PartialEq)]
pub struct Kind {
    pub name: Name,
    pub signal: Option<Name>,
    pub phantom: Option<At<PhantomPolicy>>,
    /// Time code and the like: no audio that anybody may hear.
    pub data: bool,
    /// Speech to the crew and the stage, never to an audience.
    pub talkback: bool,
    /// Of a DI: what it is made for. Empty where it is not said.
    pub suits: Vec<At<Pickup>>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PhantomPolicy {
    Needs,
    Tolerates,
    Never,
}

/// A row of the table of kind against kind: `feed line to mic warn "say pad"`. The verdicts are
/// `fine`, `warn` and `error`; what is not in the table is an error.
#[derive(Clone, Debug, PartialEq)]
pub struct Feed {
    pub from: Name,
    pub to: Name,
    pub verdict: At<FeedVerdict>,
    pub why: Option<Text>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FeedVerdict {
    Fine,
    Warn,
    Error,
}

/// `mic vocal-hand { kind dynamic; sensitivity 2.0 mV/Pa; needs 3.1 mA; max 140 dB SPL }`
#[derive(Clone, Debug, PartialEq)]
pub struct Mic {
    pub name: Name,
    pub label: Option<Text>,
    pub kind: Option<Name>,
    pub sensitivity: Option<At<Quantity>>,
    pub current: Option<At<Quantity>>,
    pub max: Option<At<Quantity>>,
    pub note: Option<Text>,
}

/// `model box-12x4 { … }`, `model desk-40-eights-pick like desk-40-eights { … }`
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    pub name: Name,
    pub label: Option<Text>,
    /// All of that model, then the items here: a bank or port of a known name replaces it, and a
    /// route of the same bank, or the same part of it, replaces that one.
    pub like: Option<Name>,
    pub items: Vec<ModelItem>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct ModelItem {
    pub span: Span,
    pub kind: ModelItemKind,
}

#[derive(Clone, Debug, PartialEq)]
pub enum ModelItemKind {
    Bank(Bank),
    Port(Port),
    /// `up passes thru`: what arrives at either leaves by the other. For `personal passes up one way`
    /// hear `ModelItemKind::Passes { one_way: true }`: only what arrives at `from` leaves by `to`.
    Passes {
        port: Name,
        other: Name,
        one_way: bool,
    },
    /// `in rides up stacked`, `in rides up at a setting 1, 17, 33`, `in rides up at 1`
    Rides {
        bank: Name,
        port: Name,
        at: RideAt,
    },
    /// `out takes up offset 1, 9, 17`, `out takes up at 41`; then `in mode outputs`, `first desk only`
    Takes {
        bank: Name,
        port: Name,
        at: TakeAt,
        mode: Option<Name>,
        first_desk_only: bool,
    },
    /// `optical copies in from 1 in mode copy`
    Copies {
        bank: Name,
        of: Name,
        first: Option<At<u32>>,
        mode: Option<Name>,
    },
    /// `channel from local, portA in blocks of 8`, `out from mix, main one by one`,
    /// `portA 41-48 from personal straight at 48 kHz`, and `at most 16`
    Route(Route),
    /// `block extras aux-out 1-4, cue 1-2, phones 1-2`
    Block {
        name: Name,
        points: Terms,
    },
    /// `reserved portA 41-48 for personal at 48 kHz`
    Reserved {
        port: Name,
        range: Range,
        for_what: Name,
        rate: Option<At<Quantity>>,
    },
    /// `pairs channel, mix` : stereo pairs of these banks start on odd numbers
    Pairs {
        banks: Vec<Name>,
    },
    /// `latency 1.2 ms`: from a socket to a port or back, or through a desk
    Latency(At<Quantity>),
    /// `phantom limit 280 mA`
    PhantomLimit(At<Quantity>),
    /// `draws 60 W`
    Draws(At<Quantity>),
    /// `strip 8`: so many letters a channel strip of the desk shows
    Strip(At<u32>),
    /// `converts`: its digital lines run at any rate and on any clock
    Converts,
    /// `label "…"`: how sheets call it
    Note(Text),
}

/// `in 1-12 mic gain -6 dB to 54 dB phantom each clip 23 dBu`,
/// `channel 1-40 inner end`, `mix 1-16 origin`, `out 1-4 line`
#[derive(Clone, Debug, PartialEq)]
pub struct Bank {
    pub name: Name,
    pub range: Range,
    /// Said, or by the name: a bank called `in` is in, one called `out` is out.
    pub role: Option<At<BankRole>>,
    /// `end`: an inner bank where signals end, such as channels. Every `out` bank is one.
    pub end: Option<Span>,
    /// mic, line, speaker, digital, optical …
    pub signal: Option<Name>,
    pub gain: Option<(At<Quantity>, At<Quantity>)>,
    pub phantom: Option<At<PhantomSupply>>,
    pub pad: Option<Span>,
    pub clip: Option<At<Quantity>>,
    /// `isolated`: passes no phantom (a transformer)
    pub isolated: Option<Span>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BankRole {
    In,
    Out,
    Inner,
    Origin,
}

/// `phantom each`, `phantom in groups of 8`, `phantom none`
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PhantomSupply {
    Each,
    Groups(u32),
    None,
}

/// `port up aes50 to desk`, `port personal aes50 to next powers`, `port in aes50 to desk needs power`
#[derive(Clone, Debug, PartialEq)]
pub struct Port {
    pub name: Name,
    pub carrier: Name,
    pub faces: At<Faces>,
    /// `powers`: gives power to what hangs on it
    pub powers: Option<Span>,
    /// `needs power`
    pub needs_power: Option<Span>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Faces {
    /// toward the desk: takes its clock here
    Desk,
    /// away from the desk
    Next,
    /// a desk's own port, which joins either
    Any,
}

#[derive(Clone, Debug, PartialEq)]
pub enum RideAt {
    Stacked,
    Setting(Numbers),
    Fixed(At<u32>),
}

#[derive(Clone, Debug, PartialEq)]
pub enum TakeAt {
    Offset(Numbers),
    Fixed(At<u32>),
}

#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    pub bank: Name,
    pub range: Option<Range>,
    pub from: Vec<Name>,
    pub how: At<RouteHow>,
    pub at_most: Option<At<u32>>,
    pub rate: Option<At<Quantity>>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RouteHow {
    /// `in blocks of 8`
    Blocks(u32),
    /// `one by one`
    OneByOne,
    /// `straight`: n from n, always
    Straight,
}
