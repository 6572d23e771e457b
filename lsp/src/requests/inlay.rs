//! Hints behind the words of a row, by the first show that has the file.

use crate::world::World;
use fantail::editor;
use tower_lsp::lsp_types::*;

pub fn hints(world: &World, params: &InlayHintParams) -> Option<Vec<InlayHint>> {
    let here = world.with_file(&params.text_document.uri).next()?;
    let counted = world.snapshot.counted(here.file);
    let bytes = counted.bytes(params.range);
    let clamp = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    let hints = editor::inlays(&here.show.compiled, here.id(), clamp(bytes.start)..clamp(bytes.end)).into_iter();
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
