//! `any`: the sockets that a row leaves to the compiler.

use crate::rig::{ANY_SIGNAL, Point};
use crate::syntax::ast::FeedVerdict;
use crate::wants::{Scene, Spot};
use std::collections::BTreeSet;

/// Sockets that a source may plug into, in the order of the walk: of one bank, or of all boxes and desks.
pub(super) fn sockets_of(scene: &Scene, on: Option<(u32, u32)>) -> Vec<Point> {
    let mut points = Vec::new();
    for device in scene.rig.walk_order() {
        let Some(model) = scene.rig.model(device) else { continue };
        for (index, lane) in (0u32..).zip(&model.lanes) {
            let wanted = match on {
                Some(bank) => bank == (device, index),
                None => lane.is_preamp(),
            };
            let socket = matches!(lane.kind, crate::rig::LaneKind::Bank(crate::plan::Role::In));
            if wanted && socket {
                points.extend((1..=lane.size).map(|number| Point { device, lane: index, number }));
            }
        }
    }
    points
}

pub(super) fn free_sockets(scene: &Scene) -> BTreeSet<Point> {
    let taken: BTreeSet<Point> = scene
        .sources
        .iter()
        .filter_map(|source| if let Spot::Socket(point) = source.spot { Some(point) } else { None })
        .collect();
    let usable = |point: &Point| {
        !taken.contains(point)
            && scene.rig.brought_to(*point).is_none()
            && scene.rig.device(point.device).is_some_and(|device| !device.out_of_use.contains_key(&point.number))
    };
    sockets_of(scene, None).into_iter().chain(all_ins(scene)).filter(usable).collect()
}

fn all_ins(scene: &Scene) -> Vec<Point> {
    let open = scene.sources.iter().flat_map(|source| match &source.spot {
        Spot::Any(points) => points.clone(),
        _ => Vec::new(),
    });
    open.collect()
}

/// What an `any` may choose from: free sockets of a fitting kind, with phantom where it is asked for.
pub(super) fn settle_any(scene: &mut Scene, free: &BTreeSet<Point>) {
    let rig = &scene.rig;
    for source in &mut scene.sources {
        let Spot::Any(points) = &mut source.spot else { continue };
        let signal = source.mic.as_ref().map(|mic| mic.kind.signal.as_str());
        let phantom = source.phantom.is_some();
        points.retain(|point| {
            let Some(lane) = rig.lane_at(*point) else { return false };
            let fits = signal.is_none_or(|signal| {
                lane.signal == ANY_SIGNAL || rig.library.feed(signal, &lane.signal).0 != FeedVerdict::Error
            });
            let supplied = || {
                let direct = |preamp: &crate::rig::Preamp| {
                    !preamp.isolated && rig.lane_at(preamp.socket).is_some_and(|lane| lane.phantom > 0)
                };
                crate::rig::preamps_of(rig, *point).iter().any(direct)
            };
            free.contains(point) && fits && (!phantom || supplied())
        });
    }
}
