//! Reading the attributes of a row: one getter an attribute, the word an attribute goes by, and whether
//! two say the same. Nothing here changes a row.

use crate::quantity::Quantity;
use crate::source::{At, Span};
use crate::syntax::ast::{
    Attr, AttrKind, Cable, Dotted, InputRow, Name, Numbers, OwnClock, Pickup, Place, Priority, Range, Sources, Stand,
    Term, Terms, Text,
};

/// The first attribute that `pick` takes, with its place.
pub fn find<'a, T>(attrs: &'a [Attr], pick: impl Fn(&'a AttrKind) -> Option<T>) -> Option<(T, Span)> {
    attrs.iter().find_map(|attr| Some((pick(&attr.kind)?, attr.span)))
}

/// Every attribute that `pick` takes, with its place.
pub fn find_all<'a, T>(attrs: &'a [Attr], pick: impl Fn(&'a AttrKind) -> Option<T>) -> impl Iterator<Item = (T, Span)> {
    attrs.iter().filter_map(move |attr| Some((pick(&attr.kind)?, attr.span)))
}

macro_rules! getters {
    ($($(#[$doc:meta])* $name:ident: $variant:ident -> $type:ty;)*) => {
        $($(#[$doc])* pub fn $name(attrs: &[Attr]) -> Option<(&$type, Span)> {
            find(attrs, |kind| match kind { AttrKind::$variant(value) => Some(value), _ => None })
        })*
    };
}

getters! {
    /// `condenser`, `vocal-hand`
    mic: Mic -> Name;
    /// `from drum-riser 1`
    from: From -> Terms;
    /// `from any`, `from stage-left any`
    from_any: FromAny -> Option<Dotted>;
    /// `to foh.out 15-16 and stage-right 7-8`
    to: To -> Vec<Terms>;
    via: Via -> Dotted;
    on: On -> Dotted;
    redundant_on: RedundantOn -> Dotted;
    offset: Offset -> At<u32>;
    slot: Slot -> At<u32>;
    cable: Cable -> Cable;
    dead: Dead -> Numbers;
    gain_by: GainBy -> Name;
    place: Place -> Place;
    gain: Gain -> At<Quantity>;
    stand: Stand -> At<Stand>;
    level: Level -> At<Quantity>;
    pickup: Pickup -> At<Pickup>;
    spare_for: SpareFor -> Dotted;
    priority: Priority -> At<Priority>;
    /// `pa`, `wedge`
    output_use: Use -> Name;
    of: Of -> Sources;
    who: Who -> Text;
    note: Note -> Text;
    /// The texts that belong to no word, as said; where none is, the label is made from the name.
    labels: Labels -> Vec<Text>;
}

macro_rules! flags {
    ($($name:ident: $variant:ident;)*) => {
        $(pub fn $name(attrs: &[Attr]) -> Option<Span> {
            attrs.iter().find(|attr| matches!(attr.kind, AttrKind::$variant)).map(|attr| attr.span)
        })*
    };
}

flags! {
    phantom: Phantom;
    pad: Pad;
    lifted: Lifted;
    polarity_inverted: PolarityInverted;
    ears_only: EarsOnly;
    data: Data;
    stereo: Stereo;
}

/// `spare`, alone or with what it stands in for.
pub fn spare(attrs: &[Attr]) -> Option<Span> {
    let spare = |attr: &&Attr| matches!(attr.kind, AttrKind::Spare | AttrKind::SpareFor(_));
    attrs.iter().find(spare).map(|attr| attr.span)
}

/// `reserved 12 "intercom"`, of which a device may have several.
pub fn reserved(attrs: &[Attr]) -> impl Iterator<Item = (&Numbers, Option<&Text>, Span)> {
    find_all(attrs, |kind| match kind {
        AttrKind::Reserved { lines, for_what } => Some((lines, for_what.as_ref())),
        _ => None,
    })
    .map(|((lines, for_what), span)| (lines, for_what, span))
}

/// `in 1-48` on `outside`: each bank with its range.
pub fn banks(attrs: &[Attr]) -> impl Iterator<Item = (&Name, Range, Span)> {
    find_all(attrs, |kind| match kind {
        AttrKind::Bank { name, range } => Some((name, *range)),
        _ => None,
    })
    .map(|((name, range), span)| (name, range, span))
}

/// `optical outputs offset 17`: each bank with its mode and the offset said.
pub fn modes(attrs: &[Attr]) -> impl Iterator<Item = (&Name, &Name, Option<&At<u32>>, Span)> {
    find_all(attrs, |kind| match kind {
        AttrKind::Mode { bank, mode, offset } => Some((bank, mode, offset.as_ref())),
        _ => None,
    })
    .map(|((bank, mode, offset), span)| (bank, mode, offset, span))
}

/// Whether a row of an input list declares its source; else it is a second want for one declared
/// elsewhere. A channel that is kept free is declared by `spare` alone.
pub fn declares(row: &InputRow) -> bool {
    let declaring =
        |kind: &AttrKind| matches!(kind, AttrKind::Mic(_) | AttrKind::From(_) | AttrKind::FromAny(_) | AttrKind::Spare);
    row.attrs.iter().any(|attr| declaring(&attr.kind))
}

/// The word that an attribute goes by. Two attributes of one word cannot both hold, but for `reserved`.
/// `no phantom` goes by `phantom`.
pub fn word(kind: &AttrKind) -> &str {
    match kind {
        AttrKind::Is(_) => "is",
        AttrKind::On(_) => "on",
        AttrKind::RedundantOn(_) => "redundant",
        AttrKind::Offset(_) => "offset",
        AttrKind::Slot(_) => "slot",
        AttrKind::Cable(_) => "cable",
        AttrKind::Dead(_) => "dead",
        AttrKind::Reserved { .. } => "reserved",
        AttrKind::Mode { bank: name, .. } | AttrKind::Bank { name, .. } => &name.value,
        // Only devices say `gain by`, and they have no other gain.
        AttrKind::GainBy(_) | AttrKind::Gain(_) => "gain",
        AttrKind::ClockFrom(_) => "clock",
        AttrKind::RunsAt(_) => "rate",
        AttrKind::Converts => "converts",
        AttrKind::BackupOf(_) => "backup",
        AttrKind::Supply(_) => "supply",
        AttrKind::Place(_) => "place",
        AttrKind::To(_) => "to",
        AttrKind::From(_) | AttrKind::FromAny(_) => "from",
        AttrKind::Via(_) => "via",
        AttrKind::Channel(_) => "channel",
        AttrKind::Mic(_) => "mic",
        AttrKind::Phantom => "phantom",
        AttrKind::Pad => "pad",
        AttrKind::Stand(_) => "stand",
        AttrKind::Level(_) => "level",
        AttrKind::Pickup(_) => "pickup",
        AttrKind::Lifted | AttrKind::LiftedLegs(_) => "lifted",
        AttrKind::Spare | AttrKind::SpareFor(_) => "spare",
        AttrKind::PolarityInverted => "polarity",
        AttrKind::EarsOnly => "ears-only",
        AttrKind::Data => "data",
        AttrKind::Space(_) => "space",
        AttrKind::Priority(_) => "priority",
        AttrKind::Use(_) => "use",
        AttrKind::Of(_) => "of",
        AttrKind::Stereo => "stereo",
        AttrKind::Who(_) => "who",
        AttrKind::Note(_) => "note",
        AttrKind::Labels(_) => "label",
        AttrKind::Quantity(_) => "rate",
        AttrKind::No(taken) => match taken.value.as_str() {
            "48V" | "48v" => "phantom",
            "at" => "place",
            said => said,
        },
    }
}

/// Whether two attributes say the same, wherever they stand.
pub fn same(a: &AttrKind, b: &AttrKind) -> bool {
    use AttrKind as K;
    match (a, b) {
        (K::Is(a), K::Is(b))
        | (K::GainBy(a), K::GainBy(b))
        | (K::BackupOf(a), K::BackupOf(b))
        | (K::Supply(a), K::Supply(b))
        | (K::Mic(a), K::Mic(b))
        | (K::Use(a), K::Use(b))
        | (K::Who(a), K::Who(b))
        | (K::Note(a), K::Note(b)) => a.value == b.value,
        (K::On(a), K::On(b)) | (K::RedundantOn(a), K::RedundantOn(b)) | (K::Via(a), K::Via(b)) => same_dotted(a, b),
        (K::Offset(a), K::Offset(b)) | (K::Slot(a), K::Slot(b)) => a.value == b.value,
        (K::Cable(a), K::Cable(b)) => {
            a.screened == b.screened && a.locking == b.locking && same_all(&a.lengths, &b.lengths, same_at)
        }
        (K::Dead(a), K::Dead(b)) | (K::Channel(a), K::Channel(b)) => same_numbers(a, b),
        (K::Reserved { lines: a, for_what: x }, K::Reserved { lines: b, for_what: y }) => {
            same_numbers(a, b) && same_maybe(x.as_ref(), y.as_ref(), same_at)
        }
        (K::Mode { bank: a, mode: m, offset: x }, K::Mode { bank: b, mode: n, offset: y }) => {
            same_at(a, b) && same_at(m, n) && same_maybe(x.as_ref(), y.as_ref(), same_at)
        }
        (K::Bank { name: a, range: x }, K::Bank { name: b, range: y }) => same_at(a, b) && same_range(x, y),
        (K::Place(a), K::Place(b)) => same_place(a, b),
        (K::To(a), K::To(b)) => same_all(a, b, same_terms),
        (K::From(a), K::From(b)) => same_terms(a, b),
        (K::FromAny(a), K::FromAny(b)) => same_maybe(a.as_ref(), b.as_ref(), same_dotted),
        (K::Gain(a), K::Gain(b))
        | (K::Space(a), K::Space(b))
        | (K::Level(a), K::Level(b))
        | (K::Quantity(a), K::Quantity(b))
        | (K::RunsAt(a), K::RunsAt(b)) => same_at(a, b),
        (K::ClockFrom(a), K::ClockFrom(b)) => same_clock(a, b),
        (K::Stand(a), K::Stand(b)) => same_at(a, b),
        (K::Pickup(a), K::Pickup(b)) => same_at(a, b),
        (K::SpareFor(a), K::SpareFor(b)) => same_dotted(a, b),
        (K::LiftedLegs(a), K::LiftedLegs(b)) => same_all(a, b, same_at),
        (K::Priority(a), K::Priority(b)) => same_at(a, b),
        (K::Of(a), K::Of(b)) => same_sources(a, b),
        (K::Labels(a), K::Labels(b)) => same_all(a, b, same_at),
        (K::Phantom, K::Phantom)
        | (K::Pad, K::Pad)
        | (K::Converts, K::Converts)
        | (K::Lifted, K::Lifted)
        | (K::Spare, K::Spare)
        | (K::PolarityInverted, K::PolarityInverted)
        | (K::EarsOnly, K::EarsOnly)
        | (K::Data, K::Data)
        | (K::Stereo, K::Stereo) => true,
        _ => false,
    }
}

fn same_at<T: PartialEq>(a: &At<T>, b: &At<T>) -> bool {
    a.value == b.value
}

pub(super) fn same_all<T>(a: &[T], b: &[T], same: impl Fn(&T, &T) -> bool) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b))
}

fn same_maybe<T>(a: Option<&T>, b: Option<&T>, same: impl Fn(&T, &T) -> bool) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => same(a, b),
        (None, None) => true,
        _ => false,
    }
}

/// Whether two names are the same, wherever they stand.
pub fn same_dotted(a: &Dotted, b: &Dotted) -> bool {
    same_all(&a.parts, &b.parts, same_at)
}

fn same_range(a: &Range, b: &Range) -> bool {
    (a.first, a.last) == (b.first, b.last)
}

pub fn same_numbers(a: &Numbers, b: &Numbers) -> bool {
    same_all(&a.ranges, &b.ranges, same_range)
}

fn same_term(a: &Term, b: &Term) -> bool {
    same_maybe(a.name.as_ref(), b.name.as_ref(), same_dotted)
        && same_maybe(a.range.as_ref(), b.range.as_ref(), same_range)
}

/// Whether two lists are the same, wherever they stand.
pub fn same_terms(a: &Terms, b: &Terms) -> bool {
    same_all(&a.terms, &b.terms, same_term)
}

fn same_sources(a: &Sources, b: &Sources) -> bool {
    match (a, b) {
        (Sources::All { but: a, .. }, Sources::All { but: b, .. }) => same_maybe(a.as_ref(), b.as_ref(), same_terms),
        (Sources::Named(a), Sources::Named(b)) => same_terms(a, b),
        _ => false,
    }
}

fn same_clock(a: &OwnClock, b: &OwnClock) -> bool {
    match (a, b) {
        (OwnClock::External(a), OwnClock::External(b)) => same_at(a, b),
        (OwnClock::Internal, OwnClock::Internal) => true,
        _ => false,
    }
}

fn same_place(a: &Place, b: &Place) -> bool {
    match (a, b) {
        (Place::Named(a), Place::Named(b)) | (Place::Text(a), Place::Text(b)) => a.value == b.value,
        (Place::Metres { across: a, up: x }, Place::Metres { across: b, up: y }) => same_at(a, b) && same_at(x, y),
        _ => false,
    }
}
