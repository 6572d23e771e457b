//! Hints behind the words of a row, by the first show that has the file.

use crate::world::{In, World};
use fantail::editor;
use tower_lsp::lsp_types::*;

pub fn hints(world: &World, params: &InlayHintParams) -> Option<Vec<InlayHint>> {
    let lines = params.range.start.line..=params.range.end.line.max(params.range.start.line);
    let mut all = world.near_lines(&params.text_document.uri, lines);
    let first = all.first()?.show.path.clone();
    all.retain(|here| here.show.path == first);
    let mut hints: Vec<InlayHint> =
        all.iter().flat_map(|here| of(world, here, params.range).unwrap_or_default()).collect();
    hints.sort_by_key(|hint| hint.position);
    Some(hints)
}

fn of(world: &World, here: &In<'_>, range: Range) -> Option<Vec<InlayHint>> {
    let counted = world.snapshot.counted(here.file()?);
    let bytes = counted.bytes(range);
    let clamp = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    let hints = editor::inlays(here.compiled(), here.id(), clamp(bytes.start)..clamp(bytes.end)).into_iter();
    let shown = hints.map(|hint| InlayHint {
        position: counted.position(hint.at as usize),
        label: InlayHintLabel::String(hint.label),
        kind: None,
        text_edits: None,
        tooltip: None,
        padding_left: Some(true),
        padding_right: None,
        data: None,
    });
    Some(shown.collect())
}
