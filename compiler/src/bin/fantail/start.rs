//! `fantail start`: a new small show that checks clean. Writes both files or none, and over nothing.

use crate::output::{Outcome, Output, Status, Stop};
use clap::Args;
use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Start a new show: two files to edit, that check clean.
#[derive(Args)]
pub struct Start {
    /// The folder to put them in; made where it is not there.
    #[arg(value_name = "DIR")]
    folder: PathBuf,
}

const FILES: [(&str, &str); 2] =
    [("rig.fantail", include_str!("start/rig.fantail")), ("show.fantail", include_str!("start/show.fantail"))];

impl Start {
    pub fn run(&self, output: &mut Output) -> Outcome {
        let folder = self.folder.display();
        if let Some((taken, _)) = FILES.iter().find(|(name, _)| fs::symlink_metadata(self.folder.join(name)).is_ok()) {
            return Err(Stop::said(format!(
                "`{folder}` has a `{taken}` already, and nothing is written over it; name another folder"
            )));
        }
        let new_folder = !self.folder.exists();
        let written = fs::create_dir_all(&self.folder).and_then(|()| write_all(&self.folder));
        if let Err(error) = written {
            if new_folder {
                // only where it is empty
                let _ = fs::remove_dir(&self.folder);
            }
            return Err(Stop::said(format!("nothing was written to `{folder}`: {error}")));
        }
        let show = self.folder.join("show.fantail");
        let out = output.results();
        writeln!(out, "{}  the gear and its cables", self.folder.join("rig.fantail").display())?;
        writeln!(out, "{}  what must reach where; the file to check and plan", show.display())?;
        writeln!(out, "Next: fantail plan {}", show.display())?;
        Ok(Status::Done)
    }
}

/// Writes each file whole under a name of its own, then gives all their names; takes back what was done
/// where one of them fails.
fn write_all(folder: &Path) -> io::Result<()> {
    let mut made = Vec::new();
    let result = FILES.iter().try_for_each(|(name, text)| write_one(folder, name, text, &mut made));
    if result.is_err() {
        for path in &made {
            let _ = fs::remove_file(path);
        }
    }
    result
}

fn write_one(folder: &Path, name: &str, text: &str, made: &mut Vec<PathBuf>) -> io::Result<()> {
    let draft = folder.join(format!(".{name}.{}", std::process::id()));
    let mut file = OpenOptions::new().write(true).create_new(true).open(&draft)?;
    let written = file.write_all(text.as_bytes()).and_then(|()| file.sync_all());
    // a second name fails where there is one by now; a rename would write over it
    let named = written.and_then(|()| {
        fs::hard_link(&draft, folder.join(name)).or_else(|error| no_links(error, &draft, &folder.join(name)))
    });
    let _ = fs::remove_file(&draft);
    named?;
    made.push(folder.join(name));
    Ok(())
}

/// Where a file system knows no second names, rename, as long as the name is free.
fn no_links(error: io::Error, draft: &Path, to: &Path) -> io::Result<()> {
    if error.kind() == io::ErrorKind::AlreadyExists || fs::symlink_metadata(to).is_ok() {
        return Err(error);
    }
    fs::rename(draft, to)
}
