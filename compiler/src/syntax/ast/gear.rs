//! What std and users declare about gear: carriers, kinds, microphones, models.

use super::*;

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
    /// What gives it has a switch of its own: a receiver, a player, an instrument.
    pub mains: bool,
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
