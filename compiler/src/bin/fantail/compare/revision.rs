//! A show as it was at a revision of its repository. Git is asked for the texts; nothing in the work tree is touched.

use super::sides::Side;
use crate::report::compiled;
use fantail::at_once::{at_once, both};
use fantail::project::{Disk, Files};
use fantail::{Compiled, compile};
use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The show as it was and as it is; of a file that is none of its own, every show that includes it.
///
/// # Errors
/// A message for the user.
pub fn pairs(file: &Path, revision: &str) -> Result<Vec<(Side, Side)>, String> {
    let name = file.display();
    if file.is_dir() {
        return Err(format!("`{name}` is a folder: name the file of the show"));
    }
    let path = Disk.canonical(file);
    let folder = path.parent().unwrap_or(Path::new("."));
    let top = ask(folder, ["rev-parse", "--show-toplevel"])?;
    let top = PathBuf::from(top.ok_or_else(|| format!("`{name}` is in no git repository: {INSTEAD}"))?);
    let commit = commit(&top, revision, file)?;
    let old = AtRevision { top: Disk.canonical(&top), commit };
    let (was, now) = both(|| compile(&path, &old), || compiled(file));
    let (was_there, is_there) = (!was.root_unread, !now.root_unread);
    let roots = match now.show.head.is_some() || was.show.head.is_some() {
        true => vec![(was, now)],
        false => including(&old, &path)?,
    };
    if roots.is_empty() {
        return Err(match (was_there, is_there) {
            (true, _) => format!("`{name}` is no show, and no show of its repository includes it"),
            (false, true) => format!("`{name}` was not there at `{revision}`: {INSTEAD}"),
            (false, false) => format!("`{name}` is not there, nor was it at `{revision}`"),
        });
    }
    let name = |of: &Compiled| of.sources.get(of.root).map(|file| file.name.clone()).unwrap_or_default();
    if let Some((_, now)) = roots.iter().find(|(was, _)| was.root_unread) {
        return Err(format!("`{}` was not there at `{revision}`: {INSTEAD}", name(now)));
    }
    Ok(roots.into_iter().map(|(was, now)| (Side::of(was), Side::of(now))).collect())
}

/// What else can be done.
const INSTEAD: &str = "name two files instead, the show as it was and as it is";

fn commit(top: &Path, revision: &str, file: &Path) -> Result<String, String> {
    let wanted = format!("{revision}^{{commit}}");
    let found = ask(top, ["rev-parse", "--verify", "--quiet", "--end-of-options", &wanted])?;
    let shallow = || ask(top, ["rev-parse", "--is-shallow-repository"]).is_ok_and(|is| is.as_deref() == Some("true"));
    found.ok_or_else(|| {
        let rest = match shallow() {
            true => "it is a shallow copy, and `git fetch --unshallow` brings the rest",
            false => "`git log --oneline` and `git tag` list what it knows",
        };
        format!("git knows no revision `{revision}` where `{}` is: {rest}", file.display())
    })
}

/// The shows of the work tree that include a file, then and now. One that is new since has nothing to be held against.
fn including(old: &AtRevision, part: &Path) -> Result<Vec<(Compiled, Compiled)>, String> {
    let arguments = ["ls-files", "-z", "--cached", "--others", "--exclude-standard", "--", "*.fantail"];
    let listed = ask(&old.top, arguments)?.unwrap_or_default();
    let names: BTreeSet<&str> = listed.split('\0').filter(|name| !name.is_empty()).collect();
    let paths: Vec<PathBuf> = names.into_iter().map(|name| old.top.join(name)).collect();
    let here = std::env::current_dir().unwrap_or_default();
    let found = at_once(&paths, |path| {
        let now = compiled(path.strip_prefix(&here).unwrap_or(path));
        let includes = now.sources.iter().any(|file| file.path.as_deref() == Some(part));
        let was = (now.show.head.is_some() && includes).then(|| compile(path, old));
        Some((was.filter(|was| !was.root_unread)?, now))
    });
    Ok(found.into_iter().flatten().collect())
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

/// What git prints, in one piece; nothing where it says no.
fn ask<'a>(folder: &Path, arguments: impl IntoIterator<Item = &'a str>) -> Result<Option<String>, String> {
    let output = git(folder).args(arguments).output().map_err(|error| match error.kind() {
        ErrorKind::NotFound if folder.is_dir() => format!("git is not there to be asked: {INSTEAD}"),
        ErrorKind::NotFound => format!("`{}` is not there", folder.display()),
        _ => format!("git could not be run: {error}"),
    })?;
    let text = String::from_utf8(output.stdout).map_err(|_| "git told a path that is no text".to_string())?;
    Ok(output.status.success().then(|| text.trim_end_matches(['\n', '\r']).to_string()))
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
