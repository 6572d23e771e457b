//! What a spare stands in for. Only names are resolved here; whether it suits is a check of the plan.

use super::Reading;
use crate::diagnostics::Diagnostic;
use crate::project::attrs;
use crate::source::At;
use crate::wants::{Scene, Speaker};

pub(super) fn read(scene: &mut Scene, readings: &[Reading], found: &mut Vec<Diagnostic>) {
    for reading in readings.iter().filter(|reading| reading.declares) {
        let row = &reading.row.node.row;
        let Some((of, span)) = attrs::spare_for(&row.attrs) else { continue };
        let speaker = Speaker::of(reading.row.act.as_ref());
        let name = Scene::joined(of);
        let Some(of) = scene.sources_named(&name, speaker).map(<[usize]>::to_vec) else {
            if !scene.replaced.contains_key(&name) && !scene.is_unread(of) && !scene.part_of_nothing(&name, speaker) {
                found.push(scene.unknown_source(&name, of, speaker));
            }
            continue;
        };
        let own = scene.sources_named(&row.name.value, speaker).map(<[usize]>::to_vec).unwrap_or_default();
        for source in own {
            if let Some(source) = scene.sources.get_mut(source) {
                source.spare_for = Some(At::new(of.clone(), span));
            }
        }
    }
}
