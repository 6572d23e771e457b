//! Signal flow as a call hierarchy: whoever feeds something calls it.

use crate::show::Known;
use crate::world::World;
use fantail::editor::{self, Item, ItemKind};
use serde_json::{Value, json};
use std::path::Path;
use std::sync::Arc;
use tower_lsp::lsp_types::*;

/// By the first show that has the file and knows what stands there.
pub fn prepare(world: &World, place: &TextDocumentPositionParams) -> Option<Vec<CallHierarchyItem>> {
    world.places(&place.text_document.uri, place.position).into_iter().find_map(|(here, offset)| {
        let items = editor::flow_at(here.compiled(), here.index(), here.id(), offset);
        let items: Vec<_> = items.iter().filter_map(|item| shown(world, &here.show.path, &here.known, item)).collect();
        (!items.is_empty()).then_some(items)
    })
}

pub fn incoming(world: &World, item: &CallHierarchyItem) -> Option<Vec<CallHierarchyIncomingCall>> {
    let (show, known, of, name) = known(world, item)?;
    let items = editor::incoming(&known.compiled, &known.index, of, name);
    let shown = items.iter().filter_map(|item| shown(world, show, &known, item));
    Some(shown.map(|from| CallHierarchyIncomingCall { from_ranges: vec![from.selection_range], from }).collect())
}

pub fn outgoing(world: &World, item: &CallHierarchyItem) -> Option<Vec<CallHierarchyOutgoingCall>> {
    let (show, known, of, name) = known(world, item)?;
    let items = editor::outgoing(&known.compiled, &known.index, of, name);
    let shown = items.iter().filter_map(|item| shown(world, show, &known, item));
    Some(shown.map(|to| CallHierarchyOutgoingCall { from_ranges: vec![item.selection_range], to }).collect())
}

fn shown(world: &World, show: &Path, known: &Known, item: &Item) -> Option<CallHierarchyItem> {
    let row = world.location(known, item.row)?;
    Some(CallHierarchyItem {
        name: item.name.clone(),
        kind: match item.kind {
            ItemKind::Source => SymbolKind::EVENT,
            ItemKind::Mix => SymbolKind::FUNCTION,
            ItemKind::Point => SymbolKind::FIELD,
        },
        tags: None,
        detail: Some(item.detail.clone()).filter(|detail| !detail.is_empty()),
        uri: row.uri,
        range: row.range,
        selection_range: world.location(known, item.span)?.range,
        data: Some(json!({ "show": show, "of": item.of, "name": item.name })),
    })
}

/// The show, the signal and the place that an item was made of.
fn known<'i>(world: &World, item: &'i CallHierarchyItem) -> Option<(&'i Path, Arc<Known>, &'i str, &'i str)> {
    let data = item.data.as_ref()?;
    let text = |key: &str| data.get(key).and_then(Value::as_str);
    let path = Path::new(text("show")?);
    let show = world.shows.iter().find(|show| show.path == path)?;
    Some((path, show.whole(), text("of")?, text("name")?))
}
