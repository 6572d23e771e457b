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
    /// The act that it holds in, where that is one alone.
    #[serde(skip)]
    pub act: Option<String>,
    /// The desk in whose list it stands.
    #[serde(skip)]
    pub list: Option<String>,
}

/// By thing (`source kick-in`, `device foh`, `mix foh.mix 1`, `feed foh.personal 3`, `model box-16x8`, `act kestrel`,
/// `show`): every row that says something of it, by place. Under `recording foh` what is recorded there, under `list foh`
/// what its list takes over whole, under `allowed mirrored-outputs` each such allowance, under `spare cable` them all.
/// Under `row` and a row's own text what stands in the place of it: a `without`, a row of an act.
pub type Origins = BTreeMap<String, Vec<Origin>>;
