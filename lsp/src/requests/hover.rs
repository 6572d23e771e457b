//! What is known of the thing at a position. Shows that say the same of it say it once: first what all of them
//! say, then what each says besides.

use crate::check;
use crate::show::Show;
use crate::world::World;
use fantail::editor;
use tower_lsp::lsp_types::*;

pub fn hover(world: &World, place: &TextDocumentPositionParams) -> Option<Hover> {
    let mut found: Vec<(editor::Hover, Vec<&Show>)> = Vec::new();
    let mut range = None;
    let places = world.near(&place.text_document.uri, place.position);
    for (here, offset) in &places {
        let Some(said) = editor::hover(here.compiled(), here.index(), here.id(), *offset) else { continue };
        range = range.or_else(|| world.range(here, said.span));
        match found.iter_mut().find(|(known, _)| (&known.title, &known.parts) == (&said.title, &said.parts)) {
            Some((_, shows)) => shows.push(here.show),
            None => found.push((said, vec![here.show])),
        }
    }
    let all: Vec<&Show> = places.iter().map(|(here, _)| here.show).collect();
    let (mut found, shows): (Vec<_>, Vec<_>) = found.into_iter().unzip();
    let text = |said: &editor::Hover| if world.snapshot.markdown { said.markdown() } else { said.plain() };
    let mut value = text(&editor::taken_together(&mut found)?);
    for (said, shows) in found.iter().map(text).zip(shows).filter(|(said, _)| !said.is_empty()) {
        let names = shows.iter().map(|show| format!("`{}`", check::name(show, &all))).collect::<Vec<_>>().join(", ");
        let gap = if value.is_empty() { "" } else { "\n" };
        value.push_str(&format!("{gap}In {names}:\n\n{said}"));
    }
    let kind = if world.snapshot.markdown { MarkupKind::Markdown } else { MarkupKind::PlainText };
    Some(Hover { contents: HoverContents::Markup(MarkupContent { kind, value }), range })
}
