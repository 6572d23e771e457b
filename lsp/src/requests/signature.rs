//! The columns of the row at a position.

use super::complete::stretch;
use crate::world::World;
use fantail::editor::signature::{Column, Signature};
use tower_lsp::lsp_types::*;

pub fn options() -> SignatureHelpOptions {
    SignatureHelpOptions {
        trigger_characters: Some(vec![" ".to_string()]),
        retrigger_characters: None,
        work_done_progress_options: WorkDoneProgressOptions::default(),
    }
}

pub fn help(world: &World, params: &SignatureHelpParams) -> Option<SignatureHelp> {
    let at = &params.text_document_position_params;
    let text = world.text(&at.text_document.uri)?;
    let offset = text.counted(world.snapshot.encoding).offset(at.position);
    let stretch = stretch(world.last_compiled(&text.path), &text.text, offset);
    let Signature { label, columns, active } =
        fantail::editor::signature(text.text.get(stretch.clone())?, offset - stretch.start)?;
    let active = active.and_then(|active| u32::try_from(active).ok());
    let parameters = columns.into_iter().map(parameter).collect();
    let row =
        SignatureInformation { label, documentation: None, parameters: Some(parameters), active_parameter: active };
    Some(SignatureHelp { signatures: vec![row], active_signature: Some(0), active_parameter: active })
}

/// Labels are ASCII, so bytes are the protocol's units.
fn parameter(column: Column) -> ParameterInformation {
    let clamp = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    let said = Some(column.documentation).filter(|said| !said.is_empty());
    ParameterInformation {
        label: ParameterLabel::LabelOffsets([clamp(column.label.start), clamp(column.label.end)]),
        documentation: said.map(Documentation::String),
    }
}
