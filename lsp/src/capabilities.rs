//! What the server says it can do, and what it asks the client to do.

use crate::convert::Encoding;
use crate::requests::{actions, complete, paint, signature};
use crate::setup::Setup;
use tower_lsp::lsp_types::*;

pub fn capabilities(encoding: Encoding) -> ServerCapabilities {
    let with_prepare = RenameOptions { prepare_provider: Some(true), work_done_progress_options: Default::default() };
    ServerCapabilities {
        position_encoding: Some(encoding.kind()),
        text_document_sync: Some(TextDocumentSyncCapability::Options(sync())),
        definition_provider: Some(OneOf::Left(true)),
        declaration_provider: Some(DeclarationCapability::Simple(true)),
        implementation_provider: Some(ImplementationProviderCapability::Simple(true)),
        references_provider: Some(OneOf::Left(true)),
        document_highlight_provider: Some(OneOf::Left(true)),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        inlay_hint_provider: Some(OneOf::Left(true)),
        code_lens_provider: Some(CodeLensOptions { resolve_provider: Some(false) }),
        call_hierarchy_provider: Some(CallHierarchyServerCapability::Simple(true)),
        rename_provider: Some(OneOf::Right(with_prepare)),
        linked_editing_range_provider: Some(LinkedEditingRangeServerCapabilities::Simple(true)),
        code_action_provider: Some(CodeActionProviderCapability::Options(CodeActionOptions {
            code_action_kinds: Some(vec![CodeActionKind::QUICKFIX, actions::fix_all()]),
            ..CodeActionOptions::default()
        })),
        diagnostic_provider: Some(DiagnosticServerCapabilities::Options(DiagnosticOptions {
            identifier: Some("fantail".to_string()),
            inter_file_dependencies: true,
            workspace_diagnostics: true,
            work_done_progress_options: Default::default(),
        })),
        document_symbol_provider: Some(OneOf::Left(true)),
        workspace_symbol_provider: Some(OneOf::Left(true)),
        folding_range_provider: Some(FoldingRangeProviderCapability::Simple(true)),
        selection_range_provider: Some(SelectionRangeProviderCapability::Simple(true)),
        document_link_provider: Some(DocumentLinkOptions {
            resolve_provider: Some(false),
            work_done_progress_options: Default::default(),
        }),
        semantic_tokens_provider: Some(SemanticTokensServerCapabilities::SemanticTokensOptions(
            SemanticTokensOptions {
                legend: paint::legend(),
                range: Some(true),
                full: Some(SemanticTokensFullOptions::Delta { delta: Some(true) }),
                work_done_progress_options: Default::default(),
            },
        )),
        document_formatting_provider: Some(OneOf::Left(true)),
        document_range_formatting_provider: Some(OneOf::Left(true)),
        document_on_type_formatting_provider: Some(DocumentOnTypeFormattingOptions {
            first_trigger_character: "\n".to_string(),
            more_trigger_character: Some(vec!["}".to_string()]),
        }),
        workspace: Some(workspace()),
        completion_provider: Some(complete::options()),
        signature_help_provider: Some(signature::options()),
        ..ServerCapabilities::default()
    }
}

fn sync() -> TextDocumentSyncOptions {
    TextDocumentSyncOptions {
        open_close: Some(true),
        change: Some(TextDocumentSyncKind::INCREMENTAL),
        save: Some(TextDocumentSyncSaveOptions::Supported(true)),
        ..TextDocumentSyncOptions::default()
    }
}

fn workspace() -> WorkspaceServerCapabilities {
    let filter = |glob: &str, matches| FileOperationFilter {
        scheme: Some("file".to_string()),
        pattern: FileOperationPattern { glob: glob.to_string(), matches: Some(matches), options: None },
    };
    let files = FileOperationRegistrationOptions {
        filters: vec![
            filter("**/*.fantail", FileOperationPatternKind::File),
            filter("**", FileOperationPatternKind::Folder),
        ],
    };
    WorkspaceServerCapabilities {
        workspace_folders: Some(WorkspaceFoldersServerCapabilities {
            supported: Some(true),
            change_notifications: Some(OneOf::Left(true)),
        }),
        file_operations: Some(WorkspaceFileOperationsServerCapabilities {
            will_rename: Some(files),
            ..WorkspaceFileOperationsServerCapabilities::default()
        }),
    }
}

/// What the client is asked to tell once it is ready: changes of files that are not open, and of settings.
pub fn wishes(setup: &Setup) -> Vec<Registration> {
    let watched = DidChangeWatchedFilesRegistrationOptions {
        watchers: vec![FileSystemWatcher { glob_pattern: GlobPattern::String("**/*.fantail".to_string()), kind: None }],
    };
    let watch = Registration {
        id: "fantail/files".to_string(),
        method: "workspace/didChangeWatchedFiles".to_string(),
        register_options: serde_json::to_value(watched).ok(),
    };
    setup.watches.then_some(watch).into_iter().collect()
}
