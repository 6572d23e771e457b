//! Many files become one show: includes followed, declarations gathered, changes applied, acts laid over
//! the house. No other room of the library reads files, and nothing here looks inside a model or asks
//! what a point can carry.

mod acts;
pub mod attrs;
mod changes;
mod declare;
pub mod files;
mod gather;
mod includes;
pub mod names;
pub mod show;
mod std_files;
mod taken_out;
mod texts;

#[cfg(test)]
mod tests;

pub use files::{Disk, Files, InMemory, Overlay};
pub use gather::gather;
pub use includes::load;
pub use names::nearest;
pub use show::{
    Act, Allow, Changed, Group, Head, Input, Keep, Library, Link, Loom, Output, Patch, Personal, Record, Removed, Row,
    SameInputs, Set, Show,
};
pub use std_files::std_texts;

use crate::source::{FileId, Sources, Span};
use crate::syntax::Parsed;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// All files of one show, read and parsed.
#[derive(Clone, Debug)]
pub struct Project {
    pub sources: Sources,
    pub parsed: BTreeMap<FileId, Arc<Parsed>>,
    /// Every include that was followed, circles cut; one that stands in an act says so.
    pub includes: Vec<Include>,
    pub root: FileId,
    /// The files of the library, which no file includes.
    pub std: Vec<FileId>,
    /// The root and what it includes, each file after all that it includes.
    pub order: Vec<FileId>,
    /// One part of a show that has more desks: `Files::is_part`.
    pub part: bool,
    /// Some file could not be read: what a name misses may be declared there.
    pub incomplete: bool,
    /// The root itself could not be read.
    pub root_unread: bool,
}

/// One `include` that was followed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Include {
    pub from: FileId,
    pub to: FileId,
    /// The whole statement.
    pub span: Span,
    /// The path in it.
    pub path: Span,
    /// The act in whose braces it stands.
    pub act: Option<String>,
}

impl Default for Project {
    fn default() -> Self {
        Project {
            sources: Sources::default(),
            parsed: BTreeMap::new(),
            includes: Vec::new(),
            root: FileId(0),
            std: Vec::new(),
            order: Vec::new(),
            part: false,
            incomplete: false,
            root_unread: false,
        }
    }
}

impl Project {
    /// Every file that `file` includes, through others too.
    pub fn reached_from(&self, file: FileId) -> BTreeSet<FileId> {
        self.reach(file, |_| true)
    }

    /// The files that `file` includes along includes that `follow` takes, through others too.
    fn reach(&self, file: FileId, follow: impl Fn(&Include) -> bool) -> BTreeSet<FileId> {
        let mut leaving: BTreeMap<FileId, Vec<FileId>> = BTreeMap::new();
        for include in self.includes.iter().filter(|include| follow(include)) {
            leaving.entry(include.from).or_default().push(include.to);
        }
        let mut found = BTreeSet::new();
        let mut to_do = vec![file];
        while let Some(next) = to_do.pop() {
            let new = leaving.get(&next).into_iter().flatten().filter(|to| found.insert(**to));
            to_do.extend(new);
        }
        found
    }
}
