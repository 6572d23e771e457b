//! Every request that the server announces, with parameters for any of them. What is announced and not
//! named here fails the test.

use super::texts::Place;
use fantail_tests::dice::Dice;
use serde_json::{Value, json};

/// By the way to each capability that is `true` or has parts: the requests that it announces.
const ANNOUNCED: &[(&str, &[&str])] = &[
    ("textDocumentSync", &[]),
    ("textDocumentSync.openClose", &[]),
    ("textDocumentSync.save", &[]),
    ("hoverProvider", &["textDocument/hover"]),
    ("completionProvider", &["textDocument/completion"]),
    ("completionProvider.completionItem", &[]),
    ("completionProvider.completionItem.labelDetailsSupport", &[]),
    ("completionProvider.resolveProvider", &["completionItem/resolve"]),
    ("signatureHelpProvider", &["textDocument/signatureHelp"]),
    ("inlayHintProvider", &["textDocument/inlayHint"]),
    ("codeLensProvider", &["textDocument/codeLens"]),
    (
        "callHierarchyProvider",
        &["textDocument/prepareCallHierarchy", "callHierarchy/incomingCalls", "callHierarchy/outgoingCalls"],
    ),
    ("definitionProvider", &["textDocument/definition"]),
    ("declarationProvider", &["textDocument/declaration"]),
    ("implementationProvider", &["textDocument/implementation"]),
    ("referencesProvider", &["textDocument/references"]),
    ("documentHighlightProvider", &["textDocument/documentHighlight"]),
    ("renameProvider", &["textDocument/rename"]),
    ("renameProvider.prepareProvider", &["textDocument/prepareRename"]),
    ("linkedEditingRangeProvider", &["textDocument/linkedEditingRange"]),
    ("codeActionProvider", &["textDocument/codeAction"]),
    ("diagnosticProvider", &["textDocument/diagnostic"]),
    ("diagnosticProvider.interFileDependencies", &[]),
    ("diagnosticProvider.workspaceDiagnostics", &["workspace/diagnostic"]),
    ("documentSymbolProvider", &["textDocument/documentSymbol"]),
    ("workspaceSymbolProvider", &["workspace/symbol"]),
    ("foldingRangeProvider", &["textDocument/foldingRange"]),
    ("selectionRangeProvider", &["textDocument/selectionRange"]),
    ("documentLinkProvider", &["textDocument/documentLink"]),
    ("semanticTokensProvider", &[]),
    ("semanticTokensProvider.legend", &[]),
    ("semanticTokensProvider.full", &["textDocument/semanticTokens/full"]),
    ("semanticTokensProvider.full.delta", &["textDocument/semanticTokens/full/delta"]),
    ("semanticTokensProvider.range", &["textDocument/semanticTokens/range"]),
    ("documentFormattingProvider", &["textDocument/formatting"]),
    ("documentRangeFormattingProvider", &["textDocument/rangeFormatting"]),
    ("documentOnTypeFormattingProvider", &["textDocument/onTypeFormatting"]),
    ("workspace", &[]),
    ("workspace.workspaceFolders", &[]),
    ("workspace.workspaceFolders.supported", &[]),
    ("workspace.workspaceFolders.changeNotifications", &[]),
    ("workspace.fileOperations", &[]),
    ("workspace.fileOperations.willRename", &["workspace/willRenameFiles"]),
];

/// The requests that these capabilities announce.
pub fn announced(capabilities: &Value) -> Vec<&'static str> {
    let mut found = Vec::new();
    walk(capabilities, "", &mut found);
    found
}

fn walk(capabilities: &Value, above: &str, found: &mut Vec<&'static str>) {
    for (key, value) in capabilities.as_object().into_iter().flatten() {
        if !value.is_object() && *value != true {
            continue;
        }
        let way = if above.is_empty() { key.clone() } else { format!("{above}.{key}") };
        let known = ANNOUNCED.iter().find(|(known, _)| *known == way);
        let Some((_, requests)) = known else { panic!("no request is made for the capability `{way}`") };
        found.extend(*requests);
        walk(value, &way, found);
    }
}

/// What any request of the list may be asked with: each reads what is its own. `uris` begins with the file
/// that is asked about.
pub fn params(uris: &[String], from: Place, to: Place, dice: &mut Dice) -> Value {
    let place = |(line, character): Place| json!({"line": line, "character": character});
    let (uri, range) = (&uris[0], json!({"start": place(from), "end": place(to)}));
    // An item that no answer had: of a show or none, a signal and a place that there are or are not.
    let name = || {
        ["kick", "lead", "\u{592a}\u{9f13}", "stage-left.in 1", "foh.portA 2", "foh.mix 1", "nobody", "\u{1f39b}", ""]
    };
    let show = dice.pick(uris).replace("file://", "");
    let data = json!({"show": show, "of": dice.pick(&name()), "name": dice.pick(&name())});
    let data = dice.pick(&[data.clone(), data, json!({"show": 1}), Value::Null]);
    let item = json!({
        "name": "foh", "kind": 1, "uri": uri, "range": range, "selectionRange": range, "data": data,
    });
    json!({
        "textDocument": {"uri": uri},
        "position": place(from),
        "positions": [place(from), place(to)],
        "range": range,
        "context": {"includeDeclaration": dice.one_in(2), "diagnostics": [], "triggerKind": 1, "isRetrigger": false},
        "options": {"tabSize": 2, "insertSpaces": true},
        "ch": dice.pick(&["\n", "}"]),
        "newName": dice.pick(&["kick-two", "kick", "", "🎛", "1", "a b"]),
        "query": dice.pick(&["", "k", "foh", "🎛"]),
        "previousResultId": dice.below(9).to_string(),
        "previousResultIds": [{"uri": uri, "value": "0"}],
        "files": [{"oldUri": uri, "newUri": dice.pick(uris)}],
        "item": item,
        "label": "kick",
    })
}

/// What no request can be asked with, or nearly none.
pub fn bad_params(dice: &mut Dice) -> Value {
    let place = json!({"line": -1, "character": 1.5});
    dice.pick(&[
        Value::Null,
        json!({}),
        json!([]),
        json!([1, "x"]),
        json!({"textDocument": 5}),
        json!({"textDocument": {"uri": "no uri"}, "position": {"line": 0, "character": 0}}),
        json!({"textDocument": {"uri": "file:///"}, "position": place, "range": place}),
    ])
}
