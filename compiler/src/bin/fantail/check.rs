//! `fantail check`: every diagnostic, nothing else.

use crate::output::{Outcome, Output, Status, Stop};
use crate::report::{Findings, compiled, without_parts};
use clap::{Args, ValueEnum};
use fantail::diagnostics::{Severity, github, json, sarif};
use fantail::rules;
use std::path::{Path, PathBuf};

/// Check shows: every error and warning, and nothing else.
#[derive(Args)]
pub struct Check {
    /// A show's root file, or several; `-` is standard input.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// For a person on standard error; the other forms are for programs, on standard output.
    #[arg(long, value_enum, default_value = "human")]
    format: Format,
    /// Exit with 1 where there are warnings too.
    #[arg(long, value_enum, value_name = "WHAT")]
    deny: Option<Deny>,
    /// Show notes as well: what is usually safe, and good to know.
    #[arg(long)]
    notes: bool,
}

#[derive(Clone, Copy, ValueEnum)]
enum Format {
    Human,
    Json,
    Sarif,
    Github,
}

#[derive(Clone, Copy, ValueEnum)]
enum Deny {
    Warnings,
}

impl Check {
    pub fn run(&self, output: &mut Output) -> Outcome {
        let from_input = self.files.iter().filter(|file| file.as_path() == Path::new("-")).count();
        if from_input > 1 {
            return Err(Stop::said("standard input can be read only once: give `-` once"));
        }
        let compiled = self.files.iter().map(|file| compiled(file)).collect();
        let found = Findings::of(without_parts(compiled), self.notes);
        let (sources, diagnostics) = (&found.sources, &found.diagnostics);
        match self.format {
            Format::Human => {
                found.tell_with_counts(output)?;
            }
            Format::Json => json::write(output.results(), sources, diagnostics, rules::ALL)?,
            Format::Sarif => sarif::write(output.results(), sources, diagnostics, rules::ALL)?,
            Format::Github => github::write(output.results(), sources, diagnostics)?,
        }
        let denied = self.deny.is_some() && diagnostics.iter().any(|d| d.severity == Severity::Warning);
        Ok(if denied { found.status.max(Status::Errors) } else { found.status })
    }
}
