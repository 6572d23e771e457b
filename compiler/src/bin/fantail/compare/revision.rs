//! A show as it was at a revision of its repository. Git is asked for the texts; nothing in the work tree is touched.

use super::sides::Side;
use crate::report::compiled;
use fantail::compile;
use fantail::project::{Disk, Files};
use std::ffi::OsStr;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The show as it was and as it is; of a file that is none of its own, every show that includes it.
///
/// # Errors
/// A message for the user.
pub fn pairs(file: &Path, revision: &str) -> Result<Vec<(Side, Side)>, String> {
    let path = Disk.canonical(file);
    let folder = path.parent().unwrap_or(Path::new("."));
    let top = PathBuf::from(ask(folder, ["rev-parse", "--show-toplevel"], file)?);
    let wanted = format!("{revision}^{{commit}}");
    let commit = ask(&top, ["rev-parse", "--verify", "--quiet", "--end-of-options", &wanted], file)
        .map_err(|_| format!("git knows no revision `{revision}` where `{}` is", file.display()))?;
    let old = AtRevision { top: Disk.canonical(&top), commit };
    let now = compiled(file);
    let was = compile(&path, &old);
    let was_there = !was.root_unread;
    let roots = match now.show.head.is_some() || was.show.head.is_some() {
        true => vec![(was, now)],
        false => including(&old, &path),
    };
    if roots.is_empty() {
        let name = file.display();
        return Err(match was_there {
            true => format!("`{name}` is no show, and no show of its repository includes it"),
            false => format!("`{name}` was not there at `{revision}`: name the two files instead"),
        });
    }
    let side = |one| Side::Compiled(Box::new(one));
    let absent = roots.iter().find(|(was, _)| was.root_unread).map(|(_, now)| now);
    if let Some(name) = absent.and_then(|now| Some(now.sources.get(now.root)?.name.clone())) {
        return Err(format!("`{name}` was not there at `{revision}`: name the two files instead"));
    }
    Ok(roots.into_iter().map(|(was, now)| (side(was), side(now))).collect())
}

/// The shows of the work tree that include a file, then and now. One that is new since has nothing to be held against.
fn including(old: &AtRevision, part: &Path) -> Vec<(fantail::Compiled, fantail::Compiled)> {
    let listed =
        ask(&old.top, ["ls-files", "-z", "--cached", "--others", "--exclude-standard", "--", "*.fantail"], part);
    let listed = listed.unwrap_or_default();
    let names: std::collections::BTreeSet<&str> = listed.split('\0').filter(|name| !name.is_empty()).collect();
    let (mut found, here) = (Vec::new(), std::env::current_dir().unwrap_or_default());
    for path in names.into_iter().map(|name| old.top.join(name)) {
        let now = compiled(path.strip_prefix(&here).unwrap_or(&path));
        let includes = now.sources.iter().any(|file| file.path.as_deref() == Some(part));
        if now.show.head.is_some() && includes {
            let was = compile(&path, old);
            if !was.root_unread {
                found.push((was, now));
            }
        }
    }
    found
}

/// The files of a repository as they were at a commit.
struct AtRevision {
    top: PathBuf,
    commit: String,
}

impl AtRevision {
    /// `COMMIT:path/in/repository`
    fn object(&self, path: &Path) -> io::Result<String> {
        let path = self.canonical(path);
        let inside = path.strip_prefix(&self.top).map_err(|_| io::Error::from(ErrorKind::NotFound))?;
        let parts: Option<Vec<&str>> = inside.iter().map(OsStr::to_str).collect();
        let name = parts.ok_or(ErrorKind::InvalidInput)?.join("/");
        Ok(format!("{}:{name}", self.commit))
    }
}

impl Files for AtRevision {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        let object = self.object(path)?;
        let output = git(&self.top).args(["cat-file", "blob", &object]).output()?;
        if output.status.success() { Ok(output.stdout) } else { Err(ErrorKind::NotFound.into()) }
    }

    fn canonical(&self, path: &Path) -> PathBuf {
        Disk.canonical(path)
    }

    fn list(&self, folder: &Path) -> Vec<String> {
        let Ok(object) = self.object(folder) else { return Vec::new() };
        let output = git(&self.top).args(["ls-tree", "--name-only", "-z", &object]).output();
        let listed = output.map(|output| String::from_utf8_lossy(&output.stdout).into_owned()).unwrap_or_default();
        listed.split('\0').filter(|name| !name.is_empty()).map(String::from).collect()
    }
}

/// What git prints, in one piece.
fn ask<'a>(folder: &Path, arguments: impl IntoIterator<Item = &'a str>, of: &Path) -> Result<String, String> {
    let output = git(folder).args(arguments).output();
    let output = output.map_err(|error| format!("git could not be run: {error}"))?;
    if !output.status.success() {
        return Err(format!("`{}` is in no git repository", of.display()));
    }
    let text = String::from_utf8(output.stdout).map_err(|_| "git told a path that is no text".to_string())?;
    Ok(text.trim_end_matches(['\n', '\r']).to_string())
}

/// In a hook git says where its own repository is; here the file says which is meant.
fn git(folder: &Path) -> Command {
    let mut git = Command::new("git");
    git.current_dir(folder).stdin(Stdio::null());
    for name in ["GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_PREFIX"] {
        git.env_remove(name);
    }
    git
}
