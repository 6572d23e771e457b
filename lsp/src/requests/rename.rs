//! A new name for a thing in every show that has it, and includes that follow a file.

use super::edits::workspace_edit;
use crate::world::{World, path_of};
use fantail::editor::moved::moved;
use fantail::editor::rename::{prepare, rename as edits_of};
use std::path::PathBuf;
use tower_lsp::jsonrpc::{Error, ErrorCode, Result};
use tower_lsp::lsp_types::*;

/// LSP's `RequestFailed`: asked for in good order, and not possible.
fn refused(why: String) -> Error {
    Error { code: ErrorCode::ServerError(-32803), message: why.into(), data: None }
}

pub fn prepare_rename(world: &World, place: &TextDocumentPositionParams) -> Result<Option<PrepareRenameResponse>> {
    let Some((here, offset)) = world.places(&place.text_document.uri, place.position).into_iter().next() else {
        return Ok(None);
    };
    let name = prepare(here.compiled(), here.index(), here.id(), offset).map_err(refused)?;
    let Some(range) = world.range(&here, name.span) else { return Ok(None) };
    Ok(Some(PrepareRenameResponse::RangeWithPlaceholder { range, placeholder: name.symbol.name().to_string() }))
}

pub fn rename(world: &World, params: &RenameParams) -> Result<Option<WorkspaceEdit>> {
    let place = &params.text_document_position;
    let mut edits = Vec::new();
    for (here, offset) in world.places(&place.text_document.uri, place.position) {
        let name = prepare(here.compiled(), here.index(), here.id(), offset).map_err(refused)?;
        let of_show = edits_of(here.index(), &name.symbol, &params.new_name).map_err(refused)?;
        edits.extend(of_show.into_iter().map(|edit| (here.known.clone(), edit)));
    }
    Ok((!edits.is_empty()).then(|| workspace_edit(world, edits)))
}

/// The other places of a name in the same file, which change with it as it is typed.
pub fn linked(world: &World, place: &TextDocumentPositionParams) -> Option<LinkedEditingRanges> {
    let (here, offset) = world.near(&place.text_document.uri, place.position).into_iter().next()?;
    let name = here.index().at(here.id(), offset)?;
    prepare(here.compiled(), here.index(), here.id(), name.span.start).ok()?;
    let mut places = here.index().places(&name.symbol);
    if !places.all(|name| name.span.file == here.id()) {
        return None;
    }
    let counted = world.snapshot.counted(here.file()?);
    let ranges = here.index().places(&name.symbol).map(|name| counted.range(name.span)).collect();
    // A word as the language has it.
    let word = r"[\p{L}\p{M}0-9_]+(-[\p{L}\p{M}0-9_]+)*".to_string();
    Some(LinkedEditingRanges { ranges, word_pattern: Some(word) })
}

/// Before a file or folder is renamed: what the includes must say then.
pub fn will_rename(world: &World, params: &RenameFilesParams) -> Option<WorkspaceEdit> {
    let path = |uri: &str| Url::parse(uri).ok().map(|uri| path_of(&uri));
    let moves: Vec<(PathBuf, PathBuf)> =
        params.files.iter().filter_map(|file| Some((path(&file.old_uri)?, path(&file.new_uri)?))).collect();
    let mut edits = Vec::new();
    // A show in parts includes nothing.
    for known in world.shows.iter().filter(|show| show.in_parts.is_none()).map(|show| show.whole()) {
        for (from, to) in &moves {
            edits.extend(moved(&known.compiled, from, to).into_iter().map(|edit| (known.clone(), edit)));
        }
    }
    (!edits.is_empty()).then(|| workspace_edit(world, edits))
}
