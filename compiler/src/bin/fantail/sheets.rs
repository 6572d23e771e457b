//! `fantail sheets`: the paper that a crew works from, written into a folder.

use crate::output::{Outcome, Output, Status, Stop};
use crate::report::{Findings, compiled};
use clap::Args;
use fantail::sheets;
use std::fs;
use std::path::PathBuf;

/// Write the paper of a show: a sheet for each person who has to act.
#[derive(Args)]
pub struct Sheets {
    /// The show's root file; `-` is standard input.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The folder to write into.
    #[arg(long, value_name = "DIR")]
    to: PathBuf,
}

impl Sheets {
    pub fn run(&self, output: &mut Output) -> Outcome {
        let mut compiled = compiled(&self.file);
        let plan = std::mem::take(&mut compiled.plan);
        let status = Findings::of(vec![compiled], false).tell(output)?;
        if status != Status::Done {
            return Ok(status);
        }
        let pack = sheets::pack(&plan);
        for file in sheets::Form::ALL.iter().flat_map(|form| sheets::write(&pack, *form)) {
            let path = self.to.join(&file.name);
            let folder = path.parent().unwrap_or(&self.to);
            let written = fs::create_dir_all(folder).and_then(|()| fs::write(&path, &file.bytes));
            written.map_err(|error| Stop::said(format!("`{}` cannot be written: {error}", path.display())))?;
        }
        Ok(status)
    }
}
