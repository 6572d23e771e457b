//! `fantail plan`: what to plug and dial in, device by device.

use crate::output::{Outcome, Output, Status, Stop};
use crate::report::{Findings, compiled};
use clap::{Args, ValueEnum};
use fantail::diagnostics::json;
use fantail::{plan, rules};
use std::path::PathBuf;

/// Plan a show: what to plug and dial in, device by device.
#[derive(Args)]
pub struct Plan {
    /// The show's root file; `-` is standard input.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Text to work from, or the whole plan as data.
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
    /// Only what is to be done at this device (text).
    #[arg(long, value_name = "NAME")]
    device: Option<String>,
    /// What holds in this act (text).
    #[arg(long, value_name = "NAME")]
    act: Option<String>,
    /// Show notes as well.
    #[arg(long)]
    notes: bool,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    Text,
    Json,
}

impl Plan {
    pub fn run(&self, output: &mut Output) -> Outcome {
        if self.format == Format::Json && (self.device.is_some() || self.act.is_some()) {
            return Err(Stop::said("the plan as data is always whole: `--device` and `--act` go with `--format text`"));
        }
        let mut compiled = compiled(&self.file);
        let plan = std::mem::take(&mut compiled.plan);
        let found = Findings::of(vec![compiled], self.notes);
        let status = found.tell(output)?;
        let result = match self.format {
            Format::Json => plan::json(&plan, &json::values(&found.sources, &found.diagnostics, rules::ALL)),
            Format::Text if status != Status::Done => return Ok(status),
            Format::Text => plan::text(&plan, self.device.as_deref(), self.act.as_deref()).map_err(Stop::Said)?,
        };
        output.results().write_all(result.as_bytes())?;
        Ok(status)
    }
}
