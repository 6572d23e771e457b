//! Whole rows and blocks to fill in.

use super::Kind;
use super::known::{Known, Offer};
use crate::syntax::words::BLOCK_WORDS;

/// A statement that opens a block, with the block.
pub(super) fn block(word: &str, known: Option<&Known<'_>>) -> Option<String> {
    let rig = known.and_then(Known::rig);
    let several = rig.is_some_and(|rig| rig.only_desk().is_none());
    let desk = rig.and_then(|rig| Some(rig.device_name(rig.desks().next()?).to_string()));
    let desk = desk.filter(|_| several).map(|desk| format!(" ${{1:{desk}}}")).unwrap_or_default();
    let named = match word {
        "inputs" | "outputs" | "personal" => desk,
        "act" => " ${1:name} \"${2:Title}\"".to_string(),
        _ => " ${1:name}".to_string(),
    };
    BLOCK_WORDS.contains(&word).then(|| format!("{word}{named} {{\n  $0\n}}"))
}

/// A row with columns to fill in, after its first words.
pub(super) fn row(label: String, snippet: String) -> Offer {
    let offer = Offer::new(label, Kind::Snippet).detail("a whole row");
    Offer { snippet: Some(snippet), ..offer }
}

/// A text as a snippet says it.
pub(super) fn plain(text: &str) -> String {
    text.replace('\\', "\\\\").replace('$', "\\$").replace('}', "\\}")
}
