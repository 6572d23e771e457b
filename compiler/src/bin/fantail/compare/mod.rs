//! `fantail compare`: what changed between two states of a show, for the people who must act.

mod revision;
mod sides;
mod venues;

use crate::output::{Outcome, Output, Status, Stop};
use clap::{Args, ValueEnum};
use fantail::at_once::{at_once, both};
use fantail::compare::{self, Comparison};
use fantail::project::files::is_standard_input;
use fantail::sheets;
use sides::{Side, Told};
use std::path::{Path, PathBuf};

/// Say what changed between two states of a show: cables to move, settings to dial, paper to print again.
#[derive(Args)]
pub struct Compare {
    /// The show as it was and as it is: root files, packs' folders, or plans as data. With `--git` only the file as it
    /// is.
    #[arg(value_name = "FILE", required_unless_present = "venues", num_args = 1..=2)]
    files: Vec<PathBuf>,
    /// The file as it was at this revision of the repository that it is in. A file that is no show of its own is
    /// compared in every show that includes it.
    #[arg(long, value_name = "REV")]
    git: Option<String>,
    /// All shows in this folder side by side, held against the rig that they share.
    #[arg(long, value_name = "DIR", conflicts_with_all = ["files", "git"])]
    venues: Option<PathBuf>,
    /// The rig that they are held against; else the file that most of them include.
    #[arg(long, value_name = "FILE", requires = "venues")]
    base: Option<PathBuf>,
    /// Text to read, data, or Markdown for a review.
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
    /// Exit with 1 where anything changed.
    #[arg(long)]
    exit_code: bool,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    Text,
    Json,
    Markdown,
}

impl Compare {
    pub fn run(&self, output: &mut Output) -> Outcome {
        if let Some(folder) = &self.venues {
            return self.beside(output, folder);
        }
        let pairs = match (self.git.as_deref(), self.files.as_slice()) {
            (Some(revision), [file]) => revision::pairs(file, revision).map_err(Stop::Said)?,
            (None, [old, new]) if [old, new].into_iter().all(|path| is_standard_input(path)) => {
                return Err(Stop::said("standard input is one show: name a file for the other"));
            }
            (None, [old, new]) => {
                let (old, new) = both(|| Side::read(old), || Side::read(new));
                vec![(old.map_err(Stop::Said)?, new.map_err(Stop::Said)?)]
            }
            (Some(_), _) => return Err(Stop::said("with `--git REV` one file is named: the show as it is")),
            (None, _) => return Err(Stop::said("name the show as it was and as it is, or `--git REV` and one file")),
        };
        let mut told = Vec::new();
        for (old, new) in pairs {
            let (old, new) = (old.told(output)?, new.told(output)?);
            let (Some(old), Some(new)) = (old, new) else { return Ok(Status::Errors) };
            told.push((old, new));
        }
        let found = at_once(&told, |(old, new)| of_both(old, new));
        self.write(output, &found)?;
        let changed = found.iter().any(|one| !one.is_empty());
        Ok(if self.exit_code && changed { Status::Errors } else { Status::Done })
    }

    fn beside(&self, output: &mut Output, folder: &Path) -> Outcome {
        let Some(found) = venues::beside(folder, self.base.as_deref(), output)? else { return Ok(Status::Errors) };
        let out = output.results();
        match self.format {
            Format::Text => write!(out, "{}", found.text())?,
            Format::Json => writeln!(out, "{}", found.json())?,
            Format::Markdown => write!(out, "{}", found.markdown())?,
        }
        Ok(if self.exit_code && !found.rows.is_empty() { Status::Errors } else { Status::Done })
    }

    fn write(&self, output: &mut Output, found: &[Comparison]) -> Result<(), Stop> {
        let out = output.results();
        match self.format {
            Format::Text => write!(out, "{}", compare::text(found))?,
            Format::Json => writeln!(out, "{}", compare::json(found))?,
            Format::Markdown => write!(out, "{}", compare::markdown(found))?,
        }
        Ok(())
    }
}

/// What changed, and at the same time which sheets no longer hold.
fn of_both(old: &Told, new: &Told) -> Comparison {
    let (paper, mut comparison) =
        both(|| sheets::to_print_again(&old.plan, &new.plan), || compare::compare(old.said(), new.said()));
    if !comparison.is_empty() {
        comparison.paper = paper;
    }
    comparison
}
