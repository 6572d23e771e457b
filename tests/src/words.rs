//! The language's words, list by list, for whatever is written from them and whatever is held against them.
//! Says nothing of its own.

use fantail::quantity::Unit;
use fantail::syntax::words::*;

/// Every list of `compiler/src/syntax/words.rs` that says where a word may stand, by its name.
pub const LISTS: &[(&str, &[&str])] = &[
    ("statement_words", STATEMENT_WORDS),
    ("device_words", DEVICE_WORDS),
    ("device_attributes", DEVICE_ATTRIBUTES),
    ("cable_attributes", CABLE_ATTRIBUTES),
    ("input_attributes", INPUT_ATTRIBUTES),
    ("output_attributes", OUTPUT_ATTRIBUTES),
    ("output_uses", OUTPUT_USES),
    ("personal_attributes", PERSONAL_ATTRIBUTES),
    ("change_attributes", CHANGE_ATTRIBUTES),
    ("change_targets", CHANGE_TARGETS),
    ("model_words", MODEL_WORDS),
    ("model_verbs", MODEL_VERBS),
    ("bank_words", BANK_WORDS),
    ("carrier_words", CARRIER_WORDS),
    ("kind_words", KIND_WORDS),
    ("mic_words", MIC_WORDS),
    ("places", PLACES),
    ("stands", STANDS),
    ("pickups", PICKUPS),
    ("priorities", PRIORITIES),
    ("phantom_policies", PHANTOM_POLICIES),
    ("feed_verdicts", FEED_VERDICTS),
    ("faces", FACES),
    ("cable_facts", CABLE_FACTS),
    ("own_clocks", OWN_CLOCKS),
    ("joints", JOINTS),
];

/// The units as they are written, a longer one before any that it begins with.
pub fn units() -> Vec<&'static str> {
    Unit::ALL.iter().map(|unit| unit.symbol()).collect()
}
