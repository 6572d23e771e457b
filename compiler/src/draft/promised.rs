//! Mixes of which no row says what they carry, and the sources that whoever makes each is asked to leave out by
//! hand. What is in such a mix is never guessed.

use crate::plan::{Promise, Role};
use crate::rig::{LaneKind, Point};
use crate::wants::{Output, Scene, Source, Spot, Target, WantKind};
use std::collections::{BTreeMap, BTreeSet};

/// Each row with such a mix, with what must not go into it, by index.
pub fn promised(scene: &Scene) -> Vec<(&Output, BTreeSet<usize>)> {
    let mut near: BTreeMap<u32, BTreeSet<usize>> = BTreeMap::new();
    let given = scene.given();
    let unsaid =
        scene.outputs.iter().filter(|output| !given.contains_key(&output.from) && is_unsaid(scene, output.from));
    let each = unsaid.map(|output| {
        let desk = output.from.device;
        let near = near.entry(desk).or_insert_with(|| at_hand(scene, desk));
        (output, near.iter().copied().filter(|source| must_stay_out(scene, *source, output)).collect())
    });
    each.filter(|(_, sources): &(_, BTreeSet<usize>)| !sources.is_empty()).collect()
}

/// The same by mix, as the plan has it.
pub(super) fn promises(scene: &Scene) -> Vec<(Point, Promise)> {
    let mut by_mix: BTreeMap<Point, BTreeSet<&str>> = BTreeMap::new();
    for (output, sources) in promised(scene) {
        let names = sources.iter().filter_map(|source| Some(scene.source(*source)?.name.as_str()));
        by_mix.entry(output.from).or_default().extend(names);
    }
    let promise = |names: BTreeSet<&str>| names.into_iter().map(String::from).collect();
    by_mix
        .into_iter()
        .map(|(mix, names)| (mix, Promise { mix: scene.rig.point_text(mix), without: promise(names) }))
        .collect()
}

/// An origin whose contents no row says.
fn is_unsaid(scene: &Scene, from: Point) -> bool {
    let origin = scene.rig.lane_at(from).is_some_and(|lane| lane.kind == LaneKind::Bank(Role::Origin));
    origin && scene.mixes.get(&from).is_none_or(|mix| mix.of.is_none())
}

fn must_stay_out(scene: &Scene, index: usize, output: &Output) -> bool {
    let kept = scene.kept.iter().filter(|kept| kept.source == index);
    let mut kept_out = kept.filter(|kept| output.used_as.is_some_and(|used_as| kept.uses.contains(&used_as)));
    kept_out.next().is_some() || scene.source(index).is_some_and(|source| !source.may_be_in_a_mix_for(output.used_as))
}

/// What a desk could put into a mix: what is on its channels, also inside another desk's mix. One of which no row
/// says what it carries may bring anything.
fn at_hand(scene: &Scene, desk: u32) -> BTreeSet<usize> {
    let on_desk = scene.wants.iter().filter(|want| want.kind == WantKind::Channel && want.end.device == desk);
    let mut open: Vec<usize> = on_desk
        .filter_map(|want| match want.what {
            Target::Source(source) => Some(source),
            Target::Point(_) => None,
        })
        .collect();
    let mut found = BTreeSet::new();
    while let Some(source) = open.pop() {
        if found.insert(source)
            && let Some(Source { spot: Spot::Origin(point), .. }) = scene.source(source)
            && let Some(mix) = scene.mixes.get(point)
        {
            open.extend(mix.of.clone().unwrap_or_else(|| (0..scene.sources.len()).collect()));
        }
    }
    found
}
