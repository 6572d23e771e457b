//! Where a thing of the plan is said. Kept beside the plan: lines move without changing what they say.

use serde::Serialize;
use std::collections::BTreeMap;

/// A row or a statement.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Origin {
    /// As messages name it.
    pub file: String,
    /// From 1.
    pub line: u32,
    /// Its text in one line.
    pub says: String,
}

/// By thing (`source kick-in`, `device foh`, `mix foh.mix 1`, `feed foh.personal 3`, `act kestrel`, `show`): the row that
/// declares it, then those that changed it.
pub type Origins = BTreeMap<String, Vec<Origin>>;
