//! Lines above statements, by the first show that has the file.

use crate::world::World;
use fantail::editor;
use tower_lsp::lsp_types::*;

pub fn lenses(world: &World, params: &CodeLensParams) -> Option<Vec<CodeLens>> {
    let here = world.with_file(&params.text_document.uri).next()?;
    let counted = world.snapshot.counted(here.file()?);
    let lenses = editor::lenses(here.compiled(), here.id()).into_iter();
    // A command without a name is shown and does nothing.
    let shown = lenses.map(|lens| CodeLens {
        range: counted.range(lens.span),
        command: Some(Command { title: lens.title, command: String::new(), arguments: None }),
        data: None,
    });
    Some(shown.collect())
}
