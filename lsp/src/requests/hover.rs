//! What is known of the thing at a position. Shows that say the same of it say it once.

use crate::check;
use crate::world::{Show, World};
use fantail::editor;
use tower_lsp::lsp_types::*;

pub fn hover(world: &World, place: &TextDocumentPositionParams) -> Option<Hover> {
    let mut found: Vec<(editor::Hover, Vec<&Show>)> = Vec::new();
    let mut range = None;
    let places = world.places(&place.text_document.uri, place.position);
    for (here, offset) in &places {
        let Some(said) = editor::hover(&here.show.compiled, &here.show.index, here.id(), *offset) else { continue };
        range = range.or_else(|| Some(world.snapshot.counted(here.file).range(said.span)));
        match found.iter_mut().find(|(known, _)| (&known.title, &known.parts) == (&said.title, &said.parts)) {
            Some((_, shows)) => shows.push(here.show),
            None => found.push((said, vec![here.show])),
        }
    }
    let all: Vec<&Show> = places.iter().map(|(here, _)| here.show).collect();
    let alone = found.len() < 2;
    let texts = found.iter().map(|(said, shows)| {
        let text = if world.snapshot.markdown { said.markdown() } else { said.plain() };
        let names = shows.iter().map(|show| format!("`{}`", check::name(show, &all))).collect::<Vec<_>>().join(", ");
        if alone { text } else { format!("In {names}:\n\n{text}") }
    });
    let value = texts.collect::<Vec<_>>().join("\n");
    let kind = if world.snapshot.markdown { MarkupKind::Markdown } else { MarkupKind::PlainText };
    (!found.is_empty()).then_some(Hover { contents: HoverContents::Markup(MarkupContent { kind, value }), range })
}
