//! The texts of a project and the places in them. Nothing here reads a file: texts are handed in.

mod lines;

pub use lines::{LineCol, Lines};

use std::path::{Path, PathBuf};

/// One text of a project: the standard library, the root, or an included file.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct FileId(pub u32);

/// A place in one text, in bytes, `start <= end <= text.len()`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Span {
    pub file: FileId,
    pub start: u32,
    pub end: u32,
}

impl Span {
    pub fn new(file: FileId, start: usize, end: usize) -> Self {
        let clamp = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Span { file, start: clamp(start), end: clamp(end.max(start)) }
    }

    /// From the start of `self` to the end of `other`, which stands later in the same file.
    pub fn to(self, other: Span) -> Span {
        Span { file: self.file, start: self.start, end: other.end.max(self.start) }
    }

    /// Whether `other` stands inside.
    pub fn holds(self, other: Span) -> bool {
        self.file == other.file && self.start <= other.start && other.end <= self.end
    }

    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }
}

/// A value and the place that says it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct At<T> {
    pub value: T,
    pub span: Span,
}

impl<T> At<T> {
    pub fn new(value: T, span: Span) -> Self {
        At { value, span }
    }
}

/// A text with the name to show for it.
#[derive(Clone, Debug)]
pub struct SourceFile {
    pub id: FileId,
    /// As diagnostics print it: relative to where the command runs, or `std/…` for the library.
    pub name: String,
    /// Where it lives; `None` for the library and for standard input.
    pub path: Option<PathBuf>,
    pub text: String,
    pub lines: Lines,
}

/// All texts of one compilation, by id.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    files: Vec<SourceFile>,
}

impl Sources {
    pub fn add(&mut self, name: String, path: Option<PathBuf>, text: String) -> FileId {
        let id = FileId(u32::try_from(self.files.len()).unwrap_or(u32::MAX));
        let lines = Lines::of(&text);
        self.files.push(SourceFile { id, name, path, text, lines });
        id
    }

    pub fn get(&self, id: FileId) -> Option<&SourceFile> {
        self.files.get(id.0 as usize)
    }

    pub fn by_path(&self, path: &Path) -> Option<&SourceFile> {
        self.files.iter().find(|file| file.path.as_deref() == Some(path))
    }

    pub fn iter(&self) -> impl Iterator<Item = &SourceFile> {
        self.files.iter()
    }

    /// The text at a span; empty where the span lies outside its text.
    pub fn text_at(&self, span: Span) -> &str {
        self.get(span.file).and_then(|file| file.text.get(span.range())).unwrap_or("")
    }
}
