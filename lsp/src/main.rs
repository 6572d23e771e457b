//! The language server: standard input to standard output. It joins the parts and holds no rule of the
//! language and no state of its own.

mod capabilities;
mod check;
mod convert;
mod edge;
mod frames;
mod progress;
mod refresh;
mod requests;
mod roots;
mod server;
mod setup;
mod shelf;
mod show;
mod state;
mod text;
mod world;

use std::process;
use std::sync::Arc;
use tokio::io::{duplex, stdin, stdout};
use tower_lsp::{LspService, Server};

/// How many bytes of messages wait between the reader and the server.
const WAITING: usize = 64 * 1024;
/// Requests in work at a time; below this, slow ones would keep a cancel from being read.
const AT_ONCE: usize = 64;

#[tokio::main]
async fn main() {
    if std::env::args().any(|argument| argument == "--version") {
        println!("fantail-lsp {}", env!("CARGO_PKG_VERSION"));
        return;
    }
    let ending = Arc::new(edge::Ending::default());
    let (messages, reader) = duplex(WAITING);
    let at_end = ending.clone();
    tokio::spawn(async move {
        frames::pump(stdin(), messages).await;
        at_end.soon();
    });
    let (service, socket) = LspService::new(|client| server::Server::new(client.clone(), state::start(client)));
    let edge = edge::Edge::new(service, ending.clone());
    Server::new(reader, stdout(), socket).concurrency_level(AT_ONCE).serve(edge).await;
    process::exit(ending.status());
}
