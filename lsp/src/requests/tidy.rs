//! Laying a text out, whole or in part. The text as it is now counts, compiled or not.

use crate::world::World;
use fantail::syntax::tidy::tidy_edits;
use std::ops::Range as Bytes;
use tower_lsp::lsp_types::*;

pub fn full(world: &World, params: &DocumentFormattingParams) -> Option<Vec<TextEdit>> {
    edits(world, &params.text_document, |_| None)
}

pub fn range(world: &World, params: &DocumentRangeFormattingParams) -> Option<Vec<TextEdit>> {
    edits(world, &params.text_document, |counted| Some(counted.bytes(params.range)))
}

/// After a line end, the row above it; after a closing brace, its block's last line.
pub fn on_type(world: &World, params: &DocumentOnTypeFormattingParams) -> Option<Vec<TextEdit>> {
    let place = &params.text_document_position;
    edits(world, &place.text_document, |counted| {
        let above = if params.ch == "\n" { 1 } else { 0 };
        let line = place.position.line.saturating_sub(above);
        let whole = Range::new(Position::new(line, 0), Position::new(line, u32::MAX));
        Some(counted.bytes(whole))
    })
}

fn edits(
    world: &World,
    document: &TextDocumentIdentifier,
    within: impl Fn(crate::convert::Counted<'_>) -> Option<Bytes<usize>>,
) -> Option<Vec<TextEdit>> {
    let text = world.text(&document.uri)?;
    let counted = text.counted(world.snapshot.encoding);
    let edit = |(at, new_text): (Bytes<usize>, String)| {
        let range = Range { start: counted.position(at.start), end: counted.position(at.end) };
        TextEdit { range, new_text }
    };
    Some(tidy_edits(&text.text, within(counted)).into_iter().map(edit).collect())
}
