//! Which files of a workspace begin a show. Reads the disk, and stops where a folder is too large to be one.

use fantail::editor::begins_a_show;
use fantail::project::{Disk, Files};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Folders deeper than this are not looked into.
const DEPTH: usize = 12;
/// No more entries than this are looked at, over all folders.
const ENTRIES: usize = 50_000;

pub fn find(folders: &[PathBuf]) -> BTreeSet<PathBuf> {
    let mut found = BTreeSet::new();
    let mut left = ENTRIES;
    for folder in folders {
        look(folder, DEPTH, &mut left, &mut found);
    }
    found
}

fn look(folder: &Path, depth: usize, left: &mut usize, found: &mut BTreeSet<PathBuf>) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let Some(less) = left.checked_sub(1) else { return };
        *left = less;
        let (path, name) = (entry.path(), entry.file_name());
        let hidden = name.to_string_lossy().starts_with('.') || name == "node_modules" || name == "target";
        // A link to a folder could lead in a ring.
        let is_folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
        if is_folder && !hidden && depth > 0 {
            look(&path, depth - 1, left, found);
        } else if path.extension().is_some_and(|ending| ending == "fantail") {
            let text = Disk.read(&path).unwrap_or_default();
            if begins_a_show(&String::from_utf8_lossy(&text)) {
                found.insert(Disk.canonical(&path));
            }
        }
    }
}
