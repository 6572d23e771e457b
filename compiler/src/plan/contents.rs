//! What a mix carries, as one would say it: what goes in, or of nearly everything what stays out.

use super::data::Mix;
use std::collections::{BTreeMap, BTreeSet};

/// The inputs on a desk's channels, each with the first place at which it stands.
pub(crate) type Places<'p> = BTreeMap<&'p str, (usize, u32)>;

/// From so many sources on, a mix of nearly all inputs says which it leaves out.
const MANY: usize = 6;

pub(crate) enum Contents<'p> {
    Nothing,
    These(BTreeSet<&'p str>),
    /// Every input of the desk but these.
    AllBut(BTreeSet<&'p str>),
}

impl<'p> Contents<'p> {
    pub fn of(mix: &'p Mix, inputs: &Places<'p>) -> Self {
        let of: BTreeSet<&str> = mix.of.iter().map(String::as_str).collect();
        let missing: BTreeSet<&str> = inputs.keys().copied().filter(|name| !of.contains(name)).collect();
        if of.is_empty() {
            return Contents::Nothing;
        }
        let listed = of.iter().all(|name| inputs.contains_key(name));
        if !listed || of.len() < MANY || missing.len() * 2 > of.len() {
            return Contents::These(of);
        }
        Contents::AllBut(missing)
    }
}
