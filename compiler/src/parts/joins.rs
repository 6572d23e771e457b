//! Which chunks are one part: those that share a name.

use super::chunk::{Chunk, Key, Stands};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The chunks of each part, in order; what stands everywhere is not among them.
pub(super) fn parts(chunks: &[Arc<Chunk>], joined: &[(usize, usize)]) -> Vec<Vec<usize>> {
    let mut up: Vec<usize> = (0..chunks.len()).collect();
    let once = || chunks.iter().enumerate().filter(|(_, chunk)| chunk.stands == Stands::Once);
    let mut owner: FxHashMap<Key, usize> = FxHashMap::default();
    for (at, chunk) in once() {
        for key in &chunk.keys {
            let first = *owner.entry(*key).or_insert(at);
            join(&mut up, first, at);
        }
    }
    for (at, chunk) in once() {
        for first in chunk.words.iter().filter_map(|word| owner.get(word)) {
            join(&mut up, *first, at);
        }
    }
    for (one, other) in joined {
        join(&mut up, *one, *other);
    }
    let mut parts: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (at, _) in once() {
        parts.entry(root(&mut up, at)).or_default().push(at);
    }
    parts.into_values().collect()
}

fn join(up: &mut [usize], one: usize, other: usize) {
    let (one, other) = (root(up, one), root(up, other));
    if let Some(above) = up.get_mut(one.max(other)) {
        *above = one.min(other);
    }
}

fn root(up: &mut [usize], mut at: usize) -> usize {
    while let Some(next) = up.get(at).copied().filter(|next| *next != at) {
        let above = up.get(next).copied().unwrap_or(next);
        if let Some(entry) = up.get_mut(at) {
            *entry = above;
        }
        at = above;
    }
    at
}
