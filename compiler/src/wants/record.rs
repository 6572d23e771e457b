//! `record`: track n takes what channel n takes, at the preamp.

use super::{Recording, RowKind, Scene, Speaker, Target, Want, WantKind};
use crate::diagnostics::{Diagnostic, counted};
use crate::project::{Patch, Record, Row};
use crate::rig::{LinkEnd, Point};
use std::collections::BTreeSet;

pub fn read(scene: &mut Scene, patch: &Patch, found: &mut Vec<Diagnostic>) {
    let mut taken: BTreeSet<Point> = BTreeSet::new();
    for row in &patch.records {
        let Some(sources) = scene.inputs_meant(&row.node.what, Speaker::of(row.act.as_ref()), found) else { continue };
        let fact = scene.plain_row("record", row.span, RowKind::Record);
        for device in recorders(scene, row, found) {
            scene.recorded.push((row.span, device));
            let before = taken.len();
            tracks(scene, row, device, &sources, fact, &mut taken, found);
            let seconds = row.node.lasts.as_ref().and_then(|lasts| Some((lasts.value.seconds()?, lasts.span)));
            if let Some((seconds, said)) = seconds {
                scene.recordings.push(Recording { device, tracks: taken.len() - before, seconds, said });
            }
        }
    }
}

/// The device named, or every desk with tracks.
fn recorders(scene: &Scene, row: &Row<Record>, found: &mut Vec<Diagnostic>) -> Vec<u32> {
    let with_tracks = |device: &u32| scene.rig.model(*device).is_some_and(|model| model.bank("track").is_some());
    match &row.node.desk {
        None => scene.rig.desks().filter(with_tracks).collect(),
        Some(name) => {
            let Some(device) = scene.desk_of_block(Some(name), row.span, found) else { return Vec::new() };
            if !with_tracks(&device) {
                if !scene.rig.model_missing(device) {
                    let message = format!("`{}` has no tracks", name.value);
                    let problem = Diagnostic::error("wrong-direction", name.span, message);
                    found.push(problem.help("name a desk or a recorder"));
                }
                return Vec::new();
            }
            vec![device]
        }
    }
}

fn tracks(
    scene: &mut Scene,
    row: &Row<Record>,
    device: u32,
    sources: &[usize],
    fact: usize,
    taken: &mut BTreeSet<Point>,
    found: &mut Vec<Diagnostic>,
) {
    let Some((lane, size)) = scene.rig.model(device).and_then(|model| {
        let lane = model.bank("track")?;
        Some((u32::try_from(lane).ok()?, model.lane(lane)?.size))
    }) else {
        return;
    };
    // A recorder of its own follows the channels of the desk that it hangs on.
    let desk = if scene.rig.desks().any(|desk| desk == device) { Some(device) } else { desk_of(scene, device) };
    let channels: Vec<Want> = scene
        .wants
        .iter()
        .filter(|want| want.kind == WantKind::Channel && Some(want.end.device) == desk)
        .filter(|want| matches!(want.what, Target::Source(source) if sources.contains(&source)))
        .cloned()
        .collect();
    for want in channels {
        let end = Point { device, lane, number: want.end.number };
        if want.end.number > size {
            let tracks = counted(size as usize, "track");
            let message =
                format!("`{}` has {tracks}; channel {} has none", scene.rig.device_name(device), want.end.number);
            found.push(
                Diagnostic::error("no-such-point", row.span, message).help("take the rows beyond out with `but`"),
            );
            return;
        }
        if taken.insert(end) {
            scene.wants.push(Want { end, what: want.what, via: want.via, kind: WantKind::Track, row: want.row });
        }
    }
    let _ = fact;
}

fn desk_of(scene: &Scene, device: u32) -> Option<u32> {
    let ports = scene.rig.model(device)?.ports.len();
    let beyond = (0..ports).find_map(|port| scene.rig.desk_beyond(LinkEnd { device, port }));
    beyond.or_else(|| scene.rig.only_desk())
}
