//! Tells the client to ask again, after something changed that it did not say itself. Waits for no answer
//! that anything else waits behind, nor for one before it asks the next.

use crate::setup::Setup;
use std::future::Future;
use tower_lsp::Client;
use tower_lsp::jsonrpc::Result;

pub async fn refresh(client: Client, setup: Setup) {
    // The protocol's types misname the client's word for diagnostics, so that it cannot be read: one that asks
    // for them is told, and may turn it down.
    tokio::join!(
        told(setup.pulls, client.workspace_diagnostic_refresh()),
        told(setup.recolours, client.semantic_tokens_refresh()),
        told(setup.rehints, client.inlay_hint_refresh()),
        told(setup.relenses, client.code_lens_refresh()),
    );
}

/// A client that turns it down, or never answers, has been told.
async fn told(wanted: bool, request: impl Future<Output = Result<()>>) {
    if wanted {
        let _ = request.await;
    }
}
