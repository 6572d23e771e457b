//! The one owner of what is open. Messages change it one after the other; checks run beside it on a
//! snapshot, and what they found is shown only for texts that have not changed since.

use crate::check::{Found, Snapshot, check};
use crate::convert::{Counted, Encoding};
use fantail::project::{Disk, Files};
use fantail::source::Lines;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::time::Duration;
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};
use tokio::time::{Instant, sleep_until};
use tower_lsp::Client;
use tower_lsp::lsp_types::*;

/// How long edits are gathered before a check.
const GATHER: Duration = Duration::from_millis(25);

/// What the client said about itself.
#[derive(Clone, Copy, Debug, Default)]
pub struct Setup {
    pub encoding: Encoding,
    /// `initializationOptions.notes`: show notes too, which are off unless asked for.
    pub notes: bool,
}

impl Setup {
    pub fn of(params: &InitializeParams) -> Self {
        let options = params.initialization_options.as_ref();
        let notes = options.and_then(|options| options.get("notes")).and_then(|notes| notes.as_bool());
        Setup { encoding: Encoding::negotiate(params), notes: notes.unwrap_or(false) }
    }
}

pub enum Message {
    Setup(Setup),
    Open(DidOpenTextDocumentParams),
    Change(DidChangeTextDocumentParams),
    Close(DidCloseTextDocumentParams),
    /// Some file that is not open may have changed.
    DiskChanged,
    /// A check came to its end; `None` where it broke.
    Checked(Option<Vec<Found>>),
}

struct Document {
    path: PathBuf,
    version: i32,
    /// Counts every change of any text. Unlike the version it is never the client's to choose.
    revision: u64,
    text: String,
    lines: Lines,
}

struct State {
    setup: Setup,
    documents: BTreeMap<Url, Document>,
    revision: u64,
    /// Since when something waits for a check.
    dirty_since: Option<Instant>,
    checking: bool,
    /// Files for which something is on show.
    on_show: BTreeSet<Url>,
    owner: UnboundedSender<Message>,
    publisher: UnboundedSender<PublishDiagnosticsParams>,
}

/// Starts the owner; it lives as long as the sender.
pub fn start(client: Client) -> UnboundedSender<Message> {
    let (owner, messages) = unbounded_channel();
    let (publisher, to_publish) = unbounded_channel();
    tokio::spawn(publish(client, to_publish));
    let state = State {
        setup: Setup::default(),
        documents: BTreeMap::new(),
        revision: 0,
        dirty_since: None,
        checking: false,
        on_show: BTreeSet::new(),
        owner: owner.clone(),
        publisher,
    };
    tokio::spawn(own(state, messages));
    owner
}

/// Sends in order; a client that does not read holds up only this.
async fn publish(client: Client, mut to_publish: UnboundedReceiver<PublishDiagnosticsParams>) {
    while let Some(one) = to_publish.recv().await {
        client.publish_diagnostics(one.uri, one.diagnostics, one.version).await;
    }
}

async fn own(mut state: State, mut messages: UnboundedReceiver<Message>) {
    loop {
        let due = state.dirty_since.filter(|_| !state.checking).map(|since| since + GATHER);
        let wait = async {
            match due {
                Some(due) => sleep_until(due).await,
                None => std::future::pending().await,
            }
        };
        tokio::select! {
            biased;
            message = messages.recv() => match message {
                Some(message) => state.take(message),
                None => return,
            },
            () = wait => state.start_check(),
        }
    }
}

impl State {
    fn take(&mut self, message: Message) {
        match message {
            Message::Setup(setup) => self.setup = setup,
            Message::Open(params) => self.open(params.text_document),
            Message::Change(params) => self.change(params),
            Message::Close(params) => self.close(&params.text_document.uri),
            Message::DiskChanged => self.dirty(),
            Message::Checked(found) => self.show(found),
        }
    }

    fn dirty(&mut self) {
        self.dirty_since.get_or_insert_with(Instant::now);
    }

    fn next_revision(&mut self) -> u64 {
        self.revision += 1;
        self.revision
    }

    fn open(&mut self, item: TextDocumentItem) {
        // A text that was never saved has no place on disk; any name that no file has will do.
        let path = item.uri.to_file_path().unwrap_or_else(|()| PathBuf::from(item.uri.as_str()));
        let path = Disk.canonical(&path);
        let revision = self.next_revision();
        let lines = Lines::of(&item.text);
        let document = Document { path, version: item.version, revision, text: item.text, lines };
        self.documents.insert(item.uri, document);
        self.dirty();
    }

    /// Versions may skip; the order is that of the wire.
    fn change(&mut self, params: DidChangeTextDocumentParams) {
        let revision = self.next_revision();
        let encoding = self.setup.encoding;
        let Some(document) = self.documents.get_mut(&params.text_document.uri) else { return };
        for change in params.content_changes {
            document.edit(change, encoding);
        }
        document.version = params.text_document.version;
        document.revision = revision;
        self.dirty();
    }

    fn close(&mut self, uri: &Url) {
        if self.documents.remove(uri).is_some() {
            self.next_revision();
            self.put(uri.clone(), Vec::new(), None);
            self.dirty();
        }
    }

    fn start_check(&mut self) {
        self.dirty_since = None;
        self.checking = true;
        let texts = self.documents.values().map(|document| (document.path.clone(), document.text.clone()));
        let open = self.documents.iter().map(|(uri, one)| (one.path.clone(), (uri.clone(), one.revision)));
        let Setup { encoding, notes } = self.setup;
        let snapshot = Snapshot { texts: texts.collect(), open: open.collect(), encoding, notes };
        let owner = self.owner.clone();
        tokio::spawn(async move {
            let found = tokio::task::spawn_blocking(move || check(snapshot)).await.ok();
            let _ = owner.send(Message::Checked(found));
        });
    }

    fn show(&mut self, found: Option<Vec<Found>>) {
        self.checking = false;
        // What a check that broke would have said is not known: what is on show stays.
        let Some(found) = found else { return };
        let mut gone = self.on_show.clone();
        for one in found {
            gone.remove(&one.uri);
            let document = self.documents.get(&one.uri);
            if document.map(|document| document.revision) != one.revision {
                continue;
            }
            let version = document.map(|document| document.version);
            self.put(one.uri, one.diagnostics, version);
        }
        for uri in gone {
            let version = self.documents.get(&uri).map(|document| document.version);
            self.put(uri, Vec::new(), version);
        }
    }

    fn put(&mut self, uri: Url, diagnostics: Vec<Diagnostic>, version: Option<i32>) {
        if diagnostics.is_empty() {
            self.on_show.remove(&uri);
        } else {
            self.on_show.insert(uri.clone());
        }
        let _ = self.publisher.send(PublishDiagnosticsParams { uri, diagnostics, version });
    }
}

impl Document {
    fn edit(&mut self, change: TextDocumentContentChangeEvent, encoding: Encoding) {
        match change.range {
            None => self.text = change.text,
            Some(range) => {
                let counted = Counted { text: &self.text, lines: &self.lines, encoding };
                let bytes = counted.bytes(range);
                self.text.replace_range(bytes, &change.text);
            }
        }
        self.lines = Lines::of(&self.text);
    }
}
