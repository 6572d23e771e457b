//! `fantail plan`: what to plug and dial in, device by device.

use crate::output::{Outcome, Output, Status, Stop};
use crate::report::{Findings, compiled};
use clap::{Args, ValueEnum};
use fantail::diagnostics::json;
use fantail::{Compiled, plan, rules};
use std::path::{Path, PathBuf};

/// Plan a show: what to plug and dial in, device by device.
#[derive(Args)]
pub struct Plan {
    /// The show's root file; `-` is standard input.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// A second file, which a plan cannot have.
    #[arg(hide = true)]
    more: Vec<PathBuf>,
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
        if let Some(second) = self.more.first() {
            let (first, second) = (self.file.display(), second.display());
            return Err(Stop::said(format!(
                "a plan is of one file: plan `{first}` and `{second}` apart, or name the one that includes the other"
            )));
        }
        let mut compiled = compiled(&self.file);
        let nothing = nothing_asked(&self.file, &compiled);
        let plan = std::mem::take(&mut compiled.plan);
        let found = Findings::of(vec![compiled], self.notes);
        let status = found.tell(output)?;
        let result = match self.format {
            Format::Json => plan::json(&plan, &json::values(&found.sources, &found.diagnostics, rules::ALL)),
            Format::Text if status != Status::Done => return Ok(status),
            Format::Text => plan::text(&plan, self.device.as_deref(), self.act.as_deref()).map_err(Stop::Said)?,
        };
        output.results().write_all(result.as_bytes())?;
        if let Some(why) = nothing.filter(|_| status == Status::Done) {
            output.warn(&why)?;
        }
        Ok(status)
    }
}

/// What to tell of a file in which no row asks for anything: its plan is empty, and that is rarely meant.
fn nothing_asked(file: &Path, compiled: &Compiled) -> Option<String> {
    let name = file.display();
    let gear = !compiled.plan.devices.is_empty();
    compiled.wanted.is_empty().then(|| match gear {
        true => {
            format!("`{name}` says what gear there is, and no row asks for anything: plan the file that has the rows")
        }
        false => format!("`{name}` has no gear and no rows, so the plan is empty"),
    })
}
