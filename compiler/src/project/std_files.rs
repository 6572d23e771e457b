//! The library of plain gear and kinds, written in fantail and built in. It is parsed once a process;
//! its files take the first ids of every project, so that their places mean the same in all.

use crate::source::{FileId, Sources};
use crate::syntax::{Parsed, parse};
use std::sync::{Arc, OnceLock};

const TEXTS: [(&str, &str); 5] = [
    ("std/carriers.fantail", include_str!("../../std/carriers.fantail")),
    ("std/kinds.fantail", include_str!("../../std/kinds.fantail")),
    ("std/boxes.fantail", include_str!("../../std/boxes.fantail")),
    ("std/desks.fantail", include_str!("../../std/desks.fantail")),
    ("std/others.fantail", include_str!("../../std/others.fantail")),
];

/// The texts of the library with their names, for reading.
pub fn std_texts() -> impl Iterator<Item = (&'static str, &'static str)> {
    TEXTS.into_iter()
}

/// Puts the library's texts first into `sources`, which must be empty.
pub(super) fn add_to(sources: &mut Sources) -> Vec<(FileId, Arc<Parsed>)> {
    static PARSED: OnceLock<Vec<Arc<Parsed>>> = OnceLock::new();
    let ids: Vec<FileId> =
        TEXTS.iter().map(|(name, text)| sources.add((*name).to_string(), None, (*text).to_string())).collect();
    let parsed =
        PARSED.get_or_init(|| ids.iter().zip(TEXTS).map(|(id, (_, text))| Arc::new(parse(*id, text))).collect());
    ids.into_iter().zip(parsed.iter().cloned()).collect()
}
