//! `fantail trace`: the whole path of a source or a point, a hop a line.

use crate::output::{Outcome, Output, Status, Stop};
use crate::report::{Findings, compiled};
use clap::{Args, ValueEnum};
use fantail::plan::{self, TraceError};
use fantail::syntax::words::OUTPUT_USES;
use std::path::PathBuf;

/// Follow a source or a point upstream and down, a hop a line, with every number it has on the way.
#[derive(Args)]
pub struct Trace {
    /// The show's root file; `-` is standard input.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// A source (`kick-in`), a point (`stage-left.out 7`), a label (`PA left`) or a use (`wedge`); several words
    /// need no quotes.
    #[arg(required = true, value_name = "WHAT")]
    what: Vec<String>,
    /// Text to read, or data.
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
}

#[derive(Clone, Copy, ValueEnum)]
enum Format {
    Text,
    Json,
}

impl Trace {
    pub fn run(&self, output: &mut Output) -> Outcome {
        let mut compiled = compiled(&self.file);
        let plan = std::mem::take(&mut compiled.plan);
        let found = Findings::of(vec![compiled], false);
        // Of a show that has a plan, what it warns of is for `check` to tell.
        if found.status != Status::Done {
            return found.tell(output);
        }
        let status = found.status;
        let trace = plan::trace(&plan, &self.what.join(" ")).map_err(|why| Stop::said(why_not(&why)))?;
        let result = match self.format {
            Format::Text => trace.text(),
            Format::Json => trace.json(),
        };
        output.results().write_all(result.as_bytes())?;
        Ok(status)
    }
}

/// A use is no name: that no output has it is an answer.
fn why_not(why: &TraceError) -> String {
    match why {
        TraceError::Unknown { what, .. } if OUTPUT_USES.contains(&what.as_str()) => format!("no output is for {what}"),
        _ => why.to_string(),
    }
}
