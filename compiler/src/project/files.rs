//! Where texts come from: the disk, an editor's unsaved texts over it, or memory. Nothing here waits on
//! a pipe or a device that was named as a file, or reads more than `LIMIT` bytes of one.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs;
use std::io::{self, ErrorKind, Read};
use std::path::{Component, Path, PathBuf};

/// The largest text that is read, in bytes: 64 MiB, some hundred times the largest show.
pub const LIMIT: u64 = 64 * 1024 * 1024;

/// A place that texts are read from.
pub trait Files {
    /// The bytes of a file. Fails with `IsADirectory` for a folder, `Unsupported` for what is no plain
    /// file (a pipe, a device) and `FileTooLarge` past `LIMIT`.
    fn read(&self, path: &Path) -> io::Result<Vec<u8>>;

    /// One spelling for one file: absolute, without `.` and `..`, links followed. A file that is not
    /// there gets one too.
    fn canonical(&self, path: &Path) -> PathBuf;

    /// What is read is one part of a show that has more desks.
    fn is_part(&self) -> bool {
        false
    }

    /// The names in a folder, for "did you mean"; empty where that cannot be told.
    fn list(&self, _folder: &Path) -> Vec<String> {
        Vec::new()
    }
}

/// The real file system. The path `-` alone is standard input.
#[derive(Clone, Copy, Debug, Default)]
pub struct Disk;

impl Files for Disk {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        if is_standard_input(path) {
            return read_within_limit(io::stdin().lock());
        }
        let about = fs::metadata(path)?;
        if about.is_dir() {
            return Err(ErrorKind::IsADirectory.into());
        }
        if !about.is_file() {
            return Err(ErrorKind::Unsupported.into());
        }
        if about.len() > LIMIT {
            return Err(ErrorKind::FileTooLarge.into());
        }
        read_within_limit(fs::File::open(path)?)
    }

    fn canonical(&self, path: &Path) -> PathBuf {
        if is_standard_input(path) {
            return path.to_path_buf();
        }
        if let Ok(found) = fs::canonicalize(path) {
            return found;
        }
        let absolute = normal(&std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf()));
        let parts = (absolute.parent().map(fs::canonicalize), absolute.file_name());
        match parts {
            (Some(Ok(folder)), Some(name)) => folder.join(name),
            _ => absolute,
        }
    }

    fn list(&self, folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).into_iter().flatten().take(1000);
        let mut names: Vec<String> = entries.filter_map(|entry| entry.ok()?.file_name().into_string().ok()).collect();
        names.sort();
        names
    }
}

/// Whether a path names standard input.
pub fn is_standard_input(path: &Path) -> bool {
    path == Path::new("-")
}

fn read_within_limit(from: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(LIMIT + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LIMIT {
        return Err(ErrorKind::FileTooLarge.into());
    }
    Ok(bytes)
}

/// Texts that stand in for files of another place, keyed by their canonical paths there.
pub struct Overlay<F> {
    pub base: F,
    pub texts: BTreeMap<PathBuf, String>,
}

impl<F: Files> Files for Overlay<F> {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        match self.texts.get(&self.base.canonical(path)) {
            Some(text) => Ok(text.clone().into_bytes()),
            None => self.base.read(path),
        }
    }

    fn canonical(&self, path: &Path) -> PathBuf {
        self.base.canonical(path)
    }

    fn list(&self, folder: &Path) -> Vec<String> {
        self.base.list(folder)
    }
}

/// Files in memory, for tests. Relative paths stand under `/`.
#[derive(Clone, Debug, Default)]
pub struct InMemory {
    files: BTreeMap<PathBuf, Vec<u8>>,
    links: BTreeMap<PathBuf, PathBuf>,
}

impl InMemory {
    pub fn with(mut self, path: &str, content: impl Into<Vec<u8>>) -> Self {
        self.files.insert(under_root(Path::new(path)), content.into());
        self
    }

    /// A second name for a file.
    pub fn linked(mut self, path: &str, to: &str) -> Self {
        self.links.insert(under_root(Path::new(path)), under_root(Path::new(to)));
        self
    }
}

impl Files for InMemory {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        let path = self.canonical(path);
        match self.files.get(&path) {
            Some(content) => Ok(content.clone()),
            None if self.files.keys().any(|file| file.starts_with(&path)) => Err(ErrorKind::IsADirectory.into()),
            None => Err(ErrorKind::NotFound.into()),
        }
    }

    fn canonical(&self, path: &Path) -> PathBuf {
        let path = under_root(path);
        self.links.get(&path).cloned().unwrap_or(path)
    }

    fn list(&self, folder: &Path) -> Vec<String> {
        let folder = under_root(folder);
        let inside = self.files.keys().filter(|file| file.parent() == Some(&folder));
        inside.filter_map(|file| Some(file.file_name()?.to_str()?.to_string())).collect()
    }
}

fn under_root(path: &Path) -> PathBuf {
    normal(&Path::new("/").join(path))
}

/// A path without `.` and, where a folder stands before them, without `..`; links are not looked at.
pub fn normal(path: &Path) -> PathBuf {
    let mut parts: Vec<OsString> = Vec::new();
    let mut rooted = false;
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir if parts.last().is_some_and(|last| last != "..") => {
                parts.pop();
            }
            Component::ParentDir if rooted => {}
            Component::Prefix(_) | Component::ParentDir | Component::Normal(_) => {
                parts.push(part.as_os_str().to_os_string());
            }
            Component::RootDir => rooted = true,
        }
    }
    let start = if rooted { PathBuf::from("/") } else { PathBuf::new() };
    parts.iter().fold(start, |path, part| path.join(part))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::*;

    #[test]
    fn paths_lose_their_dots() {
        assert_eq!(normal(Path::new("venues/../rig.fantail")), Path::new("rig.fantail"));
        assert_eq!(normal(Path::new("./a/./b")), Path::new("a/b"));
        assert_eq!(normal(Path::new("../../rig")), Path::new("../../rig"));
        assert_eq!(normal(Path::new("/../rig")), Path::new("/rig"));
    }

    #[test]
    fn the_disk_refuses_what_is_no_file() {
        let folder = std::env::temp_dir().join(format!("fantail-files-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        assert_eq!(Disk.read(&folder).unwrap_err().kind(), ErrorKind::IsADirectory);
        assert_eq!(Disk.read(&folder.join("none")).unwrap_err().kind(), ErrorKind::NotFound);
        assert_eq!(Disk.canonical(&folder.join("x/../none")), Disk.canonical(&folder).join("none"));
        fs::write(folder.join("a"), "rate 48 kHz").unwrap();
        assert_eq!(Disk.list(&folder), ["a"]);
        assert_eq!(Disk.read(&folder.join("a")).unwrap(), b"rate 48 kHz");
        let big = fs::File::create(folder.join("big")).unwrap();
        big.set_len(LIMIT + 1).unwrap();
        assert_eq!(Disk.read(&folder.join("big")).unwrap_err().kind(), ErrorKind::FileTooLarge);
        fs::remove_dir_all(&folder).unwrap();
    }

    #[cfg(unix)]
    #[test]
    fn a_pipe_does_not_hang_the_reader() {
        let pipe = std::env::temp_dir().join(format!("fantail-pipe-{}", std::process::id()));
        let made = std::process::Command::new("mkfifo").arg(&pipe).status();
        if made.is_ok_and(|status| status.success()) {
            assert_eq!(Disk.read(&pipe).unwrap_err().kind(), ErrorKind::Unsupported);
            fs::remove_file(&pipe).unwrap();
        }
        assert_eq!(Disk.read(Path::new("/dev/zero")).unwrap_err().kind(), ErrorKind::Unsupported);
    }

    #[test]
    fn an_editors_text_stands_in_for_the_file() {
        let base = InMemory::default().with("a", "old").linked("b", "a");
        let texts = BTreeMap::from([(PathBuf::from("/a"), "new".to_string())]);
        let overlay = Overlay { base, texts };
        assert_eq!(overlay.read(Path::new("./b")).unwrap(), b"new");
        assert_eq!(overlay.read(Path::new("c")).unwrap_err().kind(), ErrorKind::NotFound);
    }
}
