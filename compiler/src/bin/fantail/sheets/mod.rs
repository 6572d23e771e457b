//! `fantail sheets`: the paper that a crew works from, written into a folder, and what of an old pack no longer
//! holds.

pub mod folder;

use crate::output::{Outcome, Output, Status, Stop};
use crate::report::{Findings, compiled};
use clap::{Args, ValueEnum};
use fantail::diagnostics::counted;
use fantail::plan::{self, Plan};
use fantail::sheets::{self, File, Form, Manifest, Pack, Stale};
use std::path::{Path, PathBuf};

/// Write the paper of a show: a sheet for each person who has to act.
#[derive(Args)]
pub struct Sheets {
    /// The show's root file; `-` is standard input.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The folder to write into; a pack that is there is replaced as a whole.
    #[arg(long, value_name = "DIR", required_unless_present = "stale")]
    to: Option<PathBuf>,
    /// The forms to write; all where none is named.
    #[arg(long = "form", value_enum, value_delimiter = ',', value_name = "FORM")]
    forms: Vec<Named>,
    /// An earlier pack's folder, or a plan as data: the front page then says what changed since.
    #[arg(long, value_name = "OLD", conflicts_with = "stale")]
    since: Option<PathBuf>,
    /// Write nothing; say which sheets in this folder no longer match the show, and exit with 1 where any do.
    #[arg(long, value_name = "DIR", conflicts_with = "to")]
    stale: Option<PathBuf>,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Named {
    Book,
    Csv,
    Xlsx,
    Markdown,
    Pictures,
}

impl Named {
    fn form(self) -> Form {
        match self {
            Named::Book => Form::Book,
            Named::Csv => Form::Csv,
            Named::Xlsx => Form::Xlsx,
            Named::Markdown => Form::Markdown,
            Named::Pictures => Form::Pictures,
        }
    }
}

impl Sheets {
    pub fn run(&self, output: &mut Output) -> Outcome {
        let mut compiled = compiled(&self.file);
        let plan = std::mem::take(&mut compiled.plan);
        let status = Findings::of(vec![compiled], false).tell(output)?;
        match (&self.stale, &self.to) {
            _ if status != Status::Done => Ok(status),
            (Some(folder), _) => stale(output, &plan, folder),
            (_, Some(folder)) => self.write(output, &plan, folder),
            (None, None) => Ok(status),
        }
    }

    fn write(&self, output: &mut Output, plan: &Plan, folder: &Path) -> Outcome {
        let earlier = self.since.as_deref().map(folder::plan).transpose().map_err(Stop::Said)?;
        let pack = sheets::pack_since(plan, earlier.as_ref());
        let forms = Form::ALL.iter().filter(|form| self.forms.is_empty() || self.asked(**form));
        let mut files: Vec<File> = forms.flat_map(|form| sheets::write(&pack, *form)).collect();
        files.push(as_data(folder::PLAN, plan));
        files.extend(earlier.map(|earlier| as_data(folder::EARLIER, &earlier)));
        let manifest = Manifest::of(&pack, &files);
        files.push(manifest.file());
        folder::replace(folder, &files).map_err(Stop::Said)?;
        let (sheets, files) = (counted(pack.sheets.len(), "sheet"), counted(files.len(), "file"));
        writeln!(output.results(), "{}: {sheets} in {files}, mark {}", folder.display(), pack.mark)?;
        Ok(Status::Done)
    }

    fn asked(&self, form: Form) -> bool {
        self.forms.iter().any(|named| named.form() == form)
    }
}

fn as_data(name: &str, plan: &Plan) -> File {
    File { name: name.to_string(), bytes: plan::json(plan, &[]).into_bytes() }
}

/// Which sheets of a pack on disk the show no longer says.
fn stale(output: &mut Output, plan: &Plan, folder: &Path) -> Outcome {
    let (manifest, missing) = folder::manifest(folder).map_err(Stop::Said)?;
    // What changed since then is on its front page.
    let earlier = manifest.files.iter().any(|name| name == folder::EARLIER);
    let earlier = earlier.then(|| folder::plan(&folder.join(folder::EARLIER))).and_then(Result::ok);
    let pack = sheets::pack_since(plan, earlier.as_ref());
    // What was printed, sheet by sheet; where the plan of then is gone, only that something differs is known.
    let old = folder::plan(&folder.join(folder::PLAN)).map(|old| sheets::pack_since(&old, earlier.as_ref()));
    let old = old.unwrap_or_default();
    let found = manifest.stale(&pack);
    let out = output.results();
    for off in &found {
        writeln!(out, "{}: {}", off.title, off.how.word())?;
        out.write_all(differing(&old, &pack, off.slug).as_bytes())?;
    }
    for name in &missing {
        writeln!(out, "{name}: the file is gone or is another one now")?;
    }
    let holds = found.is_empty() && missing.is_empty();
    if holds {
        writeln!(out, "{}: every sheet holds, mark {}", folder.display(), manifest.mark)?;
    }
    if manifest.mark != pack.mark {
        let same = pack.sheets.len() - found.iter().filter(|off| off.how != Stale::Gone).count();
        let same = counted(same, "sheet");
        writeln!(out, "mark {} on paper, {} now: {same} of the same content, older mark", manifest.mark, pack.mark)?;
    }
    Ok(if holds { Status::Done } else { Status::Errors })
}

/// The first lines of a sheet that stand on one of two papers only.
fn differing(was: &Pack, now: &Pack, slug: &str) -> String {
    const MOST: usize = 6;
    let all = sheets::differences(was, now, slug);
    let mut out: String = all
        .iter()
        .take(MOST)
        .fold(String::new(), |out, one| out + &format!("    {}  {}\n", if one.now { "now" } else { "was" }, one.said));
    if all.len() > MOST {
        out.push_str(&format!("    and {} more\n", all.len() - MOST));
    }
    out
}
