//! `fantail merge`: three versions of a file to one, written over OURS, whole or not at all. It is made to be
//! called by what keeps versions: 1 where rows are at odds, 2 where it could not run and wrote nothing.

use crate::output::{Outcome, Output, Status, Stop};
use crate::report::Findings;
use crate::tidy::{Failed, below, replace, text_of};
use clap::Args;
use fantail::diagnostics::counted;
use fantail::merge::{Clash, Markers, Merged, Versions, merge};
use fantail::project::{self, Disk, Files};
use std::path::{Path, PathBuf};

/// Merge three versions of a file, row by row and attribute by attribute.
#[derive(Args)]
pub struct Merge {
    /// What both sides began with.
    #[arg(value_name = "BASE")]
    base: PathBuf,
    /// One side; the result is written over it.
    #[arg(value_name = "OURS")]
    ours: PathBuf,
    /// The other side.
    #[arg(value_name = "THEIRS")]
    theirs: PathBuf,
    /// Where the file stands, for what it includes and for the shows that include it; otherwise where OURS does.
    #[arg(long, value_name = "FILE")]
    path: Option<PathBuf>,
    /// How many signs a marker has.
    #[arg(long, value_name = "N", default_value_t = 7, value_parser = clap::value_parser!(u8).range(1..))]
    marker_size: u8,
    /// What markers call ours, the base and theirs.
    #[arg(long, num_args = 3, value_names = ["OURS", "BASE", "THEIRS"], allow_hyphen_values = true)]
    labels: Vec<String>,
    /// `merge` marks both sides; any other word, such as `diff3`, what the base said too.
    #[arg(long, value_name = "STYLE", default_value = "merge")]
    style: String,
}

/// More files than this below a folder are not searched for shows that include the file.
const SEARCHED: usize = 500;

impl Merge {
    pub fn run(&self, output: &mut Output) -> Outcome {
        let text = |file: &Path| {
            text_of(file).map_err(|failed| match failed {
                Failed::File(why) => Stop::said(format!("`{}` {why}", file.display())),
                Failed::Output(error) => Stop::Output(error),
            })
        };
        let [base, ours, theirs] = [text(&self.base)?, text(&self.ours)?, text(&self.theirs)?];
        let versions = Versions { base: &base, ours: &ours, theirs: &theirs };
        let path = self.path.as_deref().unwrap_or(&self.ours);
        let mut merged = merge(versions);
        let clash = check(&mut merged, versions, path);
        let result = merged.text(&self.markers());
        if result != ours {
            let left = |error| Stop::said(format!("`{}` was left as it is: {error}", self.ours.display()));
            replace(&self.ours, &result).map_err(left)?;
        }
        let conflicts = merged.conflicts();
        if conflicts > 0 {
            let places = counted(conflicts, "place");
            output.warn(&format!("`{}`: the sides are at odds in {places}, which the file marks", path.display()))?;
        }
        let clashes = clash.is_some();
        if let Some(Clash { sources, diagnostics, marked }) = clash {
            if marked == 0 {
                output.warn("no row of this file alone is to blame for what follows; nothing is marked for it")?;
            }
            Findings { sources, diagnostics, notes_hidden: 0, status: Status::Errors }.tell(output)?;
        }
        Ok(if conflicts > 0 || clashes { Status::Errors } else { Status::Done })
    }

    fn markers(&self) -> Markers {
        let usual = Markers::default();
        // An older program hands on the signs that it does not know.
        let label = |at: usize| self.labels.get(at).filter(|label| !label.starts_with('%')).cloned();
        Markers {
            size: usize::from(self.marker_size),
            ours: label(0).unwrap_or(usual.ours),
            base: (self.style != "merge").then(|| label(1).unwrap_or_else(|| "base".to_string())),
            theirs: label(2).unwrap_or(usual.theirs),
        }
    }
}

/// As a show of its own, then in each show that includes it, up to the first that clashes.
fn check(merged: &mut Merged, versions: Versions<'_>, path: &Path) -> Option<Clash> {
    if !merged.is_clean() {
        return None;
    }
    let including = || including(path).into_iter();
    merged
        .check(versions, path, path, &Disk)
        .or_else(|| including().find_map(|root| merged.check(versions, path, &root, &Disk)))
}

/// The files below this folder that include the file.
fn including(path: &Path) -> Vec<PathBuf> {
    let file = Disk.canonical(path);
    let found = below(Path::new(".")).unwrap_or_default();
    if found.len() > SEARCHED {
        return Vec::new();
    }
    let others = found.into_iter().map(|(other, _)| other).filter(|other| Disk.canonical(other) != file);
    others.filter(|other| project::load(other, &Disk).0.sources.by_path(&file).is_some()).collect()
}
