//! Everything known at one moment, never changed once it is made: the open texts, the shows compiled from
//! them, and what is to be shown for each file. Requests are answered from it.

use crate::check::{Found, found};
use crate::convert::{Counted, Encoding};
use crate::shelf;
use crate::show::{Known, Show};
use crate::text::Text;
use fantail::Compiled;
use fantail::at_once::at_once;
use fantail::editor::{self, Index};
use fantail::project::{Disk, Files};
use fantail::source::{FileId, SourceFile, Span};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tower_lsp::lsp_types::{Location, Position, Range, Url};

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
    /// A show of no more lines is always checked whole.
    pub whole_up_to: usize,
}

#[derive(Default)]
pub struct World {
    pub snapshot: Snapshot,
    /// Shows that begin in a file of the workspace, by path; then open files that no show reaches, each alone.
    pub shows: Vec<Arc<Show>>,
    /// What is to be shown, by file.
    pub found: Arc<Vec<Found>>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum State {
    /// Open, at this revision.
    Open(u64),
    /// As the disk had it after so many changes.
    OnDisk(u64),
}

/// A file of a show, as the whole show or the part around a place knows it.
#[derive(Clone)]
pub struct In<'w> {
    pub show: &'w Show,
    pub known: Arc<Known>,
    id: FileId,
}

impl Snapshot {
    pub fn state(&self, path: &Path) -> State {
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

impl World {
    /// Compiles what has changed since `before`; every other show is taken over as it is.
    pub fn new(snapshot: Snapshot, before: &World) -> World {
        let known = |path: &Path| before.shows.iter().find(|show| show.path == path);
        let show = |path: &Path| match known(path) {
            Some(show) if show.is_current(&snapshot) => show.clone(),
            before => Arc::new(Show::compile(path, &snapshot, before.map(Arc::as_ref))),
        };
        let begins = |text: &Text| editor::begins_a_show(&text.text);
        let open_roots = snapshot.texts.iter().filter(|(_, text)| begins(text)).map(|(path, _)| path);
        let roots: BTreeSet<&PathBuf> = snapshot.roots.iter().chain(open_roots).collect();
        let roots: Vec<&Path> = roots.into_iter().map(PathBuf::as_path).collect();
        let mut shows = at_once(&roots, |root| show(root));
        for path in snapshot.texts.keys() {
            let known = shows.iter().any(|show| show.has(path));
            if !known && !shelf::holds(path) {
                shows.push(show(path));
            }
        }
        // A part of a show that was looked at alone before a file that includes it.
        let included = |one: &Show| shows.iter().any(|other| other.path != one.path && other.has(&one.path));
        let shows = shows.iter().filter(|one| one.is_root || !included(one)).cloned().collect();
        let mut world = World { snapshot, shows, found: Arc::default() };
        world.found = Arc::new(found(&world));
        world
    }

    pub fn text(&self, uri: &Url) -> Option<&Arc<Text>> {
        self.snapshot.text(uri)
    }

    /// The shows that have a file, with the text that is open now, if any is.
    fn having(&self, path: &Path) -> impl Iterator<Item = &Arc<Show>> {
        let open = self.snapshot.texts.get(path).map(|text| text.revision);
        self.shows.iter().filter(move |show| show.has(path) && show.saw(path) == open)
    }

    /// A file in each show that has it, with the text that is open now, if any is.
    pub fn with_file<'w>(&'w self, uri: &Url) -> impl Iterator<Item = In<'w>> + use<'w> {
        let path = path_of(uri);
        let shows: Vec<&Show> = self.having(&path).map(Arc::as_ref).collect();
        shows.into_iter().filter_map(move |show| In::of(show, show.whole(), &path))
    }

    /// The same, as far as the parts around these lines know it.
    pub fn near_lines<'w>(&'w self, uri: &Url, lines: std::ops::RangeInclusive<u32>) -> Vec<In<'w>> {
        let path = path_of(uri);
        let near = |show: &'w Arc<Show>| {
            show.near(lines.clone()).into_iter().map(|known| (show.as_ref(), known)).collect::<Vec<_>>()
        };
        let known = self.having(&path).flat_map(near);
        known.filter_map(|(show, known)| In::of(show, known, &path)).collect()
    }

    /// The first show that has a file, whatever its text was when the show was compiled.
    pub fn last_compiled(&self, path: &Path) -> Option<&Show> {
        let having = |show: &&Arc<Show>| show.path == path || show.has(path);
        self.shows.iter().find(having).map(Arc::as_ref)
    }

    /// Where a span of a show stands, for the client.
    pub fn location(&self, known: &Known, span: Span) -> Option<Location> {
        let file = known.compiled.sources.get(span.file)?;
        let uri = match &file.path {
            Some(path) => self.snapshot.uri(path)?,
            None => shelf::library(&file.name)?,
        };
        Some(Location { uri, range: self.snapshot.counted(file).range(span) })
    }

    /// A span of a file that a show has.
    pub fn range(&self, here: &In<'_>, span: Span) -> Option<Range> {
        Some(self.snapshot.counted(here.file()?).range(span))
    }

    /// A position of a file as the byte there, in each show that has the file.
    pub fn places<'w>(&'w self, uri: &Url, position: Position) -> Vec<(In<'w>, u32)> {
        self.with_file(uri).filter_map(|one| self.place(one, position)).collect()
    }

    /// The same, as far as the part around it knows it: its names, but not every place where they stand.
    pub fn near<'w>(&'w self, uri: &Url, position: Position) -> Vec<(In<'w>, u32)> {
        let near = self.near_lines(uri, position.line..=position.line);
        near.into_iter().filter_map(|one| self.place(one, position)).collect()
    }

    fn place<'w>(&self, one: In<'w>, position: Position) -> Option<(In<'w>, u32)> {
        let offset = self.snapshot.counted(one.file()?).offset(position);
        Some((one, u32::try_from(offset).unwrap_or(0)))
    }
}

impl<'w> In<'w> {
    fn of(show: &'w Show, known: Arc<Known>, path: &Path) -> Option<In<'w>> {
        let id = known.compiled.sources.by_path(path)?.id;
        Some(In { show, known, id })
    }

    pub fn id(&self) -> FileId {
        self.id
    }

    pub fn file(&self) -> Option<&SourceFile> {
        self.known.compiled.sources.get(self.id)
    }

    pub fn compiled(&self) -> &Compiled {
        &self.known.compiled
    }

    pub fn index(&self) -> &Index {
        &self.known.index
    }
}
