//! Everything known at one moment, never changed once it is made: the open texts, the shows compiled from
//! them, and what is to be shown for each file. Requests are answered from it.

use crate::check::{Found, found};
use crate::convert::{Counted, Encoding};
use crate::shelf;
use crate::text::Text;
use fantail::editor::{self, Index};
use fantail::project::{Disk, Files};
use fantail::source::{FileId, SourceFile, Span};
use fantail::{Compiled, compile};
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use tower_lsp::lsp_types::{Location, Position, Url};

/// What `work` makes of each, in order, on all processors.
fn at_once<T: Sync + ?Sized, R: Send>(all: &[&T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    let share = all.len().div_ceil(workers).max(1);
    std::thread::scope(|scope| {
        let work = &work;
        let shares: Vec<_> = all
            .chunks(share)
            .map(|some| scope.spawn(move || some.iter().map(|one| work(one)).collect::<Vec<_>>()))
            .collect();
        let joined =
            shares.into_iter().map(|share| share.join().unwrap_or_else(|broke| std::panic::resume_unwind(broke)));
        joined.flatten().collect()
    })
}

/// The open texts by canonical path.
pub type Texts = BTreeMap<PathBuf, Arc<Text>>;

/// What a world is made from.
#[derive(Clone, Debug, Default)]
pub struct Snapshot {
    pub texts: Texts,
    /// Files of the workspace that begin a show, open or not.
    pub roots: BTreeSet<PathBuf>,
    /// Counts every change on disk that was heard of.
    pub disk: u64,
    pub encoding: Encoding,
    /// Notes are wanted too.
    pub notes: bool,
    /// The client fills snippets in.
    pub snippets: bool,
    /// The client shows Markdown in a hover.
    pub markdown: bool,
}

#[derive(Default)]
pub struct World {
    pub snapshot: Snapshot,
    /// Shows that begin in a file of the workspace, by path; then open files that no show reaches, each alone.
    pub shows: Vec<Arc<Show>>,
    /// What is to be shown, by file.
    pub found: Arc<Vec<Found>>,
}

/// One root file with all that it includes.
pub struct Show {
    pub path: PathBuf,
    pub compiled: Compiled,
    pub index: Index,
    /// The file has a show's head, and is not looked at only because it is open.
    pub is_root: bool,
    /// Each file that was asked for, there or not, and its state then.
    read: BTreeMap<PathBuf, State>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum State {
    /// Open, at this revision.
    Open(u64),
    /// As the disk had it after so many changes.
    OnDisk(u64),
}

/// A file of a show.
#[derive(Clone, Copy)]
pub struct In<'w> {
    pub show: &'w Show,
    pub file: &'w SourceFile,
}

impl Snapshot {
    fn state(&self, path: &Path) -> State {
        self.texts.get(path).map_or(State::OnDisk(self.disk), |text| State::Open(text.revision))
    }

    pub fn uri(&self, path: &Path) -> Option<Url> {
        match self.texts.get(path) {
            Some(text) => Some(text.uri.clone()),
            None => Url::from_file_path(path).ok(),
        }
    }

    /// An open text by the client's name for it.
    pub fn text(&self, uri: &Url) -> Option<&Arc<Text>> {
        self.texts.get(&path_of(uri)).filter(|text| text.uri == *uri).or_else(|| {
            let mut all = self.texts.values();
            all.find(|text| text.uri == *uri)
        })
    }

    pub fn counted<'t>(&self, file: &'t SourceFile) -> Counted<'t> {
        Counted { text: &file.text, lines: &file.lines, encoding: self.encoding }
    }
}

/// Where a file lives. A text that was never saved has no place on disk; any name that no file has will do.
pub fn path_of(uri: &Url) -> PathBuf {
    Disk.canonical(&uri.to_file_path().unwrap_or_else(|()| PathBuf::from(uri.as_str())))
}

/// The disk under the open texts, remembering what was asked for.
struct Remembered<'s> {
    snapshot: &'s Snapshot,
    asked: Mutex<BTreeSet<PathBuf>>,
}

impl Files for Remembered<'_> {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        let canonical = Disk.canonical(path);
        let text = self.snapshot.texts.get(&canonical).map(|text| text.text.clone().into_bytes());
        if let Ok(mut asked) = self.asked.lock() {
            asked.insert(canonical);
        }
        text.map_or_else(|| Disk.read(path), Ok)
    }

    fn canonical(&self, path: &Path) -> PathBuf {
        Disk.canonical(path)
    }

    fn list(&self, folder: &Path) -> Vec<String> {
        Disk.list(folder)
    }
}

impl Show {
    fn compile(path: &Path, snapshot: &Snapshot) -> Show {
        let files = Remembered { snapshot, asked: Mutex::default() };
        let compiled = compile(path, &files);
        let asked = files.asked.into_inner().unwrap_or_default();
        let read = asked.into_iter().map(|path| (path.clone(), snapshot.state(&path))).collect();
        let index = Index::of(&compiled);
        Show { path: path.to_path_buf(), is_root: compiled.show.head.is_some(), compiled, index, read }
    }

    fn is_current(&self, snapshot: &Snapshot) -> bool {
        self.read.iter().all(|(path, state)| snapshot.state(path) == *state)
    }

    pub fn file(&self, path: &Path) -> Option<&SourceFile> {
        self.compiled.sources.by_path(path)
    }
}

impl World {
    /// Compiles what has changed since `before`; every other show is taken over as it is.
    pub fn new(snapshot: Snapshot, before: &World) -> World {
        let known = |path: &Path| before.shows.iter().find(|show| show.path == path && show.is_current(&snapshot));
        let show = |path: &Path| known(path).cloned().unwrap_or_else(|| Arc::new(Show::compile(path, &snapshot)));
        let begins = |text: &Text| editor::begins_a_show(&text.text);
        let open_roots = snapshot.texts.iter().filter(|(_, text)| begins(text)).map(|(path, _)| path);
        let roots: BTreeSet<&PathBuf> = snapshot.roots.iter().chain(open_roots).collect();
        let roots: Vec<&Path> = roots.into_iter().map(PathBuf::as_path).collect();
        let mut shows = at_once(&roots, show);
        for path in snapshot.texts.keys() {
            let known = shows.iter().any(|show| show.file(path).is_some() || show.path == *path);
            if !known && !shelf::holds(path) {
                shows.push(show(path));
            }
        }
        // A part of a show that was looked at alone before a file that includes it.
        let included = |one: &Show| shows.iter().any(|other| other.path != one.path && other.file(&one.path).is_some());
        let shows = shows.iter().filter(|one| one.is_root || !included(one)).cloned().collect();
        let mut world = World { snapshot, shows, found: Arc::default() };
        world.found = Arc::new(found(&world));
        world
    }

    pub fn text(&self, uri: &Url) -> Option<&Arc<Text>> {
        self.snapshot.text(uri)
    }

    /// A file in each show that has it, with the text that is open now, if any is.
    pub fn with_file<'w>(&'w self, uri: &Url) -> impl Iterator<Item = In<'w>> + use<'w> {
        let path = path_of(uri);
        let open = self.snapshot.texts.get(&path).map(|text| text.revision);
        self.shows.iter().filter_map(move |show| {
            let file = show.file(&path)?;
            let seen = match show.read.get(&path) {
                Some(State::Open(revision)) => Some(*revision),
                _ => None,
            };
            (seen == open).then_some(In { show, file })
        })
    }

    /// The first show that has a file, whatever its text was when the show was compiled.
    pub fn last_compiled(&self, path: &Path) -> Option<&Show> {
        let having = |show: &&Arc<Show>| show.path == path || show.file(path).is_some();
        self.shows.iter().find(having).map(Arc::as_ref)
    }

    /// Where a span of a show stands, for the client.
    pub fn location(&self, show: &Show, span: Span) -> Option<Location> {
        let file = show.compiled.sources.get(span.file)?;
        let uri = match &file.path {
            Some(path) => self.snapshot.uri(path)?,
            None => shelf::library(&file.name)?,
        };
        Some(Location { uri, range: self.snapshot.counted(file).range(span) })
    }

    /// A position of a file as the byte there, in each show that has the file.
    pub fn places<'w>(&'w self, uri: &Url, position: Position) -> Vec<(In<'w>, u32)> {
        let at = |one: In<'w>| (one, u32::try_from(self.snapshot.counted(one.file).offset(position)).unwrap_or(0));
        self.with_file(uri).map(at).collect()
    }
}

impl In<'_> {
    pub fn id(&self) -> FileId {
        self.file.id
    }
}
