//! Tells the client to ask again, after something changed that it did not say itself. Waits for no answer
//! that anything else waits behind.

use crate::setup::Setup;
use tower_lsp::Client;

pub async fn refresh(client: Client, setup: Setup) {
    // The protocol's types misname the client's word for this, so that it cannot be read: one that asks for
    // diagnostics is told, and may turn it down.
    if setup.pulls {
        let _ = client.workspace_diagnostic_refresh().await;
    }
    if setup.recolours {
        let _ = client.semantic_tokens_refresh().await;
    }
    if setup.rehints {
        let _ = client.inlay_hint_refresh().await;
    }
    if setup.relenses {
        let _ = client.code_lens_refresh().await;
    }
}
