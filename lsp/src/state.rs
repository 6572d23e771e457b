//! The one owner of what is open. Messages change it one after the other; a new world is made beside it
//! from a snapshot, and what that found is shown only for texts that have not changed since.

use crate::check::Found;
use crate::progress;
use crate::refresh::refresh;
use crate::roots;
use crate::setup::Setup;
use crate::text::Text;
use crate::world::{Snapshot, World, path_of};
use fantail::source::Lines;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};
use tokio::time::{Instant, sleep_until};
use tower_lsp::Client;
use tower_lsp::lsp_types::*;

/// How long edits are gathered before a check.
const GATHER: Duration = Duration::from_millis(25);

/// What is asked of a world. It answers whoever asked, and gives up where nobody waits any more.
pub type Question = Box<dyn FnOnce(&World) + Send>;

/// Which world a question is for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Need {
    /// One compiled from the texts as they are now; the question waits for it.
    Current,
    /// The texts as they are now, with the shows as they were last compiled.
    Texts,
}

pub enum Message {
    Setup(Box<Setup>),
    /// Whether notes are wanted.
    Notes(bool),
    Folders {
        added: Vec<PathBuf>,
        removed: Vec<PathBuf>,
    },
    Open(DidOpenTextDocumentParams),
    Change(DidChangeTextDocumentParams),
    Close(DidCloseTextDocumentParams),
    /// Some file that is not open may have changed.
    DiskChanged,
    /// The files of the workspace that begin a show, as the look of that number found them.
    Roots(u64, BTreeSet<PathBuf>),
    Ask(Need, Question),
    /// A world is made; `None` where that broke.
    Made(Option<World>),
}

struct State {
    client: Client,
    setup: Setup,
    /// What the next world is made from.
    now: Snapshot,
    world: Arc<World>,
    revision: u64,
    /// The revision that `world` has, and the one that is being made.
    made: u64,
    making: Option<u64>,
    /// The revision at which something changed that the client did not say itself.
    unheard: Option<u64>,
    /// When the next world is due.
    due: Option<Instant>,
    /// How often the folders were looked through for roots.
    looks: u64,
    /// Questions with the revision that they are for.
    waiting: Vec<(u64, Question)>,
    /// Files for which something is on show.
    on_show: BTreeSet<Url>,
    owner: UnboundedSender<Message>,
    publisher: UnboundedSender<PublishDiagnosticsParams>,
}

/// Starts the owner; it lives as long as the sender.
pub fn start(client: Client) -> UnboundedSender<Message> {
    let (owner, messages) = unbounded_channel();
    let (publisher, to_publish) = unbounded_channel();
    tokio::spawn(publish(client.clone(), to_publish));
    let state = State::new(client, owner.clone(), publisher);
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
        let due = state.due.filter(|_| state.making.is_none());
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
            () = wait => state.make(),
        }
    }
}

/// Runs a question beside the owner. One that breaks drops its answer, which the one who asked is told.
fn ask(world: Arc<World>, question: Question) {
    tokio::task::spawn_blocking(move || question(&world));
}

impl State {
    fn new(
        client: Client,
        owner: UnboundedSender<Message>,
        publisher: UnboundedSender<PublishDiagnosticsParams>,
    ) -> State {
        State {
            client,
            setup: Setup::default(),
            now: Snapshot::default(),
            world: Arc::default(),
            revision: 0,
            made: 0,
            making: None,
            unheard: None,
            due: None,
            looks: 0,
            waiting: Vec::new(),
            on_show: BTreeSet::new(),
            owner,
            publisher,
        }
    }

    fn take(&mut self, message: Message) {
        match message {
            Message::Setup(setup) => {
                self.now.encoding = setup.encoding;
                self.now.notes = setup.notes;
                self.now.snippets = setup.snippets;
                self.now.markdown = setup.markdown;
                self.now.whole_up_to = setup.whole_up_to;
                self.setup = *setup;
                self.look_for_roots();
                self.changed();
            }
            Message::Notes(notes) => {
                self.setup.notes = notes;
                self.now.notes = notes;
                self.changed_unheard();
            }
            Message::Folders { added, removed } => {
                self.setup.folders.retain(|folder| !removed.contains(folder));
                self.setup.folders.extend(added);
                self.look_for_roots();
            }
            Message::Open(params) => self.open(params.text_document),
            Message::Change(params) => self.change(params),
            Message::Close(params) => self.close(&params.text_document.uri),
            Message::DiskChanged => {
                self.now.disk += 1;
                self.look_for_roots();
                self.changed_unheard();
            }
            // One that began earlier may end later, and know less.
            Message::Roots(look, roots) if look == self.looks && self.now.roots != roots => {
                self.now.roots = roots;
                self.changed_unheard();
            }
            Message::Roots(..) => {}
            Message::Ask(need, question) => self.ask(need, question),
            Message::Made(made) => self.made(made),
        }
    }

    /// Reads the workspace's folders beside the owner.
    fn look_for_roots(&mut self) {
        self.looks += 1;
        let (look, folders, owner) = (self.looks, self.setup.folders.clone(), self.owner.clone());
        tokio::task::spawn_blocking(move || {
            let _ = owner.send(Message::Roots(look, roots::find(&folders)));
        });
    }

    /// Something that a world is made of is other than it was.
    fn changed(&mut self) {
        self.revision += 1;
        self.due.get_or_insert_with(|| Instant::now() + GATHER);
    }

    fn changed_unheard(&mut self) {
        self.changed();
        self.unheard = Some(self.revision);
    }

    fn open(&mut self, item: TextDocumentItem) {
        self.changed();
        let (path, lines) = (path_of(&item.uri), Lines::of(&item.text));
        let text = Text {
            uri: item.uri,
            path: path.clone(),
            version: item.version,
            revision: self.revision,
            text: item.text,
            lines,
        };
        self.now.texts.insert(path, Arc::new(text));
    }

    /// Versions may skip; the order is that of the wire.
    fn change(&mut self, params: DidChangeTextDocumentParams) {
        let Some(path) = self.now.text(&params.text_document.uri).map(|text| text.path.clone()) else { return };
        self.changed();
        let Some(text) = self.now.texts.get_mut(&path) else { return };
        for change in params.content_changes {
            // A world may hold the text of before: it is then written anew, and not copied first.
            match Arc::get_mut(text) {
                Some(text) => text.edit(change, self.now.encoding),
                None => *text = Arc::new(text.edited(change, self.now.encoding)),
            }
        }
        let text = Arc::make_mut(text);
        text.version = params.text_document.version;
        text.revision = self.revision;
    }

    fn close(&mut self, uri: &Url) {
        let Some(path) = self.now.text(uri).map(|text| text.path.clone()) else { return };
        self.now.texts.remove(&path);
        self.put(uri.clone(), Vec::new(), None);
        self.changed();
    }

    fn ask(&mut self, need: Need, question: Question) {
        match need {
            Need::Texts => {
                let shows = self.world.shows.clone();
                let world = World { snapshot: self.now.clone(), shows, found: Arc::default() };
                ask(Arc::new(world), question);
            }
            Need::Current if self.made == self.revision => ask(self.world.clone(), question),
            Need::Current => {
                self.waiting.push((self.revision, question));
                if self.making != Some(self.revision) {
                    self.due = Some(Instant::now());
                }
            }
        }
    }

    fn make(&mut self) {
        self.due = None;
        self.making = Some(self.revision);
        let (snapshot, before, owner) = (self.now.clone(), self.world.clone(), self.owner.clone());
        let client = self.setup.progress.then(|| self.client.clone());
        tokio::spawn(async move {
            let making = tokio::task::spawn_blocking(move || World::new(snapshot, &before));
            let made = progress::shown(client, making).await.ok();
            let _ = owner.send(Message::Made(made));
        });
    }

    fn made(&mut self, made: Option<World>) {
        let at = self.making.take().unwrap_or(self.made);
        let (ready, waiting) = std::mem::take(&mut self.waiting).into_iter().partition(|(of, _)| *of <= at);
        self.waiting = waiting;
        // What a world that broke would have said is not known: what is on show stays, and who asked for it is
        // told that it failed, never answered from an older text.
        let Some(world) = made else { return };
        self.made = at;
        self.world = Arc::new(world);
        if !self.setup.pulls {
            self.show(&self.world.found.clone());
        }
        if self.unheard.is_some_and(|at| at <= self.made) {
            self.unheard = None;
            tokio::spawn(refresh(self.client.clone(), self.setup.clone()));
        }
        let ready: Vec<(u64, Question)> = ready;
        for (_, question) in ready {
            ask(self.world.clone(), question);
        }
    }

    fn show(&mut self, found: &[Found]) {
        let mut gone = self.on_show.clone();
        let open: BTreeMap<Url, (u64, i32)> =
            self.now.texts.values().map(|text| (text.uri.clone(), (text.revision, text.version))).collect();
        for one in found {
            gone.remove(&one.uri);
            let text = open.get(&one.uri);
            if text.map(|(revision, _)| *revision) == one.revision {
                self.put(one.uri.clone(), one.diagnostics.clone(), text.map(|(_, version)| *version));
            }
        }
        for uri in gone {
            let version = open.get(&uri).map(|(_, version)| *version);
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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::server::Server;
    use tokio::sync::oneshot;
    use tower_lsp::LspService;

    /// A state that nobody owns, and what it sends itself.
    fn alone() -> (State, UnboundedReceiver<Message>) {
        let (owner, messages) = unbounded_channel();
        let (publisher, _published) = unbounded_channel();
        let mut state = None;
        let _service = LspService::new(|client| {
            state = Some(State::new(client.clone(), owner.clone(), publisher));
            Server::new(client, owner)
        });
        (state.unwrap(), messages)
    }

    #[tokio::test]
    async fn a_look_for_roots_that_ends_late_knows_nothing_new() {
        let (mut state, _messages) = alone();
        state.look_for_roots();
        state.look_for_roots();
        let roots = |name: &str| BTreeSet::from([PathBuf::from(name)]);
        state.take(Message::Roots(2, roots("now")));
        state.take(Message::Roots(1, roots("before")));
        assert_eq!(state.now.roots, roots("now"));
    }

    #[tokio::test]
    async fn a_world_that_broke_answers_nobody_and_the_next_one_does() {
        let (mut state, _messages) = alone();
        let asked = |state: &mut State| {
            let (sender, answer) = oneshot::channel();
            state.ask(Need::Current, Box::new(move |_| sender.send(()).unwrap()));
            answer
        };
        state.changed();
        let answer = asked(&mut state);
        state.make();
        state.made(None);
        assert!(answer.await.is_err(), "the text of before is no answer");
        let again = asked(&mut state);
        assert!(state.due.is_some(), "it is tried again");
        state.make();
        state.made(Some(World::default()));
        assert!(again.await.is_ok());
    }
}
