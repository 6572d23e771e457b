//! The repository that the command runs in: its folders, its settings and its lists of attributes. Git is asked
//! where they are; only blocks of our own are written.

use super::blocks;
use crate::output::Stop;
use crate::tidy::replace;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

pub struct Repository {
    pub config: PathBuf,
    /// For this clone alone.
    pub own: PathBuf,
    /// For everybody, once it is committed.
    pub shared: PathBuf,
}

impl Repository {
    pub fn here() -> Result<Self, Stop> {
        let top = ask(&["rev-parse", "--show-toplevel"])?;
        let at = |name: &str| ask(&["rev-parse", "--git-path", name]).map(PathBuf::from);
        Ok(Repository {
            config: at("config")?,
            own: at("info/attributes")?,
            shared: Path::new(&top).join(".gitattributes"),
        })
    }

    /// Whether our drivers are set.
    pub fn is_set(&self) -> Result<bool, Stop> {
        has(&self.config)
    }
}

pub fn has(file: &Path) -> Result<bool, Stop> {
    Ok(read(file)?.as_deref().is_some_and(blocks::has))
}

/// Whether the file was changed.
pub fn put(file: &Path, lines: &str) -> Result<bool, Stop> {
    let before = read(file)?;
    let after = blocks::put(before.as_deref(), lines);
    write(file, before.as_deref(), Some(after))
}

/// Whether the file was changed.
pub fn take(file: &Path) -> Result<bool, Stop> {
    match read(file)? {
        None => Ok(false),
        Some(before) => write(file, Some(&before), blocks::take(&before)),
    }
}

fn read(file: &Path) -> Result<Option<String>, Stop> {
    match fs::read_to_string(file) {
        Ok(text) => Ok(Some(text)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(Stop::said(format!("`{}` cannot be read: {error}", file.display()))),
    }
}

fn write(file: &Path, before: Option<&str>, after: Option<String>) -> Result<bool, Stop> {
    if before == after.as_deref() {
        return Ok(false);
    }
    let written = match (before, after) {
        (_, None) => fs::remove_file(file),
        (Some(_), Some(text)) => replace(file, &text),
        (None, Some(text)) => {
            let folder = file.parent().map_or(Ok(()), fs::create_dir_all);
            folder.and_then(|()| fs::write(file, text))
        }
    };
    written.map_err(|error| Stop::said(format!("`{}` was left as it is: {error}", file.display())))?;
    Ok(true)
}

/// What git answers, in one line.
pub fn ask(arguments: &[&str]) -> Result<String, Stop> {
    let asked = Command::new("git").args(arguments).stdin(Stdio::null()).output();
    let answer = asked.map_err(|error| match error.kind() {
        ErrorKind::NotFound => Stop::said("there is no program `git` here; install it first"),
        _ => Stop::said(format!("`git` could not be run: {error}")),
    })?;
    if !answer.status.success() {
        let why = String::from_utf8_lossy(&answer.stderr).trim().to_string();
        return Err(Stop::said(format!("this must run in the work tree of a git repository; git says: {why}")));
    }
    let said = String::from_utf8_lossy(&answer.stdout).into_owned();
    Ok(said.strip_suffix('\n').unwrap_or(&said).to_string())
}
