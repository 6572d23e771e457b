//! A pack on disk. It is written whole beside the old one and then takes its place: whatever goes wrong on the way,
//! the old pack is there and whole. What others put into the folder stays in it.

use fantail::plan::Plan;
use fantail::sheets::{File, Manifest};
use std::fs;
use std::io::{self, ErrorKind};
use std::path::{Component, Path, PathBuf};

/// The plan that a pack was made of, and the one that its front page says the changes since.
pub const PLAN: &str = "plan.json";
pub const EARLIER: &str = "earlier.json";
/// Of a plan as data.
const FORMAT: u32 = 1;

/// Puts these files in the place of the pack in a folder.
///
/// # Errors
/// A message for the user; the folder is as it was.
pub fn replace(folder: &Path, files: &[File]) -> Result<(), String> {
    let old = known(folder)?;
    let say = |error: io::Error| {
        let name = folder.display();
        let left = if old.is_some() { "; the pack that is there is as it was" } else { "" };
        format!("`{name}` cannot be written: {error}{left}")
    };
    let place = absolute(folder).map_err(say)?;
    let draft = beside(&place).map_err(say)?;
    let done = write(&draft, files).and_then(|()| take_place(&draft, &place, old.as_ref()));
    if done.is_err() {
        let _ = fs::remove_dir_all(&draft);
    }
    done.map_err(say)
}

/// What a folder says of the pack in it, and which of its files are no longer there.
///
/// # Errors
/// A message for the user where there is no pack.
pub fn manifest(folder: &Path) -> Result<(Manifest, Vec<String>), String> {
    let found = known(folder)?.ok_or_else(|| format!("there is no pack in `{}`", folder.display()))?;
    let missing = found.files.iter().filter(|name| !folder.join(name).is_file()).cloned().collect();
    Ok((found, missing))
}

/// An earlier plan: of a pack's folder, or a file as `fantail plan --format json` writes it.
///
/// # Errors
/// A message for the user.
pub fn plan(old: &Path) -> Result<Plan, String> {
    let path = if old.is_dir() { old.join(PLAN) } else { old.to_path_buf() };
    let name = path.display();
    let bytes = fs::read(&path).map_err(|error| match error.kind() {
        ErrorKind::NotFound if old.is_dir() => {
            format!("`{}` is no pack of a show: there is no `{PLAN}` in it", old.display())
        }
        ErrorKind::NotFound => format!("`{name}` is not there"),
        _ => format!("`{name}` cannot be read: {error}"),
    })?;
    match serde_json::from_slice::<Plan>(&bytes) {
        Ok(plan) if plan.fantail == FORMAT => Ok(plan),
        read => {
            let why = no_plan(&bytes, read.err());
            Err(format!("`{name}` is no plan: {why}; name a pack's folder or what `fantail plan --format json` wrote"))
        }
    }
}

/// Why a file is not read as a plan, for somebody who never saw the inside of one.
fn no_plan(bytes: &[u8], error: Option<serde_json::Error>) -> String {
    let format =
        serde_json::from_slice::<serde_json::Value>(bytes).ok().and_then(|value| value.get("fantail")?.as_u64());
    match (format, error) {
        (Some(format), _) if format != u64::from(FORMAT) => {
            format!("it is of format {format}, and this fantail reads format {FORMAT}")
        }
        (_, Some(error)) if !error.is_data() => format!("it is cut off or damaged at line {}", error.line()),
        _ => "what stands in it is something else".to_string(),
    }
}

/// The pack in a folder; none where the folder is not there or is empty.
fn known(folder: &Path) -> Result<Option<Manifest>, String> {
    let name = folder.display();
    let bytes = match fs::read(folder.join(Manifest::NAME)) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == ErrorKind::NotFound => return nothing_else(folder).map(|()| None),
        Err(error) => return Err(format!("`{name}` cannot be read: {error}")),
    };
    let read = serde_json::from_slice(&bytes);
    read.map(Some).map_err(|_| format!("`{}` in `{name}` is no list of a pack", Manifest::NAME))
}

/// A folder with other things in it is no place for a pack: it was named by mistake.
fn nothing_else(folder: &Path) -> Result<(), String> {
    let name = folder.display();
    match fs::read_dir(folder).map(|mut entries| entries.next().is_none()) {
        Ok(true) => Ok(()),
        Ok(false) => Err(format!("`{name}` holds other things and no pack: name a folder that is empty or not there")),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(()),
        Err(error) => Err(format!("`{name}` cannot be read: {error}")),
    }
}

/// Where the folder is or will be; a link to one is followed.
fn absolute(folder: &Path) -> io::Result<PathBuf> {
    match fs::canonicalize(folder) {
        Err(error) if error.kind() == ErrorKind::NotFound => std::path::absolute(folder),
        done => done,
    }
}

/// An empty folder on the same disk.
fn beside(place: &Path) -> io::Result<PathBuf> {
    let name = place.file_name().ok_or(ErrorKind::InvalidInput)?.to_string_lossy();
    let draft = place.with_file_name(format!(".{name}.{}", std::process::id()));
    if let Some(parent) = place.parent() {
        fs::create_dir_all(parent)?;
    }
    fs::create_dir(&draft)?;
    Ok(draft)
}

/// Not forced onto the disk file by file: a pack can be made again from its show, and that would take longer than
/// all the rest.
fn write(draft: &Path, files: &[File]) -> io::Result<()> {
    for file in files {
        let path = draft.join(&file.name);
        fs::create_dir_all(path.parent().unwrap_or(draft))?;
        fs::write(&path, &file.bytes)?;
    }
    Ok(())
}

/// The draft becomes the folder. What the old one held besides its pack is moved over.
fn take_place(draft: &Path, place: &Path, old: Option<&Manifest>) -> io::Result<()> {
    let Some(old) = old else {
        // An empty folder may be there.
        let _ = fs::remove_dir(place);
        return fs::rename(draft, place);
    };
    exchange(draft, place)?;
    // The old pack now stands in the draft's place.
    let listed = old.files.iter().map(String::as_str).filter(|name| stays_below(name));
    for name in listed.chain([Manifest::NAME]) {
        let _ = fs::remove_file(draft.join(name));
    }
    keep_the_rest(draft, place)
}

/// A list that somebody else wrote must not lead out of the folder.
fn stays_below(name: &str) -> bool {
    Path::new(name).components().all(|part| matches!(part, Component::Normal(_)))
}

/// Moves what is left below one folder to the other, where nothing of that name is, and takes empty folders away.
fn keep_the_rest(from: &Path, to: &Path) -> io::Result<()> {
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        let (path, there) = (entry.path(), to.join(entry.file_name()));
        if entry.file_type()?.is_dir() && there.is_dir() {
            keep_the_rest(&path, &there)?;
        } else if entry.file_type()?.is_dir() && fs::read_dir(&path)?.next().is_none() {
            fs::remove_dir(&path)?;
        } else if !there.exists() {
            fs::rename(&path, &there)?;
        }
    }
    // Not where something could not be moved: it stays in the hidden folder rather than be lost.
    let _ = fs::remove_dir(from);
    Ok(())
}

/// Two folders change places in one step, where the system can do that; else one after the other.
fn exchange(one: &Path, other: &Path) -> io::Result<()> {
    #[cfg(any(target_os = "linux", target_os = "macos"))]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        if renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE).is_ok() {
            return Ok(());
        }
    }
    let aside = one.with_extension("old");
    fs::rename(other, &aside)?;
    fs::rename(one, other).inspect_err(|_| {
        let _ = fs::rename(&aside, other);
    })?;
    fs::rename(&aside, one)
}
