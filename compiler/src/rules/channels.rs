//! Which sources the channels of each desk have. Built once for a scene, in time linear in its rows.

use super::Seen;
use crate::rig::Point;
use crate::wants::{Source, Target, Want, WantKind};
use std::collections::{BTreeMap, BTreeSet};

/// The wants of channels for sources, each with its source.
pub fn of_sources<'a>(seen: &'a Seen) -> impl Iterator<Item = (&'a Want, usize)> {
    seen.scene.wants.iter().filter(|want| want.kind == WantKind::Channel).filter_map(|want| match want.what {
        Target::Source(source) => Some((want, source)),
        Target::Point(_) => None,
    })
}

/// The sources on the channels of each desk.
pub fn by_desk(seen: &Seen) -> BTreeMap<u32, BTreeSet<usize>> {
    let mut heard: BTreeMap<u32, BTreeSet<usize>> = BTreeMap::new();
    for (want, source) in of_sources(seen) {
        heard.entry(want.end.device).or_default().insert(source);
    }
    heard
}

/// A source that every feed to many is expected to have: no click, no data, no talkback, no spare.
pub fn is_programme(source: &Source) -> bool {
    !(source.ears_only || source.data || source.talkback || source.spare)
}

/// The lowest channel of a desk that no row has.
pub fn first_free(seen: &Seen, desk: u32) -> Option<u32> {
    let model = seen.rig.model(desk)?;
    let lane = model.bank("channel")?;
    let size = model.lane(lane)?.size;
    let taken: BTreeSet<u32> =
        of_sources(seen).filter(|(want, _)| want.end.device == desk).map(|(want, _)| want.end.number).collect();
    (1..=size).find(|number| !taken.contains(number))
}

/// The lowest mix of a desk that no row sends.
pub fn first_free_mix(seen: &Seen, desk: u32) -> Option<u32> {
    let model = seen.rig.model(desk)?;
    let lane = model.bank("mix")?;
    let size = model.lane(lane)?.size;
    let lane = u32::try_from(lane).ok()?;
    (1..=size).find(|number| !seen.scene.mixes.contains_key(&Point { device: desk, lane, number: *number }))
}

/// The names of sources, in order; a row that is there whole goes by its own name.
pub fn names_of(seen: &Seen, sources: impl IntoIterator<Item = usize>) -> Vec<String> {
    let sources: BTreeSet<usize> = sources.into_iter().collect();
    let row = |source: &usize| seen.scene.source(*source).map(|source| source.row);
    let mut here: BTreeMap<usize, usize> = BTreeMap::new();
    for row in sources.iter().filter_map(row) {
        *here.entry(row).or_default() += 1;
    }
    let mut all: BTreeMap<usize, usize> = BTreeMap::new();
    for source in seen.scene.sources.iter().filter(|source| here.contains_key(&source.row)) {
        *all.entry(source.row).or_default() += 1;
    }
    let mut names: Vec<String> = Vec::new();
    for source in sources.iter().filter_map(|source| seen.scene.source(*source)) {
        let parts = here.get(&source.row).copied().unwrap_or_default();
        let whole = parts > 1 && all.get(&source.row) == Some(&parts);
        let name = match source.name.rsplit_once('.') {
            Some((row, _)) if whole => row,
            _ => &source.name,
        };
        if names.last().is_none_or(|last| last != name) {
            names.push(name.to_string());
        }
    }
    names
}
