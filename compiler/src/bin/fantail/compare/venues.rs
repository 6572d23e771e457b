//! All shows of a folder against the rig that they share.

use super::sides::{Side, Told};
use crate::output::{Output, Stop};
use crate::report::compiled;
use crate::tidy::below;
use fantail::Compiled;
use fantail::at_once::at_once;
use fantail::compare::{self, Venues};
use fantail::plan::Plan;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The shows of the folder that include the rig, side by side with it. `None` where one has errors, which are told.
///
/// # Errors
/// A message for the user.
pub fn beside(folder: &Path, rig: Option<&Path>, output: &mut Output) -> Result<Option<Venues>, Stop> {
    if !folder.is_dir() {
        return Err(Stop::said(format!("`{}` is no folder", folder.display())));
    }
    let found = below(folder).map_err(|failed| failed.of(folder))?;
    let mut paths = Vec::new();
    for (path, read) in found {
        read.map_err(|failed| failed.of(&path))?;
        paths.push(path);
    }
    let mut shows = at_once(&paths, |path| compiled(path));
    shows.retain(|show| show.show.head.is_some());
    let rig = match rig {
        Some(rig) => rig.to_path_buf(),
        None => shared(&shows).ok_or_else(|| {
            let name = folder.display();
            Stop::said(format!("no file is included by the shows in `{name}`: name the rig with `--base FILE`"))
        })?,
    };
    let rig = compiled(&rig);
    let of_rig = |show: &Compiled| includes(show).any(|path| Some(path) == root(&rig));
    let (shows, others): (Vec<_>, Vec<_>) = shows.into_iter().partition(of_rig);
    for other in others {
        output.warn(&format!("`{}` does not include `{}` and is left out", name(&other), name(&rig)))?;
    }
    let mut names: Vec<String> = shows.iter().map(called).collect();
    let twice = |one: &String| names.iter().filter(|other| *other == one).count() > 1;
    let twice: Vec<bool> = names.iter().map(twice).collect();
    for ((called, show), _) in names.iter_mut().zip(&shows).zip(twice).filter(|(_, twice)| *twice) {
        *called = format!("{called} ({})", name(show));
    }
    let base = name(&rig);
    let Some(rig) = Side::of(rig).told(output)? else { return Ok(None) };
    let mut told: Vec<Told> = Vec::new();
    for show in shows {
        let Some(show) = Side::of(show).told(output)? else { return Ok(None) };
        told.push(show);
    }
    let columns: Vec<_> = names.iter().map(String::as_str).zip(told.iter().map(Told::said)).collect();
    Ok(Some(compare::venues((&base, rig.said()), &columns)))
}

/// The file that most of the shows include; of several the one that itself includes the others, then by name.
fn shared(shows: &[Compiled]) -> Option<PathBuf> {
    let mut counts: BTreeMap<&Path, (usize, usize)> = BTreeMap::new();
    for show in shows {
        let files: Vec<&Path> = includes(show).collect();
        for (nth, path) in files.iter().enumerate() {
            let (count, first) = counts.entry(path).or_insert((0, nth));
            *count += 1;
            *first = (*first).min(nth);
        }
    }
    let best = counts.iter().max_by(|(a, (often, nth)), (b, (other, mth))| {
        often.cmp(other).then_with(|| mth.cmp(nth)).then_with(|| b.cmp(a))
    });
    let here = std::env::current_dir().unwrap_or_default();
    best.map(|(path, _)| path.strip_prefix(&here).unwrap_or(path).to_path_buf())
}

fn includes(show: &Compiled) -> impl Iterator<Item = &Path> {
    let files = show.show.files.iter().filter(|file| **file != show.root);
    files.filter_map(|file| show.sources.get(*file)?.path.as_deref())
}

fn root(one: &Compiled) -> Option<&Path> {
    one.sources.get(one.root)?.path.as_deref()
}

fn name(one: &Compiled) -> String {
    one.sources.get(one.root).map(|file| file.name.clone()).unwrap_or_default()
}

/// By its venue, and by its file where the venue does not tell it.
fn called(one: &Compiled) -> String {
    let Plan { show, .. } = &one.plan;
    match (&show.venue, &show.date) {
        (Some(venue), Some(date)) => format!("{venue}, {date}"),
        (Some(venue), None) => venue.clone(),
        (None, _) => name(one),
    }
}
