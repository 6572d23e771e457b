//! One look at everything that is open: which roots to compile, and what that says for each file. It is
//! given a snapshot and changes nothing, so that it may run beside the owner of the state.

use crate::convert::{self, Counted, Encoding};
use fantail::diagnostics::{Diagnostic, Severity};
use fantail::project::{Disk, Overlay};
use fantail::source::{FileId, SourceFile, Span};
use fantail::{Compiled, compile};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use tower_lsp::lsp_types::{self, Location, Url};

/// What is open at one moment, by canonical path.
pub struct Snapshot {
    pub texts: BTreeMap<PathBuf, String>,
    /// How the client names the open files, and the state of each.
    pub open: BTreeMap<PathBuf, (Url, u64)>,
    pub encoding: Encoding,
    /// Notes are wanted too.
    pub notes: bool,
}

/// What to show for one file.
pub struct Found {
    pub uri: Url,
    /// The state of the text that this is about; `None` for a file that is not open.
    pub revision: Option<u64>,
    pub diagnostics: Vec<lsp_types::Diagnostic>,
}

/// Everything found, by file: each open file, and each included one that has something to show.
pub fn check(mut snapshot: Snapshot) -> Vec<Found> {
    let files = Overlay { base: Disk, texts: std::mem::take(&mut snapshot.texts) };
    let compiled: Vec<(&PathBuf, Compiled)> = snapshot.open.keys().map(|path| (path, compile(path, &files))).collect();
    let included: BTreeSet<&Path> =
        compiled.iter().flat_map(|(root, one)| paths(one).filter(move |path| path != root)).collect();
    let mut found: BTreeMap<PathBuf, Vec<lsp_types::Diagnostic>> =
        snapshot.open.keys().map(|path| (path.clone(), Vec::new())).collect();
    for (root, one) in &compiled {
        // A file that some root includes is checked there; alone it would miss what the root says.
        if is_root(one) || !included.contains(root.as_path()) {
            gather(&snapshot, root, one, &mut found);
        }
    }
    let in_file = |(path, diagnostics): (PathBuf, Vec<_>)| {
        let uri = snapshot.uri(&path)?;
        Some(Found { uri, revision: snapshot.open.get(&path).map(|(_, revision)| *revision), diagnostics })
    };
    found.into_iter().filter_map(in_file).collect()
}

fn paths(compiled: &Compiled) -> impl Iterator<Item = &Path> {
    compiled.sources.iter().filter_map(|file| file.path.as_deref())
}

fn is_root(compiled: &Compiled) -> bool {
    compiled.show.head.is_some()
}

impl Snapshot {
    fn uri(&self, path: &Path) -> Option<Url> {
        match self.open.get(path) {
            Some((uri, _)) => Some(uri.clone()),
            None => Url::from_file_path(path).ok(),
        }
    }

    fn counted<'t>(&self, file: &'t SourceFile) -> Counted<'t> {
        Counted { text: &file.text, lines: &file.lines, encoding: self.encoding }
    }
}

/// Adds what one root's compilation says. What stands in no file, as in the library, is shown at the
/// root's first character.
fn gather(
    snapshot: &Snapshot,
    root: &Path,
    compiled: &Compiled,
    found: &mut BTreeMap<PathBuf, Vec<lsp_types::Diagnostic>>,
) {
    let file_of = |id: FileId| compiled.sources.get(id).and_then(|file| Some((file, file.path.as_deref()?)));
    let place = |span: Span| {
        let (file, path) = file_of(span.file)?;
        Some(Location { uri: snapshot.uri(path)?, range: snapshot.counted(file).range(span) })
    };
    for one in compiled.diagnostics.iter().filter(|one| shown(one, snapshot.notes)) {
        let (path, range) = match file_of(one.span.file) {
            Some((file, path)) => (path, snapshot.counted(file).range(one.span)),
            None => (root, lsp_types::Range::default()),
        };
        let one = convert::diagnostic(one, range, place);
        let list = found.entry(path.to_path_buf()).or_default();
        if !list.contains(&one) {
            list.push(one);
        }
    }
}

fn shown(diagnostic: &Diagnostic, notes: bool) -> bool {
    notes || diagnostic.severity != Severity::Note
}
