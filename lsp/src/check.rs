//! What a world says for each file, as the client shows it. It is given a world and changes nothing.

use crate::convert;
use crate::shelf;
use crate::show::{InParts, Known, Show};
use crate::world::World;
use fantail::diagnostics::{self, Severity};
use fantail::project::std_texts;
use fantail::source::Span;
use std::collections::BTreeMap;
use std::path::PathBuf;
use tower_lsp::lsp_types::{Diagnostic, Location, Position, Url};

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
        let shows: Vec<&Show> = world.shows.iter().map(AsRef::as_ref).filter(|show| show.has(&path)).collect();
        Some(Found { uri, revision, diagnostics: merged(all, &shows) })
    };
    by_path.into_iter().filter_map(in_file).collect()
}

/// Each diagnostic once. One that does not hold in every show that has the file says where it does.
fn merged(all: Vec<(&Show, Diagnostic)>, shows: &[&Show]) -> Vec<Diagnostic> {
    let mut once: Vec<(Diagnostic, Vec<&Show>)> = Vec::new();
    let mut at: BTreeMap<(Position, Position), Vec<usize>> = BTreeMap::new();
    for (show, diagnostic) in all {
        let there = at.entry((diagnostic.range.start, diagnostic.range.end)).or_default();
        let known = there.iter().find(|at| once.get(**at).is_some_and(|(known, _)| *known == diagnostic));
        match known.and_then(|at| once.get_mut(*at)) {
            Some((_, holds)) if holds.iter().any(|known| known.path == show.path) => {}
            Some((_, holds)) => holds.push(show),
            None => {
                there.push(once.len());
                once.push((diagnostic, vec![show]));
            }
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
    if let Some(cut) = &show.in_parts {
        return cut.told.iter().filter_map(|one| of_parts(world, show, cut, one)).collect();
    }
    let known = show.whole();
    let shown = known.compiled.diagnostics.iter().filter(|one| shown(one, world.snapshot.notes));
    shown.filter_map(|one| converted(world, show, &known, one)).collect()
}

/// One diagnostic for the client, and the file that it is shown in. What stands in no file, as in the library, is
/// shown at the root's first character.
pub fn converted(
    world: &World,
    show: &Show,
    known: &Known,
    one: &diagnostics::Diagnostic,
) -> Option<(PathBuf, Diagnostic)> {
    let file = known.compiled.sources.get(one.span.file)?;
    let (path, range) = match &file.path {
        Some(path) => (path.clone(), world.snapshot.counted(file).range(one.span)),
        None => (show.path.clone(), Default::default()),
    };
    Some((path, convert::diagnostic(one, range, |span| world.location(known, span))))
}

/// The same of a show that is one text: the library's files come first.
fn of_parts(world: &World, show: &Show, cut: &InParts, one: &diagnostics::Diagnostic) -> Option<(PathBuf, Diagnostic)> {
    let counted = cut.text.counted(world.snapshot.encoding);
    let place = |span: Span| match std_texts().nth(span.file.0 as usize) {
        None => Some(Location { uri: cut.text.uri.clone(), range: counted.range(span) }),
        Some((name, text)) => {
            let lines = fantail::source::Lines::of(text);
            let counted = convert::Counted { text, lines: &lines, encoding: world.snapshot.encoding };
            Some(Location { uri: shelf::library(name)?, range: counted.range(span) })
        }
    };
    let own = std_texts().nth(one.span.file.0 as usize).is_none();
    let range = if own { counted.range(one.span) } else { Default::default() };
    Some((show.path.clone(), convert::diagnostic(one, range, place)))
}

fn shown(diagnostic: &diagnostics::Diagnostic, notes: bool) -> bool {
    notes || diagnostic.severity != Severity::Note
}
