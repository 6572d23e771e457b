//! The protocol's methods, a line each: every message goes to the owner of the state before anything is
//! awaited, so that messages arrive there in the order in which they were read.

use crate::convert::Encoding;
use crate::state::{Message, Setup};
use tokio::sync::mpsc::UnboundedSender;
use tower_lsp::jsonrpc::Result;
use tower_lsp::lsp_types::*;
use tower_lsp::{LanguageServer, async_trait};

pub struct Server {
    owner: UnboundedSender<Message>,
}

impl Server {
    pub fn new(owner: UnboundedSender<Message>) -> Self {
        Server { owner }
    }

    /// Nobody owns the state any more only while the process ends.
    fn tell(&self, message: Message) {
        let _ = self.owner.send(message);
    }
}

#[async_trait]
impl LanguageServer for Server {
    async fn initialize(&self, params: InitializeParams) -> Result<InitializeResult> {
        let encoding = Encoding::negotiate(&params);
        self.tell(Message::Setup(Setup::of(&params)));
        Ok(InitializeResult {
            capabilities: capabilities(encoding),
            server_info: Some(ServerInfo {
                name: "fantail-lsp".to_string(),
                version: Some(env!("CARGO_PKG_VERSION").to_string()),
            }),
        })
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
        self.tell(Message::Close(params));
    }

    async fn did_save(&self, _: DidSaveTextDocumentParams) {
        self.tell(Message::DiskChanged);
    }

    async fn did_change_watched_files(&self, _: DidChangeWatchedFilesParams) {
        self.tell(Message::DiskChanged);
    }
}

fn capabilities(encoding: Encoding) -> ServerCapabilities {
    let sync = TextDocumentSyncOptions {
        open_close: Some(true),
        change: Some(TextDocumentSyncKind::INCREMENTAL),
        save: Some(TextDocumentSyncSaveOptions::Supported(true)),
        ..TextDocumentSyncOptions::default()
    };
    ServerCapabilities {
        position_encoding: Some(encoding.kind()),
        text_document_sync: Some(TextDocumentSyncCapability::Options(sync)),
        ..ServerCapabilities::default()
    }
}
