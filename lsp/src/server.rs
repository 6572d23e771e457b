//! The protocol's methods, a line each: every message goes to the owner of the state before anything is
//! awaited, so that messages arrive there in the order in which they were read.

use crate::capabilities::{capabilities, wishes};
use crate::requests::{
    actions, complete, diagnostics, flow, hover, inlay, lens, names, paint, rename, shape, signature, tidy,
};
use crate::setup::{self, Setup};
use crate::state::{Message, Need};
use crate::world::{World, path_of};
use std::sync::OnceLock;
use tokio::sync::mpsc::UnboundedSender;
use tokio::sync::oneshot;
use tower_lsp::jsonrpc::{Error, Result};
use tower_lsp::lsp_types::request::*;
use tower_lsp::lsp_types::*;
use tower_lsp::{Client, LanguageServer, async_trait};

pub struct Server {
    client: Client,
    owner: UnboundedSender<Message>,
    setup: OnceLock<Setup>,
    sent: paint::Sent,
}

impl Server {
    pub fn new(client: Client, owner: UnboundedSender<Message>) -> Self {
        Server { client, owner, setup: OnceLock::new(), sent: paint::Sent::default() }
    }

    /// Asks the client something beside every other message: it may take as long as it likes to answer.
    fn wish(&self, setup: &Setup) {
        let (client, owner) = (self.client.clone(), self.owner.clone());
        let (wishes, configures) = (wishes(setup), setup.configures);
        tokio::spawn(async move {
            if !wishes.is_empty() {
                let _ = client.register_capability(wishes).await;
            }
            if configures {
                let item = ConfigurationItem { scope_uri: None, section: Some("fantail".to_string()) };
                let said = client.configuration(vec![item]).await.unwrap_or_default();
                said.iter().filter_map(setup::notes).for_each(|notes| {
                    let _ = owner.send(Message::Notes(notes));
                });
            }
        });
    }

    /// Nobody owns the state any more only while the process ends.
    fn tell(&self, message: Message) {
        let _ = self.owner.send(message);
    }

    /// Answers from a world. Sent before the first await; one that is cancelled meanwhile is not worked out.
    async fn ask<T, F>(&self, need: Need, answer: F) -> Result<T>
    where
        T: Send + 'static,
        F: FnOnce(&World) -> Result<T> + Send + 'static,
    {
        let (sender, receiver) = oneshot::channel();
        let question = move |world: &World| {
            if !sender.is_closed() {
                let _ = sender.send(answer(world));
            }
        };
        self.tell(Message::Ask(need, Box::new(question)));
        receiver.await.unwrap_or_else(|_| Err(Error::internal_error()))
    }
}

#[async_trait]
impl LanguageServer for Server {
    async fn initialize(&self, params: InitializeParams) -> Result<InitializeResult> {
        let setup = self.setup.get_or_init(|| Setup::of(&params));
        self.tell(Message::Setup(Box::new(setup.clone())));
        Ok(InitializeResult {
            capabilities: capabilities(setup.encoding),
            server_info: Some(ServerInfo {
                name: "fantail-lsp".to_string(),
                version: Some(env!("CARGO_PKG_VERSION").to_string()),
            }),
        })
    }

    async fn initialized(&self, _: InitializedParams) {
        if let Some(setup) = self.setup.get() {
            self.wish(setup);
        }
    }

    async fn shutdown(&self) -> Result<()> {
        Ok(())
    }

    async fn did_open(&self, params: DidOpenTextDocumentParams) {
        self.tell(Message::Open(params));
    }

    async fn did_change(&self, params: DidChangeTextDocumentParams) {
        self.tell(Message::Change(params));
    }

    async fn did_close(&self, params: DidCloseTextDocumentParams) {
        self.sent.forget(&params.text_document.uri);
        self.tell(Message::Close(params));
    }

    async fn did_save(&self, _: DidSaveTextDocumentParams) {
        self.tell(Message::DiskChanged);
    }

    async fn did_change_watched_files(&self, _: DidChangeWatchedFilesParams) {
        self.tell(Message::DiskChanged);
    }

    async fn goto_definition(&self, p: GotoDefinitionParams) -> Result<Option<GotoDefinitionResponse>> {
        self.ask(Need::Current, move |world| Ok(names::definition(world, &p.text_document_position_params))).await
    }

    async fn goto_declaration(&self, p: GotoDeclarationParams) -> Result<Option<GotoDeclarationResponse>> {
        self.ask(Need::Current, move |world| Ok(names::definition(world, &p.text_document_position_params))).await
    }

    async fn goto_implementation(&self, p: GotoImplementationParams) -> Result<Option<GotoImplementationResponse>> {
        self.ask(Need::Current, move |world| Ok(names::implementation(world, &p.text_document_position_params))).await
    }

    async fn references(&self, p: ReferenceParams) -> Result<Option<Vec<Location>>> {
        self.ask(Need::Current, move |world| Ok(names::references(world, &p))).await
    }

    async fn document_highlight(&self, p: DocumentHighlightParams) -> Result<Option<Vec<DocumentHighlight>>> {
        self.ask(Need::Current, move |world| Ok(names::highlight(world, &p.text_document_position_params))).await
    }

    async fn did_change_configuration(&self, params: DidChangeConfigurationParams) {
        if let Some(notes) = setup::notes(&params.settings) {
            self.tell(Message::Notes(notes));
        } else if let Some(setup) = self.setup.get() {
            self.wish(&Setup { watches: false, ..setup.clone() });
        }
    }

    async fn did_change_workspace_folders(&self, params: DidChangeWorkspaceFoldersParams) {
        let paths = |folders: Vec<WorkspaceFolder>| folders.iter().map(|folder| path_of(&folder.uri)).collect();
        self.tell(Message::Folders { added: paths(params.event.added), removed: paths(params.event.removed) });
    }

    async fn will_rename_files(&self, p: RenameFilesParams) -> Result<Option<WorkspaceEdit>> {
        self.ask(Need::Current, move |world| Ok(rename::will_rename(world, &p))).await
    }

    async fn prepare_rename(&self, p: TextDocumentPositionParams) -> Result<Option<PrepareRenameResponse>> {
        self.ask(Need::Current, move |world| rename::prepare_rename(world, &p)).await
    }

    async fn rename(&self, p: RenameParams) -> Result<Option<WorkspaceEdit>> {
        self.ask(Need::Current, move |world| rename::rename(world, &p)).await
    }

    async fn linked_editing_range(&self, p: LinkedEditingRangeParams) -> Result<Option<LinkedEditingRanges>> {
        self.ask(Need::Current, move |world| Ok(rename::linked(world, &p.text_document_position_params))).await
    }

    async fn code_action(&self, p: CodeActionParams) -> Result<Option<CodeActionResponse>> {
        self.ask(Need::Current, move |world| Ok(actions::code_actions(world, &p))).await
    }

    async fn diagnostic(&self, p: DocumentDiagnosticParams) -> Result<DocumentDiagnosticReportResult> {
        self.ask(Need::Current, move |world| Ok(diagnostics::of_file(world, &p))).await
    }

    async fn workspace_diagnostic(&self, p: WorkspaceDiagnosticParams) -> Result<WorkspaceDiagnosticReportResult> {
        self.ask(Need::Current, move |world| Ok(diagnostics::of_workspace(world, &p))).await
    }

    async fn document_symbol(&self, p: DocumentSymbolParams) -> Result<Option<DocumentSymbolResponse>> {
        self.ask(Need::Current, move |world| Ok(shape::symbols(world, &p))).await
    }

    async fn symbol(&self, p: WorkspaceSymbolParams) -> Result<Option<Vec<SymbolInformation>>> {
        self.ask(Need::Current, move |world| Ok(shape::workspace_symbols(world, &p))).await
    }

    async fn folding_range(&self, p: FoldingRangeParams) -> Result<Option<Vec<FoldingRange>>> {
        self.ask(Need::Current, move |world| Ok(shape::folds(world, &p))).await
    }

    async fn selection_range(&self, p: SelectionRangeParams) -> Result<Option<Vec<SelectionRange>>> {
        self.ask(Need::Current, move |world| Ok(shape::selections(world, &p))).await
    }

    async fn document_link(&self, p: DocumentLinkParams) -> Result<Option<Vec<DocumentLink>>> {
        self.ask(Need::Current, move |world| Ok(shape::links(world, &p))).await
    }

    async fn semantic_tokens_full(&self, p: SemanticTokensParams) -> Result<Option<SemanticTokensResult>> {
        let sent = self.sent.clone();
        self.ask(Need::Current, move |world| Ok(paint::full(world, &p, &sent))).await
    }

    async fn semantic_tokens_full_delta(
        &self,
        p: SemanticTokensDeltaParams,
    ) -> Result<Option<SemanticTokensFullDeltaResult>> {
        let sent = self.sent.clone();
        self.ask(Need::Current, move |world| Ok(paint::delta(world, &p, &sent))).await
    }

    async fn semantic_tokens_range(&self, p: SemanticTokensRangeParams) -> Result<Option<SemanticTokensRangeResult>> {
        self.ask(Need::Current, move |world| Ok(paint::range(world, &p))).await
    }

    async fn formatting(&self, p: DocumentFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        self.ask(Need::Texts, move |world| Ok(tidy::full(world, &p))).await
    }

    async fn range_formatting(&self, p: DocumentRangeFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        self.ask(Need::Texts, move |world| Ok(tidy::range(world, &p))).await
    }

    async fn on_type_formatting(&self, p: DocumentOnTypeFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        self.ask(Need::Texts, move |world| Ok(tidy::on_type(world, &p))).await
    }

    async fn completion(&self, p: CompletionParams) -> Result<Option<CompletionResponse>> {
        self.ask(Need::Texts, move |world| Ok(complete::complete(world, &p))).await
    }

    async fn signature_help(&self, p: SignatureHelpParams) -> Result<Option<SignatureHelp>> {
        self.ask(Need::Texts, move |world| Ok(signature::help(world, &p))).await
    }

    async fn hover(&self, p: HoverParams) -> Result<Option<Hover>> {
        self.ask(Need::Current, move |world| Ok(hover::hover(world, &p.text_document_position_params))).await
    }

    async fn inlay_hint(&self, p: InlayHintParams) -> Result<Option<Vec<InlayHint>>> {
        self.ask(Need::Current, move |world| Ok(inlay::hints(world, &p))).await
    }

    async fn code_lens(&self, p: CodeLensParams) -> Result<Option<Vec<CodeLens>>> {
        self.ask(Need::Current, move |world| Ok(lens::lenses(world, &p))).await
    }

    async fn prepare_call_hierarchy(&self, p: CallHierarchyPrepareParams) -> Result<Option<Vec<CallHierarchyItem>>> {
        self.ask(Need::Current, move |world| Ok(flow::prepare(world, &p.text_document_position_params))).await
    }

    async fn incoming_calls(
        &self,
        p: CallHierarchyIncomingCallsParams,
    ) -> Result<Option<Vec<CallHierarchyIncomingCall>>> {
        self.ask(Need::Current, move |world| Ok(flow::incoming(world, &p.item))).await
    }

    async fn outgoing_calls(
        &self,
        p: CallHierarchyOutgoingCallsParams,
    ) -> Result<Option<Vec<CallHierarchyOutgoingCall>>> {
        self.ask(Need::Current, move |world| Ok(flow::outgoing(world, &p.item))).await
    }
}
