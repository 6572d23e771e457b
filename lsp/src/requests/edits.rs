//! Edits of files as the client applies them.

use crate::show::Known;
use crate::world::World;
use fantail::diagnostics::Edit;
use std::collections::HashMap;
use std::sync::Arc;
use tower_lsp::lsp_types::*;

/// Edits by file. Several shows may ask for the same one, which is made once.
pub fn workspace_edit(world: &World, edits: impl IntoIterator<Item = (Arc<Known>, Edit)>) -> WorkspaceEdit {
    let mut changes: HashMap<Url, Vec<TextEdit>> = HashMap::new();
    for (known, edit) in edits {
        let Some(Location { uri, range }) = world.location(&known, edit.span) else { continue };
        let list = changes.entry(uri).or_default();
        let edit = TextEdit { range, new_text: edit.text };
        if !list.contains(&edit) {
            list.push(edit);
        }
    }
    changes.values_mut().for_each(|list| list.sort_by_key(|edit| (edit.range.start, edit.range.end)));
    WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() }
}
