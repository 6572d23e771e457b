//! The one list of the language's own words. None is reserved: each counts only where it stands here.

/// A statement's first word.
pub const STATEMENT_WORDS: &[&str] = &[
    "fantail", "show", "include", "rate", "clock", "carrier", "kind", "feed", "mic", "model", "desk", "console", "box",
    "hub", "snake", "split", "recorder", "outside", "link", "loom", "spare", "inputs", "outputs", "personal", "record",
    "keep", "group", "set", "act", "expect", "allow", "change", "without",
];

/// Statements that are nothing without a block (`inputs` may be the same as another desk's).
pub const BLOCK_WORDS: &[&str] = &["inputs", "outputs", "personal", "model", "mic", "kind", "carrier", "act"];

/// Statements that an act may not hold: what is decided once for the show, or is known before it.
pub const NOT_IN_AN_ACT: &[&str] =
    &["fantail", "show", "rate", "clock", "carrier", "kind", "feed", "mic", "model", "act", "expect"];

/// Attributes of a desk, a box or any other device.
pub const DEVICE_ATTRIBUTES: &[&str] = &[
    "is",
    "on",
    "redundant",
    "offset",
    "slot",
    "cable",
    "dead",
    "reserved",
    "gain",
    "lifted",
    "space",
    "place",
    "at",
    "to",
    "who",
    "note",
    "clock",
    "rate",
    "converts",
    "backup",
    "supply",
];

/// Attributes of a cable that stands on its own: `link`, `loom`, `spare cable`.
pub const CABLE_ATTRIBUTES: &[&str] = &["cable", "dead", "reserved", "place", "at", "who", "note"];

pub const INPUT_ATTRIBUTES: &[&str] = &[
    "from",
    "via",
    "phantom",
    "48V",
    "gain",
    "pad",
    "stand",
    "level",
    "pickup",
    "lifted",
    "stereo",
    "spare",
    "polarity",
    "ears-only",
    "data",
    "at",
    "place",
    "who",
    "priority",
    "note",
];

pub const OUTPUT_ATTRIBUTES: &[&str] = &["to", "of", "stereo", "at", "place", "who", "priority", "note"];

/// What an output is for: to the audience, on stage, outside, and the rest.
pub const OUTPUT_USES: &[&str] = &[
    "pa",
    "sub",
    "fill",
    "delay",
    "wedge",
    "side-fill",
    "in-ears",
    "broadcast",
    "press",
    "relay",
    "hearing-loop",
    "record",
    "effects",
    "comms",
];

pub const PERSONAL_ATTRIBUTES: &[&str] = &["stereo", "at", "place", "who", "priority", "note"];

/// What only a `change` says.
pub const CHANGE_ATTRIBUTES: &[&str] = &["is", "channel", "of", "no"];

/// What `change` and `without` may name, besides the devices.
pub const CHANGE_TARGETS: &[&str] =
    &["input", "output", "personal", "link", "loom", "group", "act", "record", "rate", "clock"];

pub const DEVICE_WORDS: &[&str] = &["desk", "console", "box", "hub", "snake", "split", "recorder", "outside"];

/// The first words of a model's rows; a bank's row begins with its name instead.
pub const MODEL_WORDS: &[&str] =
    &["port", "block", "reserved", "pairs", "latency", "phantom", "draws", "strip", "converts", "label"];

/// The second words of a model's rows that begin with a bank or port.
pub const MODEL_VERBS: &[&str] = &["passes", "rides", "takes", "copies", "from"];

/// Facts of a bank.
pub const BANK_WORDS: &[&str] = &["in", "out", "inner", "origin", "end", "gain", "phantom", "pad", "clip", "isolated"];

pub const CARRIER_WORDS: &[&str] = &["slots", "length", "screened", "locking", "latency"];
pub const KIND_WORDS: &[&str] = &["signal", "phantom", "suits", "data", "talkback", "mains"];
pub const MIC_WORDS: &[&str] = &["kind", "sensitivity", "needs", "max", "note"];

pub const PLACES: &[&str] = &["USR", "USC", "USL", "SR", "C", "SC", "SL", "DSR", "DSC", "DSL"];

// What stands after one of the words above.

pub const STANDS: &[&str] = &["tall", "short", "clip", "straight", "none"];
pub const PICKUPS: &[&str] = &["passive", "piezo", "active", "line"];
pub const PRIORITIES: &[&str] = &["must", "should", "may"];
pub const PHANTOM_POLICIES: &[&str] = &["needs", "tolerates", "never"];
pub const FEED_VERDICTS: &[&str] = &["fine", "warn", "error"];
/// What a port faces.
pub const FACES: &[&str] = &["desk", "next", "any"];
/// What a cable is.
pub const CABLE_FACTS: &[&str] = &["screened", "locking"];
pub const OWN_CLOCKS: &[&str] = &["internal", "external"];

/// Words that join the parts of a row.
pub const JOINTS: &[&str] = &[
    "a", "all", "and", "any", "as", "at", "because", "blocks", "but", "by", "each", "first", "for", "from", "groups",
    "in", "inputs", "inverted", "least", "like", "limit", "mode", "most", "needs", "none", "not", "of", "on", "one",
    "only", "out", "power", "powers", "reaches", "same", "setting", "stacked", "straight", "to", "under", "way",
];

/// Every word of the lists above, some of them twice.
pub fn all() -> impl Iterator<Item = &'static str> {
    let lists = [
        STATEMENT_WORDS,
        DEVICE_ATTRIBUTES,
        CABLE_ATTRIBUTES,
        INPUT_ATTRIBUTES,
        OUTPUT_ATTRIBUTES,
        OUTPUT_USES,
        PERSONAL_ATTRIBUTES,
        CHANGE_ATTRIBUTES,
        CHANGE_TARGETS,
        MODEL_WORDS,
        MODEL_VERBS,
        BANK_WORDS,
        CARRIER_WORDS,
        KIND_WORDS,
        MIC_WORDS,
        PLACES,
        STANDS,
        PICKUPS,
        PRIORITIES,
        PHANTOM_POLICIES,
        FEED_VERDICTS,
        FACES,
        CABLE_FACTS,
        OWN_CLOCKS,
        JOINTS,
    ];
    lists.into_iter().flatten().copied()
}
