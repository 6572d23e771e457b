//! Where a name is declared, changed and used.

use crate::world::{In, World};
use fantail::editor::{NameAt, Role, Symbol};
use tower_lsp::lsp_types::*;

/// The name at a position, in each show that has the file.
fn at<'h>(places: &'h [(In<'_>, u32)]) -> impl Iterator<Item = (&'h In<'h>, &'h NameAt)> {
    places.iter().filter_map(|(here, offset)| Some((here, here.index().at(here.id(), *offset)?)))
}

/// Every place in any show of what the name means, that `wanted` takes, each place once.
fn places(world: &World, at_place: &[(In<'_>, u32)], wanted: impl Fn(&NameAt) -> bool) -> Vec<Location> {
    let mut found: Vec<Location> = Vec::new();
    for (here, name) in at(at_place) {
        let named = here.index().places(&name.symbol).filter(|name| wanted(name));
        found.extend(named.filter_map(|name| world.location(&here.known, name.span)));
    }
    found.sort_by_key(|location| (location.uri.to_string(), location.range.start));
    found.dedup();
    found
}

/// The declaring row; of a change, what is changed: in the included base.
pub fn definition(world: &World, place: &TextDocumentPositionParams) -> Option<GotoDefinitionResponse> {
    // Whoever names it is in the part of who declares it.
    let near = world.near(&place.text_document.uri, place.position);
    let found = places(world, &near, |name| name.role == Role::Declares);
    (!found.is_empty()).then_some(GotoDefinitionResponse::Array(found))
}

/// The changes of it, in every venue.
pub fn implementation(world: &World, place: &TextDocumentPositionParams) -> Option<GotoDefinitionResponse> {
    let near = world.near(&place.text_document.uri, place.position);
    let found = places(world, &near, |name| matches!(name.role, Role::Changes | Role::TakesOut));
    (!found.is_empty()).then_some(GotoDefinitionResponse::Array(found))
}

pub fn references(world: &World, params: &ReferenceParams) -> Option<Vec<Location>> {
    let declares = params.context.include_declaration;
    let place = &params.text_document_position;
    let all = world.places(&place.text_document.uri, place.position);
    let found = places(world, &all, |name| declares || name.role != Role::Declares);
    (!found.is_empty()).then_some(found)
}

pub fn highlight(world: &World, place: &TextDocumentPositionParams) -> Option<Vec<DocumentHighlight>> {
    let near = world.near(&place.text_document.uri, place.position);
    let (here, name) = at(&near).next()?;
    let symbol: &Symbol = &name.symbol;
    let counted = world.snapshot.counted(here.file()?);
    let in_file = here.index().places(symbol).filter(|name| name.span.file == here.id());
    let highlighted = in_file.map(|name| DocumentHighlight {
        range: counted.range(name.span),
        kind: Some(match name.role {
            Role::Uses => DocumentHighlightKind::READ,
            _ => DocumentHighlightKind::WRITE,
        }),
    });
    Some(highlighted.collect())
}
