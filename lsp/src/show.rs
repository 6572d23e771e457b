//! One root file with all that it includes, as one moment knows it. A large show that is one open text is told by
//! its parts; the whole is then compiled only where a question needs it, and what stands around a place where
//! that is enough.

use crate::text::Text;
use crate::world::{Snapshot, State};
use fantail::diagnostics::Diagnostic;
use fantail::editor::Index;
use fantail::parts::Parts;
use fantail::project::{Disk, Files};
use fantail::{Compiled, compile};
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock};

/// What was made of a show, or of a part of it in which every line stands where it stands in the file.
pub struct Known {
    pub compiled: Compiled,
    pub index: Index,
}

pub struct Show {
    pub path: PathBuf,
    /// The file has a show's head, and is not looked at only because it is open.
    pub is_root: bool,
    /// It is told by its parts.
    pub in_parts: Option<InParts>,
    whole: OnceLock<Arc<Known>>,
    /// Its parts, or those of the last text that had some.
    parts: Option<Arc<Parts>>,
    /// Each file that was asked for, there or not, and its state then.
    read: BTreeMap<PathBuf, State>,
}

pub struct InParts {
    pub text: Arc<Text>,
    pub told: Vec<Diagnostic>,
    parts: Arc<Parts>,
    notes: bool,
    /// Parts that were asked about.
    near: Mutex<BTreeMap<usize, Arc<Known>>>,
}

/// A part with more of its show than that, in per cent, is as good as the whole.
const LARGEST: usize = 60;

/// So many parts around a place are looked at one by one.
const MOST_NEAR: usize = 4;

impl Known {
    fn of(compiled: Compiled) -> Arc<Known> {
        let index = Index::of(&compiled);
        Arc::new(Known { compiled, index })
    }
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

/// One text, which includes nothing.
struct Alone<'t>(&'t Text);

impl Files for Alone<'_> {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        if path == self.0.path { Ok(self.0.text.clone().into_bytes()) } else { Err(io::ErrorKind::NotFound.into()) }
    }

    fn canonical(&self, path: &Path) -> PathBuf {
        path.to_path_buf()
    }
}

impl Show {
    /// By its parts, as far as `before` has them, where it is large and has some; else whole.
    pub fn compile(path: &Path, snapshot: &Snapshot, before: Option<&Show>) -> Show {
        let before = before.and_then(|before| before.parts.clone());
        let large = snapshot.texts.get(path).filter(|text| text.lines.count() > snapshot.whole_up_to);
        let parts =
            large.and_then(|text| Some((text, Arc::new(Parts::of(path, &text.text, LARGEST, before.as_deref())?))));
        let Some((text, parts)) = parts else { return Show::compile_whole(path, snapshot, before) };
        let Some(told) = parts.diagnostics(snapshot.notes) else {
            return Show::compile_whole(path, snapshot, Some(parts));
        };
        let (text, notes, near) = (text.clone(), snapshot.notes, Mutex::default());
        Show {
            path: path.to_path_buf(),
            is_root: parts.begins_a_show(),
            in_parts: Some(InParts { text, told, parts: parts.clone(), notes, near }),
            whole: OnceLock::new(),
            parts: Some(parts),
            read: BTreeMap::from([(path.to_path_buf(), snapshot.state(path))]),
        }
    }

    fn compile_whole(path: &Path, snapshot: &Snapshot, parts: Option<Arc<Parts>>) -> Show {
        let files = Remembered { snapshot, asked: Mutex::default() };
        let compiled = compile(path, &files);
        let asked = files.asked.into_inner().unwrap_or_default();
        let read = asked.into_iter().map(|path| (path.clone(), snapshot.state(&path))).collect();
        let is_root = compiled.show.head.is_some();
        let whole = OnceLock::from(Known::of(compiled));
        Show { path: path.to_path_buf(), is_root, in_parts: None, whole, parts, read }
    }

    pub fn is_current(&self, snapshot: &Snapshot) -> bool {
        self.read.iter().all(|(path, state)| snapshot.state(path) == *state)
            && self.in_parts.as_ref().is_none_or(|cut| cut.notes == snapshot.notes)
    }

    pub fn has(&self, path: &Path) -> bool {
        self.path == path || (self.in_parts.is_none() && self.whole().compiled.sources.by_path(path).is_some())
    }

    /// The revision at which an open file was read.
    pub fn saw(&self, path: &Path) -> Option<u64> {
        match self.read.get(path) {
            Some(State::Open(revision)) => Some(*revision),
            _ => None,
        }
    }

    /// All that is known of it, compiled on demand.
    pub fn whole(&self) -> Arc<Known> {
        let whole = || match &self.in_parts {
            Some(cut) => Known::of(compile(&self.path, &Alone(&cut.text))),
            None => Known::of(compile(&self.path, &Disk)),
        };
        self.whole.get_or_init(whole).clone()
    }

    /// What is known around some lines: the parts there, else the whole.
    pub fn near(&self, lines: RangeInclusive<u32>) -> Vec<Arc<Known>> {
        let near = self.in_parts.as_ref().and_then(|cut| cut.near(lines));
        near.unwrap_or_else(|| vec![self.whole()])
    }
}

impl InParts {
    fn near(&self, lines: RangeInclusive<u32>) -> Option<Vec<Arc<Known>>> {
        let last = u32::try_from(self.text.lines.count()).unwrap_or(u32::MAX);
        let mut numbers = BTreeSet::new();
        for line in *lines.start()..=(*lines.end()).min(last).max(*lines.start()) {
            numbers.insert(self.parts.at_line(line)?);
            if numbers.len() > MOST_NEAR {
                return None;
            }
        }
        numbers.into_iter().map(|number| self.part(number)).collect()
    }

    fn part(&self, number: usize) -> Option<Arc<Known>> {
        let mut near = self.near.lock().ok()?;
        if let Some(known) = near.get(&number) {
            return Some(known.clone());
        }
        if near.len() >= MOST_NEAR {
            near.clear();
        }
        let known = Known::of(self.parts.compiled(number)?);
        near.insert(number, known.clone());
        Some(known)
    }
}
