//! Names that differ in their side alone: `keys-left` and `keys-right`. A name says nothing of places on
//! stage; whoever looks here decides what its sides mean.

use std::collections::BTreeMap;

/// What belongs to both names of each pair, in order of the first.
pub fn pairs<T: Copy>(named: &BTreeMap<&str, T>, sides: &[(&str, &str)]) -> Vec<(T, T)> {
    let of = |(name, one): (&&str, &T)| {
        let other = sides.iter().find_map(|(first, second)| {
            let stem = name.strip_suffix(first).filter(|stem| !stem.is_empty())?;
            named.get(format!("{stem}{second}").as_str()).copied()
        });
        Some((*one, other?))
    };
    named.iter().filter_map(of).collect()
}
