//! What an output is for.

/// A use that an output row can name.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Use {
    Pa,
    Sub,
    Fill,
    Delay,
    Wedge,
    SideFill,
    InEars,
    Broadcast,
    Press,
    Relay,
    HearingLoop,
    Record,
    Effects,
    Comms,
}

/// Every use with its word.
pub const OUTPUT_USES: &[(&str, Use)] = &[
    ("pa", Use::Pa),
    ("sub", Use::Sub),
    ("fill", Use::Fill),
    ("delay", Use::Delay),
    ("wedge", Use::Wedge),
    ("side-fill", Use::SideFill),
    ("in-ears", Use::InEars),
    ("broadcast", Use::Broadcast),
    ("press", Use::Press),
    ("relay", Use::Relay),
    ("hearing-loop", Use::HearingLoop),
    ("record", Use::Record),
    ("effects", Use::Effects),
    ("comms", Use::Comms),
];

impl Use {
    pub fn named(word: &str) -> Option<Use> {
        OUTPUT_USES.iter().find(|(name, _)| *name == word).map(|(_, used_as)| *used_as)
    }

    pub fn word(self) -> &'static str {
        OUTPUT_USES.iter().find(|(_, used_as)| *used_as == self).map_or("", |(name, _)| name)
    }

    /// Something makes sound there; what records, passes on or treats a signal does not.
    pub fn sounds(self) -> bool {
        !matches!(self, Use::Broadcast | Use::Press | Use::Record | Use::Effects | Use::Comms)
    }

    /// What the audience hears.
    pub fn is_for_audience(self) -> bool {
        matches!(self, Use::Pa | Use::Sub | Use::Fill | Use::Delay)
    }

    /// An audience hears it, here or elsewhere, at once or later.
    pub fn is_public(self) -> bool {
        use Use::{Broadcast, Delay, Fill, HearingLoop, Pa, Press, Record, Relay, Sub};
        matches!(self, Pa | Sub | Fill | Delay | Broadcast | Press | Relay | HearingLoop | Record)
    }

    /// A source that is `ears-only` may go there.
    pub fn is_for_ears(self) -> bool {
        self.is_ears() || self == Use::Record
    }

    /// Heard by one performer alone, so a click may go there.
    pub fn is_ears(self) -> bool {
        self == Use::InEars
    }
}

/// What a word in `keep … out of` means: `pa` is all that the audience hears.
pub fn uses_meant(word: &str) -> Option<Vec<Use>> {
    match word {
        "pa" => Some(vec![Use::Pa, Use::Sub, Use::Fill, Use::Delay]),
        _ => Use::named(word).map(|used_as| vec![used_as]),
    }
}
