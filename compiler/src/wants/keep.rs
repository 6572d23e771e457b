//! `keep … out of …`: what must never arrive.

use super::{Never, RowKind, Scene, Speaker, Use, uses_meant};
use crate::diagnostics::{Diagnostic, Sort};
use crate::project::{Patch, nearest};
use crate::rig::Point;
use crate::source::Span;

/// One source kept out of some uses.
#[derive(Clone, Debug)]
pub struct Kept {
    pub source: usize,
    pub uses: Vec<Use>,
    pub span: Span,
}

pub fn read(scene: &mut Scene, patch: &Patch, found: &mut Vec<Diagnostic>) {
    for row in &patch.keeps {
        let mut uses = Vec::new();
        for word in &row.node.out_of {
            match uses_meant(&word.value) {
                Some(meant) => uses.extend(meant),
                None => {
                    let near = nearest(&word.value, super::OUTPUT_USES.iter().map(|(name, _)| *name));
                    let message = format!("no use of an output is called `{}`", word.value);
                    found.push(
                        Diagnostic::unknown(Sort::Word, word.value.clone(), word.span, message).near(word.span, near),
                    );
                }
            }
        }
        let Some(sources) = scene.only_sources(&row.node.what, Speaker::of(row.act.as_ref()), found) else { continue };
        let fact = scene.plain_row("keep", row.span, RowKind::Keep);
        for source in sources {
            scene.kept.push(Kept { source, uses: uses.clone(), span: row.span });
            if uses.contains(&Use::Record) {
                never_recorded(scene, source, fact);
            }
        }
    }
}

/// No track of any device may carry it.
fn never_recorded(scene: &mut Scene, source: usize, row: usize) {
    let mut ends = Vec::new();
    for (device, _) in (0u32..).zip(&scene.rig.devices) {
        let Some(model) = scene.rig.model(device) else { continue };
        let Some(lane) = model.bank("track") else { continue };
        let size = model.lane(lane).map_or(0, |lane| lane.size);
        let lane = u32::try_from(lane).unwrap_or(0);
        ends.extend((1..=size).map(|number| Point { device, lane, number }));
    }
    scene.nevers.extend(ends.into_iter().map(|end| Never { end, source, row }));
}
