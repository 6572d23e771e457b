//! The two streams and the exit status. A reader that went away is no failure: what it did not want is
//! dropped, and nothing is said about it.

use clap::ValueEnum;
use fantail::diagnostics::{human::Look, plain_lines};
use std::io::{self, BufWriter, ErrorKind, IsTerminal, Write};
use std::process::ExitCode;

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Colour {
    Auto,
    Always,
    Never,
}

/// How a command ended that could run.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Status {
    Done,
    /// The patch has errors.
    Errors,
    /// Something was asked for that could not be done, and has been said.
    NotRun,
}

/// Why a command could not run.
pub enum Stop {
    /// To be told on standard error.
    Said(String),
    Output(io::Error),
}

impl Stop {
    pub fn said(message: impl Into<String>) -> Self {
        Stop::Said(message.into())
    }
}

impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Self {
        Stop::Output(error)
    }
}

pub type Outcome = Result<Status, Stop>;

pub struct Output {
    colour: Colour,
    results: BufWriter<io::Stdout>,
    messages: BufWriter<io::Stderr>,
}

impl Output {
    pub fn new(colour: Colour) -> Self {
        Output { colour, results: BufWriter::new(io::stdout()), messages: BufWriter::new(io::stderr()) }
    }

    /// Standard output: what was asked for.
    pub fn results(&mut self) -> &mut dyn Write {
        &mut self.results
    }

    /// Standard error: what there is to tell about it.
    pub fn messages(&mut self) -> &mut dyn Write {
        &mut self.messages
    }

    /// How messages are drawn there.
    pub fn look(&self) -> Look {
        let set = |name| std::env::var_os(name).filter(|value| !value.is_empty());
        let dumb = set("TERM").is_some_and(|term| term == "dumb");
        let colour = match self.colour {
            Colour::Always => true,
            Colour::Never => false,
            Colour::Auto => io::stderr().is_terminal() && set("NO_COLOR").is_none() && !dumb,
        };
        Look { colour, ascii: dumb }
    }

    /// Writes out what is left and turns the outcome into the exit status.
    pub fn finish(mut self, outcome: Outcome) -> ExitCode {
        let outcome = outcome.and_then(|status| {
            self.results.flush()?;
            Ok(status)
        });
        let status = match outcome {
            Ok(status) => status,
            Err(Stop::Output(error)) if error.kind() == ErrorKind::BrokenPipe => Status::Done,
            Err(Stop::Output(error)) => self.say(&format!("the result could not be written: {error}")),
            Err(Stop::Said(message)) => self.say(&message),
        };
        // with standard error closed there is nobody left to tell
        let _ = self.messages.flush();
        ExitCode::from(status as u8)
    }

    /// Something to mind about a result that was given.
    pub fn warn(&mut self, message: &str) -> io::Result<()> {
        match writeln!(self.messages, "fantail: {}", plain_lines(message)) {
            Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(error),
            _ => Ok(()),
        }
    }

    fn say(&mut self, message: &str) -> Status {
        let _ = writeln!(self.messages, "fantail: {}", plain_lines(message));
        Status::NotRun
    }
}
