//! `fantail tidy`: files laid out in columns. A file is written whole or not at all, and only where its
//! layout changes; what cannot be read or written is told and left.

use crate::output::{Outcome, Output, Status, Stop};
use clap::Args;
use fantail::project::{Disk, Files, files::is_standard_input};
use fantail::syntax::tidy;
use similar::TextDiff;
use std::fs::{self, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};

/// Lay files out in columns, in place.
#[derive(Args)]
pub struct Tidy {
    /// Files, or folders with all that is in them; `-` is standard input, laid out on standard output.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Write nothing; name the files that are not tidy, and exit with 1 where there are any.
    #[arg(long)]
    check: bool,
    /// Write nothing; show what would change.
    #[arg(long)]
    diff: bool,
}

impl Tidy {
    pub fn run(&self, output: &mut Output) -> Outcome {
        if self.files.len() > 1 && self.files.iter().any(|file| is_standard_input(file)) {
            return Err(Stop::said("`-` stands alone: standard input is laid out on standard output"));
        }
        let mut status = Status::Done;
        for named in &self.files {
            let files = below(named).unwrap_or_else(|error| {
                status = Status::NotRun;
                vec![(named.clone(), Err(error))]
            });
            for (file, found) in files {
                let done = found.and_then(|()| text_of(&file)).and_then(|text| self.one(output, &file, &text));
                status = status.max(match done {
                    Ok(status) => status,
                    Err(Failed::Output(error)) => return Err(error.into()),
                    Err(Failed::File(why)) => {
                        output.warn(&format!("`{}` {why}", file.display()))?;
                        Status::NotRun
                    }
                });
            }
        }
        Ok(status)
    }

    fn one(&self, output: &mut Output, file: &Path, text: &str) -> Result<Status, Failed> {
        let laid_out = tidy::tidy(text);
        let (same, from_input) = (laid_out == text, is_standard_input(file));
        let out = output.results();
        if self.diff && !same {
            let (name, diff) = (file.display().to_string(), TextDiff::from_lines(text, &laid_out));
            let (before, after) = (name.clone(), format!("{name} (tidy)"));
            write!(out, "{}", diff.unified_diff().header(&before, &after)).map_err(Failed::Output)?;
        } else if self.check && !same {
            writeln!(out, "{}", file.display()).map_err(Failed::Output)?;
        }
        match self.check || self.diff {
            true => return Ok(if self.check && !same { Status::Errors } else { Status::Done }),
            false if from_input => out.write_all(laid_out.as_bytes()).map_err(Failed::Output)?,
            false if !same => {
                replace(file, &laid_out).map_err(|error| Failed::File(format!("was left as it is: {error}")))?;
                writeln!(output.results(), "{}", file.display()).map_err(Failed::Output)?;
            }
            false => {}
        }
        Ok(Status::Done)
    }
}

pub enum Failed {
    /// What went wrong with the file, after its name.
    File(String),
    Output(io::Error),
}

impl Failed {
    /// Told of the file.
    pub fn of(self, file: &Path) -> Stop {
        match self {
            Failed::File(why) => Stop::said(format!("`{}` {why}", file.display())),
            Failed::Output(error) => error.into(),
        }
    }
}

/// A file to lay out, or what is wrong with it.
pub type Found = (PathBuf, Result<(), Failed>);

/// The file itself, or all fantail files below a folder, in order, but for what is hidden.
pub fn below(named: &Path) -> Result<Vec<Found>, Failed> {
    if is_standard_input(named) || !named.is_dir() {
        return Ok(vec![(named.to_path_buf(), Ok(()))]);
    }
    let (mut found, mut open) = (Vec::new(), vec![named.to_path_buf()]);
    while let Some(folder) = open.pop() {
        match entries(&folder) {
            Err(error) => found.push((folder, Err(Failed::File(format!("cannot be read: {error}"))))),
            Ok(entries) => {
                for path in entries {
                    let linked = fs::symlink_metadata(&path).is_ok_and(|about| about.is_symlink());
                    if path.is_dir() && !linked {
                        open.push(path);
                    } else if path.extension().is_some_and(|ending| ending == "fantail") {
                        found.push((path, Ok(())));
                    }
                }
            }
        }
    }
    if found.is_empty() {
        return Err(Failed::File("has no file whose name ends in `.fantail`".to_string()));
    }
    found.sort_by(|(one, _), (other, _)| one.cmp(other));
    Ok(found)
}

fn entries(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let hidden = |path: &PathBuf| path.file_name().is_some_and(|name| name.as_encoded_bytes().starts_with(b"."));
    let entries: io::Result<Vec<PathBuf>> = fs::read_dir(folder)?.map(|entry| Ok(entry?.path())).collect();
    Ok(entries?.into_iter().filter(|path| !hidden(path)).collect())
}

pub fn text_of(file: &Path) -> Result<String, Failed> {
    let bytes = Disk.read(file).map_err(|error| {
        Failed::File(match error.kind() {
            ErrorKind::NotFound => "is not there".to_string(),
            ErrorKind::Unsupported => "is no plain file".to_string(),
            ErrorKind::FileTooLarge => "is too big to be a show".to_string(),
            _ => format!("cannot be read: {error}"),
        })
    })?;
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        Failed::File(format!("is left as it is: it is no UTF-8 text from byte {} on", at + 1))
    })
}

/// Writes the text whole under a name of its own, then gives it the file's. A link stays a link, and what
/// it leads to is replaced.
pub fn replace(file: &Path, text: &str) -> io::Result<()> {
    let file = fs::canonicalize(file)?;
    let about = fs::metadata(&file)?;
    if about.permissions().readonly() {
        return Err(io::Error::new(ErrorKind::PermissionDenied, "it may only be read"));
    }
    let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let draft = file.with_file_name(format!(".{name}.{}", std::process::id()));
    let mut written = OpenOptions::new().write(true).create_new(true).open(&draft)?;
    let done = written
        .write_all(text.as_bytes())
        .and_then(|()| written.set_permissions(about.permissions()))
        .and_then(|()| written.sync_all())
        .and_then(|()| fs::rename(&draft, &file));
    if done.is_err() {
        let _ = fs::remove_file(&draft);
    }
    done
}
