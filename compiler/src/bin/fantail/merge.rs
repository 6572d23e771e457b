//! `fantail merge`: three versions of a file to one, written over OURS, whole or not at all. It is made to be
//! called by what keeps versions: 1 where rows are at odds, 2 where it could not run and wrote nothing.

use crate::output::{Outcome, Output, Status, Stop};
use crate::report::Findings;
use crate::tidy::{Failed, below, replace, text_of};
use clap::Args;
use fantail::diagnostics::counted;
use fantail::merge::{Markers, Merged, News, Versions, merge};
use fantail::project::{self, Disk, Files};
use std::io;
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
    /// The result is itself what two sides began with, and no show: check it as none, and say nothing.
    #[arg(long)]
    inner: bool,
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
        let mut merged = merge(Versions { base: &base, ours: &ours, theirs: &theirs });
        let path = self.path.as_deref().unwrap_or(&self.ours);
        let unfit = self.inner || !merged.is_clean();
        let roots = if unfit { Vec::new() } else { roots(output, path)? };
        let news = check(&mut merged, path, &roots);
        let result = merged.text(&self.markers());
        if result != ours {
            let left = |error| Stop::said(format!("`{}` was left as it is: {error}", self.ours.display()));
            replace(&self.ours, &result).map_err(left)?;
        }
        let status = match merged.is_clean() && news.iter().all(|news| news.marked.is_none()) {
            true => Status::Done,
            false => Status::Errors,
        };
        if self.inner { Ok(status) } else { tell(output, path, merged.conflicts(), news, status) }
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

/// What nobody has been told yet, on standard error.
fn tell(output: &mut Output, path: &Path, marked: usize, news: Vec<News>, status: Status) -> Outcome {
    let together = "what follows comes of both sides together";
    let places = counted(marked, "place");
    let said = match (marked > 0, news.is_empty()) {
        (false, true) => None,
        (true, true) => Some(format!("the sides are at odds in {places}, which the file marks")),
        (true, false) => Some(format!("{together}; the file marks {places}")),
        (false, false) if status == Status::Done => Some(format!("merged; {together} and stops nothing")),
        (false, false) => Some(format!("{together}; no row of this file alone is to blame, and nothing is marked")),
    };
    if let Some(said) = said {
        output.warn(&format!("`{}`: {said}", path.display()))?;
    }
    let parts = news.into_iter().map(|news| (news.sources, news.diagnostics)).collect();
    Findings::all(parts, status).tell(output)
}

/// In each of these shows, up to the first where the merge cannot be clean.
fn check(merged: &mut Merged, path: &Path, roots: &[PathBuf]) -> Vec<News> {
    let mut all = Vec::new();
    for root in roots {
        let news = merged.check(path, root, &Disk);
        let stops = news.as_ref().is_some_and(|news| news.marked.is_some());
        all.extend(news);
        if stops {
            break;
        }
    }
    all
}

/// The file as a show of its own, and the files below this folder that include it.
fn roots(output: &mut Output, path: &Path) -> io::Result<Vec<PathBuf>> {
    let file = Disk.canonical(path);
    let found = below(Path::new(".")).unwrap_or_default();
    let mut roots = vec![path.to_path_buf()];
    if found.len() > SEARCHED {
        let file = path.display();
        output.warn(&format!("`{file}`: too many files here to look for shows that include it; check them by hand"))?;
        return Ok(roots);
    }
    let others = found.into_iter().map(|(other, _)| other).filter(|other| Disk.canonical(other) != file);
    roots.extend(others.filter(|other| project::load(other, &Disk).0.sources.by_path(&file).is_some()));
    Ok(roots)
}
