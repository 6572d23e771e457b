//! What a world says for each file, as the client shows it. It is given a world and changes nothing.

use crate::convert;
use crate::world::{Show, World};
use fantail::diagnostics::{self, Severity};
use std::collections::BTreeMap;
use std::path::PathBuf;
use tower_lsp::lsp_types::{Diagnostic, Url};

/// What to show for one file.
#[derive(Clone, Debug)]
pub struct Found {
    pub uri: Url,
    /// The state of the text that this is about; `None` for a file that is not open.
    pub revision: Option<u64>,
    pub diagnostics: Vec<Diagnostic>,
}

/// Everything found, by file: each open file, and each other one that has something to show.
pub fn found(world: &World) -> Vec<Found> {
    let snapshot = &world.snapshot;
    let mut by_path: BTreeMap<PathBuf, Vec<(&Show, Diagnostic)>> =
        snapshot.texts.keys().map(|path| (path.clone(), Vec::new())).collect();
    for show in &world.shows {
        for (path, diagnostic) in of_show(world, show) {
            by_path.entry(path).or_default().push((show, diagnostic));
        }
    }
    let in_file = |(path, all): (PathBuf, Vec<(&Show, Diagnostic)>)| {
        let uri = snapshot.uri(&path)?;
        let revision = snapshot.texts.get(&path).map(|text| text.revision);
        let shows: Vec<&Show> =
            world.shows.iter().map(AsRef::as_ref).filter(|show| show.file(&path).is_some()).collect();
        Some(Found { uri, revision, diagnostics: merged(all, &shows) })
    };
    by_path.into_iter().filter_map(in_file).collect()
}

/// Each diagnostic once. One that does not hold in every show that has the file says where it does.
fn merged(all: Vec<(&Show, Diagnostic)>, shows: &[&Show]) -> Vec<Diagnostic> {
    let mut once: Vec<(Diagnostic, Vec<&Show>)> = Vec::new();
    for (show, diagnostic) in all {
        match once.iter_mut().find(|(known, _)| *known == diagnostic) {
            Some((_, holds)) if holds.iter().any(|known| known.path == show.path) => {}
            Some((_, holds)) => holds.push(show),
            None => once.push((diagnostic, vec![show])),
        }
    }
    let named = |(mut diagnostic, holds): (Diagnostic, Vec<&Show>)| {
        if holds.len() < shows.len() {
            let names: Vec<String> = holds.iter().map(|show| format!("`{}`", name(show, shows))).collect();
            diagnostic.message = format!("{}\nin {}", diagnostic.message, names.join(", "));
        }
        diagnostic
    };
    once.into_iter().map(named).collect()
}

/// The shortest end of a show's path that tells it from the others: `hall/show.fantail`.
pub fn name(show: &Show, shows: &[&Show]) -> String {
    let parts = |show: &Show| -> Vec<String> {
        show.path.components().rev().map(|part| part.as_os_str().to_string_lossy().into_owned()).collect()
    };
    let own = parts(show);
    let others: Vec<Vec<String>> =
        shows.iter().filter(|other| other.path != show.path).map(|other| parts(other)).collect();
    let tells = |length: &usize| others.iter().all(|other| other.iter().take(*length).ne(own.iter().take(*length)));
    let length = (1..own.len()).find(tells).unwrap_or(own.len());
    let mut parts: Vec<&str> = own.iter().take(length).map(String::as_str).collect();
    parts.reverse();
    parts.join("/")
}

/// What one show says, by file.
fn of_show(world: &World, show: &Show) -> Vec<(PathBuf, Diagnostic)> {
    let shown = show.compiled.diagnostics.iter().filter(|one| shown(one, world.snapshot.notes));
    shown.filter_map(|one| converted(world, show, one)).collect()
}

/// One diagnostic for the client, and the file that it is shown in. What stands in no file, as in the library, is
/// shown at the root's first character.
pub fn converted(world: &World, show: &Show, one: &diagnostics::Diagnostic) -> Option<(PathBuf, Diagnostic)> {
    let file = show.compiled.sources.get(one.span.file)?;
    let (path, range) = match &file.path {
        Some(path) => (path.clone(), world.snapshot.counted(file).range(one.span)),
        None => (show.path.clone(), Default::default()),
    };
    Some((path, convert::diagnostic(one, range, |span| world.location(show, span))))
}

fn shown(diagnostic: &diagnostics::Diagnostic, notes: bool) -> bool {
    notes || diagnostic.severity != Severity::Note
}
