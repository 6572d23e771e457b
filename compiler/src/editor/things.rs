//! What a name, a number or a text means at each place of the grammar. The only table of that: completion
//! and signatures look here.

use super::grammar::{Sign, Want};
use crate::quantity::Dimension;

/// What stands at a place that the grammar calls a name, a number or a text.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Thing {
    /// A name that is made up here.
    New,
    Text,
    File,
    Number,
    Time,
    Date,
    /// Of this word.
    Quantity(&'static str),
    // what is declared
    Desk,
    Device,
    /// A device of the word before.
    DeviceOfWord,
    Recording,
    Model,
    Source,
    /// A source that an input row may take once more.
    Again,
    SourceOrGroup,
    SourceOrPoint,
    PointOrUse,
    Group,
    Act,
    Mic,
    Kind,
    Signal,
    Carrier,
    Rule,
    Use,
    /// An attribute to take away.
    Attribute,
    // points
    Port,
    Plug,
    Output,
    RunFrom,
    RunTo,
    Fed,
    Feeds,
    /// A bank of a split that signals leave by.
    Leg,
    /// A bank of a desk whose points are sent.
    Bank,
    OutputNumber,
    Channel,
    Feed,
    Offset,
    ModeOffset,
    Slot,
    ModeBank,
    Mode,
    Line,
    /// Banks, ports and blocks of the model around.
    Own,
    OwnPort,
}

/// What stands there. `None` where the table has no line: a test sees that there is none such.
pub(super) fn thing(want: &Want) -> Option<Thing> {
    if want.unit || is_quantity(want) {
        return Some(Thing::Quantity(want.word));
    }
    Some(match want.sign {
        Sign::Text if (want.part, want.word) == ("include", "include") => Thing::File,
        Sign::Text => Thing::Text,
        Sign::Date => Thing::Date,
        Sign::Time => Thing::Time,
        _ => named(want.part, want.word, want.nth)?,
    })
}

fn named(part: &str, word: &str, nth: u8) -> Option<Thing> {
    use Thing::*;
    Some(match (part, word, nth) {
        // statements
        ("inputs" | "outputs" | "personal" | "inputs-same", ..) => Desk,
        ("record", "on", _) => Recording,
        ("clock", ..) => Device,
        ("model", "like", _) => Model,
        ("device" | "outside", ..) | ("model" | "carrier" | "kind" | "mic" | "act", _, 0) => New,
        ("link", ..) => Port,
        ("loom", "loom", _) => RunFrom,
        ("loom", "to", _) => RunTo,
        ("keep", "keep", _) => SourceOrGroup,
        ("keep", ..) => Use,
        ("group", _, 0) => New,
        ("group", ..) => Source,
        ("set", "set", _) => Fed,
        ("set", ..) => Feeds,
        ("reaches", "", _) | ("latency", ..) => SourceOrPoint,
        ("reaches", ..) => PointOrUse,
        ("spare-inputs", "on", _) => Device,
        ("allow", "allow", _) => Rule,
        ("allow", ..) => SourceOrPoint,
        ("feed", ..) => Signal,
        ("version" | "spare-inputs", ..) => Number,
        // changes
        ("change" | "without", ..) => changed(word, nth)?,
        ("no", ..) => Attribute,
        // rows
        ("input-row", _, 0) => Channel,
        ("input-row", _, 1) => Again,
        ("input-row", ..) => Mic,
        ("output-row", _, 0) => Bank,
        ("output-row", ..) => OutputNumber,
        ("personal-row", _, 0) => Feed,
        ("personal-row", ..) => SourceOrPoint,
        ("input-attribute", "from", _) => Plug,
        ("input-attribute", "via", _) => Leg,
        ("input-attribute", "for", _) => Source,
        ("sources", ..) => SourceOrGroup,
        ("to", ..) => Output,
        _ => return of_gear(part, word, nth),
    })
}

/// After `change` and `without`.
fn changed(word: &str, nth: u8) -> Option<Thing> {
    use Thing::*;
    Some(match (word, nth) {
        ("input", 0) => Source,
        ("input", _) => Mic,
        ("channel", _) => Channel,
        ("output", 0) => Bank,
        ("output", _) => OutputNumber,
        ("personal", 0) => Desk,
        ("personal", _) => Feed,
        ("link" | "to", _) => Port,
        ("loom", _) => RunFrom,
        ("group", _) => Group,
        ("act", _) => Act,
        ("clock", _) => Device,
        ("outside", 1..) => New,
        ("desk" | "outside", _) => DeviceOfWord,
        _ => return None,
    })
}

/// What a device says of itself, and what a library is written in.
fn of_gear(part: &str, word: &str, nth: u8) -> Option<Thing> {
    use Thing::*;
    Some(match (part, word, nth) {
        ("device-attribute", "is", _) => Model,
        ("device-attribute", "on", _) => Port,
        ("device-attribute", "offset", _) => Offset,
        ("device-attribute", "slot", _) => Slot,
        ("device-attribute", "by", _) => Desk,
        ("device-attribute", "lifted", _) => Leg,
        ("device-attribute", "of", _) => Device,
        ("mode", "offset", _) => ModeOffset,
        ("mode", _, 0) => ModeBank,
        ("mode", ..) => Mode,
        ("run-attribute" | "reserved", ..) => Line,
        ("kind-row", ..) => Signal,
        ("mic-row", ..) => Kind,
        ("bank", _, 0) | ("port", _, 0) | ("block", _, 0) => New,
        ("takes" | "copies", "mode", _) => New,
        ("bank", ..) | ("carrier-row" | "model-row", "slots" | "strip", _) => Number,
        ("bank-fact", "", _) => Signal,
        ("port", ..) => Carrier,
        ("passes", ..) | ("rides" | "takes", "rides" | "takes", _) => OwnPort,
        ("reserved-slots", "reserved", 0) => OwnPort,
        ("rides" | "takes" | "copies", "", _) | ("copies", "copies", _) => Own,
        ("route", "" | "from", 0) | ("block", ..) | ("reserved-slots", "for", _) | ("model-row", "pairs", _) => Own,
        ("rides" | "takes" | "copies" | "route" | "how" | "bank-fact" | "reserved-slots", ..) => Number,
        _ => return None,
    })
}

/// What a value is called in a row's columns, and what is to be written there.
pub(super) fn called(thing: Thing) -> (&'static str, &'static str) {
    use Thing::*;
    match thing {
        New => ("name", "a name of letters, digits and hyphens"),
        Text => ("\"text\"", "a text in quotes"),
        File => ("\"file\"", "the file's name, relative to this one"),
        Number => ("number", "a whole number"),
        Time => ("time", "a time such as 14:05"),
        Date => ("date", "a date such as 2026-07-04"),
        Quantity(_) => ("quantity", "a number and its unit"),
        Desk => ("desk", "the desk; it may be left out where there is one"),
        Device | DeviceOfWord => ("device", "a device's name"),
        Recording => ("desk", "a desk or a recorder"),
        Model => ("model", "a model"),
        Again => ("name", "the source's name; one that another list has takes it once more"),
        Source => ("source", "a source"),
        SourceOrGroup => ("sources", "sources and groups"),
        SourceOrPoint => ("what", "a source, or a bank and a number"),
        PointOrUse => ("where", "a bank and a number, or a use such as pa"),
        Group => ("group", "a group"),
        Act => ("act", "an act"),
        Mic => ("kind", "the microphone or DI, or its kind"),
        Kind => ("kind", "a kind of microphone or DI"),
        Signal => ("signal", "a kind of signal"),
        Carrier => ("carrier", "a carrier"),
        Rule => ("rule", "a rule's name"),
        Use => ("uses", "uses such as pa"),
        Attribute => ("attribute", "the attribute to take away"),
        Port => ("port", "a device and its port"),
        Plug => ("socket", "a box and a socket's number"),
        Output => ("socket", "where it leaves: a device and a socket's number"),
        RunFrom => ("points", "where the lines begin"),
        RunTo => ("points", "where the lines end"),
        Fed => ("points", "the points that are set"),
        Feeds => ("points", "the points that they take"),
        Leg => ("leg", "a leg of a split"),
        Bank => ("bank", "a bank of the desk, such as mix"),
        OutputNumber => ("number", "its number, or a range"),
        Channel => ("channel", "the channel, or several"),
        Feed => ("feed", "the feed's number"),
        Offset | ModeOffset => ("slot", "the first slot"),
        Slot => ("slot", "the first slot"),
        ModeBank => ("bank", "a bank that has modes"),
        Mode => ("mode", "its mode"),
        Line => ("lines", "numbers of lines"),
        Own => ("bank", "a bank of this model"),
        OwnPort => ("port", "a port of this model"),
    }
}

/// Whether a number belongs to a quantity: it is read with its unit.
fn is_quantity(want: &Want) -> bool {
    matches!(want.sign, Sign::Number | Sign::Word("-" | "/")) && dimension(want.part, want.word).is_some()
}

/// What the quantity after a word measures.
pub(super) fn dimension(part: &str, word: &str) -> Option<Dimension> {
    use Dimension::*;
    Some(match (part, word) {
        ("rate" | "change" | "device-attribute", "rate") => Frequency,
        ("carrier-row" | "route" | "reserved-slots", "at") => Frequency,
        ("input-attribute" | "bank-fact", "gain") | ("bank-fact", "to") => Ratio,
        ("input-attribute", "level") | ("mic-row", "max") => SoundPressure,
        ("cable" | "place", _) | ("carrier-row", "length") => Length,
        ("record", "for") | ("latency", "under") | ("carrier-row" | "model-row", "latency") => Time,
        ("mic-row", "sensitivity") => Sensitivity,
        ("mic-row", "needs") | ("model-row", "limit") => Current,
        ("model-row", "draws") => Power,
        ("device-attribute", "space") => Storage,
        ("bank-fact", "clip") => Level,
        _ => return None,
    })
}
