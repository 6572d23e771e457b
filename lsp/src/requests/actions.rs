//! What can be done about the diagnostics at a place.

use super::edits::workspace_edit;
use crate::check;
use crate::world::World;
use fantail::editor::actions::{Action, What, actions};
use fantail::source::Span;
use tower_lsp::lsp_types::*;

/// Every safe change of a file at once.
pub fn fix_all() -> CodeActionKind {
    CodeActionKind::SOURCE_FIX_ALL
}

pub fn code_actions(world: &World, params: &CodeActionParams) -> Option<CodeActionResponse> {
    let mut found: Vec<CodeAction> = Vec::new();
    if nothing_told(world, params) {
        return Some(Vec::new());
    }
    for here in world.with_file(&params.text_document.uri) {
        let Some(file) = here.file() else { continue };
        let bytes = world.snapshot.counted(file).bytes(params.range);
        let clamp = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        for action in actions(here.compiled(), here.id(), clamp(bytes.start)..clamp(bytes.end)) {
            let diagnostics = action.answers.iter().filter_map(|at| here.compiled().diagnostics.get(*at));
            let diagnostics =
                diagnostics.filter_map(|one| Some(check::converted(world, here.show, &here.known, one)?.1)).collect();
            let edits = action.fix.edits.iter().map(|edit| (here.known.clone(), edit.clone()));
            let action = code_action(&action, workspace_edit(world, edits), diagnostics);
            let known = found.iter().any(|known| known.title == action.title && known.edit == action.edit);
            if wanted(params, &action) && !known {
                found.push(action);
            }
        }
    }
    Some(found.into_iter().map(CodeActionOrCommand::CodeAction).collect())
}

/// Of a show in parts: neither there nor anywhere is anything that could be mended.
fn nothing_told(world: &World, params: &CodeActionParams) -> bool {
    let show = world.text(&params.text_document.uri).and_then(|text| world.last_compiled(&text.path));
    let Some(cut) = show.and_then(|show| show.in_parts.as_ref()) else { return false };
    let bytes = cut.text.counted(world.snapshot.encoding).bytes(params.range);
    let touches = |span: Span| span.range().start <= bytes.end && bytes.start <= span.range().end;
    cut.told.iter().all(|one| !touches(one.span) && one.fixes.iter().all(|fix| !fix.safe))
}

fn code_action(action: &Action, edit: WorkspaceEdit, diagnostics: Vec<Diagnostic>) -> CodeAction {
    CodeAction {
        title: action.fix.label.clone(),
        kind: Some(match action.what {
            What::Mend | What::Allow => CodeActionKind::QUICKFIX,
            What::MendAll => fix_all(),
        }),
        is_preferred: Some(action.what == What::Mend && action.fix.safe),
        edit: Some(edit),
        diagnostics: Some(diagnostics),
        ..CodeAction::default()
    }
}

/// A client may ask for some kinds only: a kind includes those below it.
fn wanted(params: &CodeActionParams, action: &CodeAction) -> bool {
    let (Some(only), Some(kind)) = (&params.context.only, &action.kind) else { return true };
    let kind = kind.as_str();
    let within = |asked: &str| kind == asked || kind.strip_prefix(asked).is_some_and(|rest| rest.starts_with('.'));
    only.iter().any(|asked| asked.as_str().is_empty() || within(asked.as_str()))
}
