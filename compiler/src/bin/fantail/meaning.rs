//! `fantail meaning`: what a file says, for who compares two versions of it line by line.

use crate::output::{Outcome, Output, Status, Stop};
use clap::Args;
use fantail::merge::meaning;
use fantail::project::{Disk, Files};
use std::path::PathBuf;

/// Say what a file says, one attribute a line, whatever its layout and order.
#[derive(Args)]
pub struct Meaning {
    #[arg(value_name = "FILE")]
    file: PathBuf,
}

impl Meaning {
    pub fn run(&self, output: &mut Output) -> Outcome {
        let bytes = Disk.read(&self.file);
        let bytes = bytes.map_err(|error| Stop::said(format!("`{}` cannot be read: {error}", self.file.display())))?;
        output.results().write_all(meaning(&String::from_utf8_lossy(&bytes)).as_bytes())?;
        Ok(Status::Done)
    }
}
