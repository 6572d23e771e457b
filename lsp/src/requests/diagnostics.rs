//! Diagnostics for clients that ask for them.

use crate::check::Found;
use crate::world::World;
use std::hash::{DefaultHasher, Hash, Hasher};
use tower_lsp::lsp_types::*;

/// A number for what is told: equal where that is.
fn number(diagnostics: &[Diagnostic]) -> String {
    let mut hasher = DefaultHasher::new();
    serde_json::to_string(diagnostics).unwrap_or_default().hash(&mut hasher);
    format!("{:016x}", hasher.finish())
}

pub fn of_file(world: &World, params: &DocumentDiagnosticParams) -> DocumentDiagnosticReportResult {
    let told = world.found.iter().find(|found| found.uri == params.text_document.uri);
    let items = told.map(|found| found.diagnostics.clone()).unwrap_or_default();
    let result_id = number(&items);
    let report = if params.previous_result_id.as_ref() == Some(&result_id) {
        DocumentDiagnosticReport::Unchanged(RelatedUnchangedDocumentDiagnosticReport {
            related_documents: None,
            unchanged_document_diagnostic_report: UnchangedDocumentDiagnosticReport { result_id },
        })
    } else {
        DocumentDiagnosticReport::Full(RelatedFullDocumentDiagnosticReport {
            related_documents: None,
            full_document_diagnostic_report: FullDocumentDiagnosticReport { result_id: Some(result_id), items },
        })
    };
    DocumentDiagnosticReportResult::Report(report)
}

/// Every file that has something to show, and those that had when the client asked last.
pub fn of_workspace(world: &World, params: &WorkspaceDiagnosticParams) -> WorkspaceDiagnosticReportResult {
    let before =
        |uri: &Url| params.previous_result_ids.iter().find(|known| known.uri == *uri).map(|known| &known.value);
    let mut items: Vec<WorkspaceDocumentDiagnosticReport> =
        world.found.iter().map(|found| report(world, found, before(&found.uri))).collect();
    let gone = params.previous_result_ids.iter().filter(|known| !world.found.iter().any(|one| one.uri == known.uri));
    let clear = |known: &PreviousResultId| {
        let found = Found { uri: known.uri.clone(), revision: None, diagnostics: Vec::new() };
        report(world, &found, Some(&known.value))
    };
    items.extend(gone.map(clear));
    WorkspaceDiagnosticReportResult::Report(WorkspaceDiagnosticReport { items })
}

fn report(world: &World, found: &Found, before: Option<&String>) -> WorkspaceDocumentDiagnosticReport {
    let (uri, result_id) = (found.uri.clone(), number(&found.diagnostics));
    let version = world.text(&uri).map(|text| i64::from(text.version));
    if before == Some(&result_id) {
        let report = UnchangedDocumentDiagnosticReport { result_id };
        return WorkspaceDocumentDiagnosticReport::Unchanged(WorkspaceUnchangedDocumentDiagnosticReport {
            uri,
            version,
            unchanged_document_diagnostic_report: report,
        });
    }
    let report = FullDocumentDiagnosticReport { result_id: Some(result_id), items: found.diagnostics.clone() };
    WorkspaceDocumentDiagnosticReport::Full(WorkspaceFullDocumentDiagnosticReport {
        uri,
        version,
        full_document_diagnostic_report: report,
    })
}
