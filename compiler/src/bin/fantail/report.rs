//! Compiling what the command line names, and telling what was found. Which notes are told is decided
//! here and nowhere else.

use crate::output::{Outcome, Output, Status};
use fantail::diagnostics::{self, Diagnostic, Severity, human};
use fantail::project::{Disk, Files, files::is_standard_input};
use fantail::rules;
use fantail::source::{FileId, Sources, Span};
use fantail::{Compiled, compile};
use std::cell::OnceCell;
use std::io;
use std::path::{Path, PathBuf};

/// Compiles one root. `-` is standard input.
pub fn compiled(root: &Path) -> Compiled {
    compile(root, &InputOnce::default())
}

/// A file that another one of them includes is checked there; alone it would miss what that one says.
pub fn without_parts(mut compiled: Vec<Compiled>) -> Vec<Compiled> {
    let path = |one: &Compiled| one.sources.get(one.show.root?)?.path.clone();
    let roots: Vec<Option<PathBuf>> = compiled.iter().map(path).collect();
    let included = |at: usize, root: &Path| {
        let others = compiled.iter().enumerate().filter(|(other, _)| *other != at);
        others.flat_map(|(_, one)| one.sources.iter()).any(|file| file.path.as_deref() == Some(root))
    };
    let parts: Vec<bool> = roots
        .iter()
        .zip(&compiled)
        .enumerate()
        .map(|(at, (root, one))| one.show.head.is_none() && root.as_deref().is_some_and(|root| included(at, root)))
        .collect();
    let mut parts = parts.into_iter();
    compiled.retain(|_| !parts.next().unwrap_or(false));
    compiled
}

/// The disk, with standard input kept: it can be read once only, and a compilation may read its root
/// again to try a change.
#[derive(Default)]
struct InputOnce {
    input: OnceCell<io::Result<Vec<u8>>>,
}

impl Files for InputOnce {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        if !is_standard_input(path) {
            return Disk.read(path);
        }
        match self.input.get_or_init(|| Disk.read(path)) {
            Ok(bytes) => Ok(bytes.clone()),
            Err(error) => Err(error.kind().into()),
        }
    }

    fn canonical(&self, path: &Path) -> PathBuf {
        Disk.canonical(path)
    }

    fn list(&self, folder: &Path) -> Vec<String> {
        Disk.list(folder)
    }
}

/// What a compilation found, ready to be told.
pub struct Findings {
    pub sources: Sources,
    /// In order, without the notes where nobody asked for them.
    pub diagnostics: Vec<Diagnostic>,
    pub notes_hidden: usize,
    pub status: Status,
}

impl Findings {
    /// Of several roots: a place that they share is told once.
    pub fn of(compiled: Vec<Compiled>, notes: bool) -> Self {
        let root_unread = compiled.iter().any(|one| one.root_unread);
        let parts = compiled.into_iter().map(|one| (one.sources, one.diagnostics)).collect();
        let (sources, mut diagnostics) = together(parts);
        let before = diagnostics.len();
        diagnostics.retain(|diagnostic| notes || diagnostic.severity != Severity::Note);
        let status = match diagnostics.iter().any(Diagnostic::is_error) {
            _ if root_unread => Status::NotRun,
            true => Status::Errors,
            false => Status::Done,
        };
        Findings { sources, notes_hidden: before - diagnostics.len(), diagnostics, status }
    }

    /// All of that, with nothing left out.
    pub fn all(parts: Vec<(Sources, Vec<Diagnostic>)>, status: Status) -> Self {
        let (sources, diagnostics) = together(parts);
        Findings { sources, diagnostics, notes_hidden: 0, status }
    }

    /// For a person, on standard error. Says nothing where there is nothing.
    pub fn tell(&self, output: &mut Output) -> Outcome {
        if !self.diagnostics.is_empty() {
            self.tell_with_counts(output)?;
        }
        Ok(self.status)
    }

    /// For a person, on standard error, with the counts even where they are none.
    pub fn tell_with_counts(&self, output: &mut Output) -> Outcome {
        let look = output.look();
        let told = human::write(output.messages(), &self.sources, &self.diagnostics, look)
            .and_then(|()| human::closing(output.messages(), &self.diagnostics, self.notes_hidden, rules::ALL));
        match told {
            Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(error.into()),
            _ => Ok(self.status),
        }
    }
}

/// All texts and diagnostics under one numbering of files; a text of the same name and content is the
/// same text.
fn together(parts: Vec<(Sources, Vec<Diagnostic>)>) -> (Sources, Vec<Diagnostic>) {
    let several = parts.len() > 1;
    let (mut sources, mut all) = (Sources::default(), Vec::new());
    for (texts, diagnostics) in parts {
        if !several {
            return (texts, diagnostics);
        }
        let ids: Vec<FileId> = texts.iter().map(|file| known_or_new(&mut sources, file)).collect();
        let moved = |span: &mut Span| {
            // an unknown file stays unknown
            span.file = ids.get(span.file.0 as usize).copied().unwrap_or(FileId(u32::MAX));
        };
        all.extend(diagnostics.into_iter().map(|mut diagnostic| {
            moved(&mut diagnostic.span);
            diagnostic.labels.iter_mut().for_each(|label| moved(&mut label.span));
            let edits = diagnostic.fixes.iter_mut().flat_map(|fix| &mut fix.edits);
            edits.for_each(|edit| moved(&mut edit.span));
            diagnostic
        }));
    }
    diagnostics::sort(&mut all);
    (sources, all)
}

fn known_or_new(sources: &mut Sources, file: &fantail::source::SourceFile) -> FileId {
    let known = sources.iter().find(|known| known.name == file.name && known.text == file.text).map(|known| known.id);
    known.unwrap_or_else(|| sources.add(file.name.clone(), file.path.clone(), file.text.clone()))
}
