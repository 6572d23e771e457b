//! What rows say of a thing: attributes with all that they take. Which may stand where is the parser's business.

use super::*;

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

    /// What has it may stand on mains.
    pub fn has_a_switch(self) -> bool {
        matches!(self, Pickup::Active | Pickup::Line)
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Priority {
    May,
    Should,
    Must,
}

impl Priority {
    pub fn word(self) -> &'static str {
        match self {
            Priority::May => "may",
            Priority::Should => "should",
            Priority::Must => "must",
        }
    }
}
