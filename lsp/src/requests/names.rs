//! Where a name is declared, changed and used.

use crate::world::{In, World};
use fantail::editor::{NameAt, Role, Symbol};
use tower_lsp::lsp_types::*;

/// The name at a position, in each show that has the file.
pub fn at<'w>(world: &'w World, place: &TextDocumentPositionParams) -> Vec<(In<'w>, &'w NameAt)> {
    let places = world.places(&place.text_document.uri, place.position).into_iter();
    places.filter_map(|(here, offset)| Some((here, here.show.index.at(here.id(), offset)?))).collect()
}

/// Every place in any show of what the name means, that `wanted` takes, each place once.
fn places(world: &World, place: &TextDocumentPositionParams, wanted: impl Fn(&NameAt) -> bool) -> Vec<Location> {
    let mut found: Vec<Location> = Vec::new();
    for (here, name) in at(world, place) {
        let named = here.show.index.places(&name.symbol).filter(|name| wanted(name));
        found.extend(named.filter_map(|name| world.location(here.show, name.span)));
    }
    found.sort_by_key(|location| (location.uri.to_string(), location.range.start));
    found.dedup();
    found
}

/// The declaring row; of a change, what is changed: in the included base.
pub fn definition(world: &World, place: &TextDocumentPositionParams) -> Option<GotoDefinitionResponse> {
    let found = places(world, place, |name| name.role == Role::Declares);
    (!found.is_empty()).then_some(GotoDefinitionResponse::Array(found))
}

/// The changes of it, in every venue.
pub fn implementation(world: &World, place: &TextDocumentPositionParams) -> Option<GotoDefinitionResponse> {
    let found = places(world, place, |name| matches!(name.role, Role::Changes | Role::TakesOut));
    (!found.is_empty()).then_some(GotoDefinitionResponse::Array(found))
}

pub fn references(world: &World, params: &ReferenceParams) -> Option<Vec<Location>> {
    let declares = params.context.include_declaration;
    let found = places(world, &params.text_document_position, |name| declares || name.role != Role::Declares);
    (!found.is_empty()).then_some(found)
}

pub fn highlight(world: &World, place: &TextDocumentPositionParams) -> Option<Vec<DocumentHighlight>> {
    let (here, name) = at(world, place).into_iter().next()?;
    let symbol: &Symbol = &name.symbol;
    let in_file = here.show.index.places(symbol).filter(|name| name.span.file == here.id());
    let highlighted = in_file.map(|name| DocumentHighlight {
        range: world.snapshot.counted(here.file).range(name.span),
        kind: Some(match name.role {
            Role::Uses => DocumentHighlightKind::READ,
            _ => DocumentHighlightKind::WRITE,
        }),
    });
    Some(highlighted.collect())
}
