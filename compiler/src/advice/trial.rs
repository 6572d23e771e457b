//! Compiling an edited text without touching any file.

use crate::Analysis;
use crate::diagnostics::{Diagnostic, Edit};
use crate::project::Files;
use crate::source::{FileId, Sources};
use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

/// The files of an analysis, ready to be edited and compiled again.
pub struct Trial<'a> {
    root: &'a Path,
    files: &'a dyn Files,
    sources: &'a Sources,
    /// What the other conflicts say, which an edit need not mend.
    others: Vec<(&'static str, String)>,
}

impl<'a> Trial<'a> {
    pub fn new(root: &'a Path, files: &'a dyn Files, analysis: &'a Analysis, conflict: &Diagnostic) -> Self {
        let other = |diagnostic: &&Diagnostic| diagnostic.is_error() && *diagnostic != conflict;
        let others = analysis.found.iter().filter(other).map(|d| (d.rule, d.message.clone())).collect();
        Trial { root, files, sources: &analysis.project.sources, others }
    }

    /// Does the edited text compile, but for what the other conflicts say?
    pub fn works(&self, edits: &[Edit]) -> bool {
        let Some(texts) = self.edited(edits) else { return false };
        let files = Edited { base: self.files, texts };
        let analysis = crate::analyse(self.root, &files);
        let mut left = self.others.clone();
        analysis.found.iter().filter(|diagnostic| diagnostic.is_error()).all(|diagnostic| {
            let known = left.iter().position(|(rule, said)| *rule == diagnostic.rule && *said == diagnostic.message);
            known.map(|index| left.swap_remove(index)).is_some()
        })
    }

    fn edited(&self, edits: &[Edit]) -> Option<BTreeMap<PathBuf, String>> {
        let mut texts = BTreeMap::new();
        for file in self.sources.iter() {
            let path = match &file.path {
                Some(path) => path.clone(),
                None if edits.iter().any(|edit| edit.span.file == file.id) => self.root.to_path_buf(),
                None => continue,
            };
            texts.insert(self.files.canonical(&path), apply(&file.text, file.id, edits)?);
        }
        Some(texts)
    }
}

/// The text with its edits applied, last first; `None` where an edit does not fit it.
pub fn apply(text: &str, file: FileId, edits: &[Edit]) -> Option<String> {
    let mut own: Vec<&Edit> = edits.iter().filter(|edit| edit.span.file == file).collect();
    own.sort_by_key(|edit| std::cmp::Reverse(edit.span.start));
    let mut text = text.to_string();
    for edit in own {
        let range = edit.span.range();
        if range.end > text.len() || !text.is_char_boundary(range.start) || !text.is_char_boundary(range.end) {
            return None;
        }
        text.replace_range(range, &edit.text);
    }
    Some(text)
}

struct Edited<'a> {
    base: &'a dyn Files,
    texts: BTreeMap<PathBuf, String>,
}

impl Files for Edited<'_> {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        match self.texts.get(&self.base.canonical(path)) {
            Some(text) => Ok(text.clone().into_bytes()),
            None => self.base.read(path),
        }
    }

    fn canonical(&self, path: &Path) -> PathBuf {
        self.base.canonical(path)
    }
}
