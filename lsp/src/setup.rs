//! What the client said about itself when it started.

use crate::convert::Encoding;
use crate::world::path_of;
use serde_json::Value;
use std::path::PathBuf;
use tower_lsp::lsp_types::*;

#[derive(Clone, Debug, Default)]
pub struct Setup {
    pub encoding: Encoding,
    /// Show notes too, which are off unless asked for.
    pub notes: bool,
    /// It asks for diagnostics; none are sent unasked.
    pub pulls: bool,
    /// It shows how long work goes on.
    pub progress: bool,
    /// Its completion takes snippets.
    pub snippets: bool,
    /// A hover may hold Markdown.
    pub markdown: bool,
    /// It watches files where it is asked to.
    pub watches: bool,
    /// It asks again for colours, hints and lenses when it is told to.
    pub recolours: bool,
    pub rehints: bool,
    pub relenses: bool,
    /// It answers `workspace/configuration`.
    pub configures: bool,
    pub folders: Vec<PathBuf>,
    /// A show of no more lines is always checked whole.
    pub whole_up_to: usize,
}

/// Below this the parts of a show save nobody any time.
const WHOLE_UP_TO: usize = 600;

fn whole_up_to(params: &InitializeParams) -> Option<usize> {
    let lines = params.initialization_options.as_ref()?.get("wholeUpTo")?.as_u64()?;
    usize::try_from(lines).ok()
}

impl Setup {
    pub fn of(params: &InitializeParams) -> Self {
        let all = &params.capabilities;
        let text = all.text_document.as_ref();
        let workspace = all.workspace.as_ref();
        let completes = text.and_then(|text| text.completion.as_ref()?.completion_item.as_ref()?.snippet_support);
        let formats = text.and_then(|text| text.hover.as_ref()?.content_format.as_ref());
        let recolours = workspace.and_then(|all| all.semantic_tokens.as_ref()?.refresh_support);
        let rehints = workspace.and_then(|all| all.inlay_hint.as_ref()?.refresh_support);
        let relenses = workspace.and_then(|all| all.code_lens.as_ref()?.refresh_support);
        let watches = workspace.and_then(|all| all.did_change_watched_files.as_ref()?.dynamic_registration);
        Setup {
            encoding: Encoding::negotiate(params),
            notes: params.initialization_options.as_ref().and_then(notes).unwrap_or(false),
            pulls: text.is_some_and(|text| text.diagnostic.is_some()),
            progress: all.window.as_ref().and_then(|window| window.work_done_progress) == Some(true),
            snippets: completes == Some(true),
            markdown: formats.is_some_and(|formats| formats.contains(&MarkupKind::Markdown)),
            watches: watches == Some(true),
            recolours: recolours == Some(true),
            rehints: rehints == Some(true),
            relenses: relenses == Some(true),
            configures: workspace.and_then(|all| all.configuration) == Some(true),
            folders: folders(params),
            whole_up_to: whole_up_to(params).unwrap_or(WHOLE_UP_TO),
        }
    }
}

/// `{"notes": true}`, also one level down: `{"fantail": {"notes": true}}`.
pub fn notes(options: &Value) -> Option<bool> {
    options.get("notes").or_else(|| options.get("fantail")?.get("notes"))?.as_bool()
}

fn folders(params: &InitializeParams) -> Vec<PathBuf> {
    #[allow(deprecated)]
    let one = params.root_uri.iter();
    match &params.workspace_folders {
        Some(folders) => folders.iter().map(|folder| path_of(&folder.uri)).collect(),
        None => one.map(path_of).collect(),
    }
}
