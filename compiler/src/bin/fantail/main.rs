//! The command. Each subcommand is a file that says what it takes and does; everything that can be
//! known about a show is the library's. Exit status: 0 done, 1 the patch has errors, 2 could not run.

mod check;
mod compare;
mod explain;
mod git;
mod meaning;
mod merge;
mod output;
mod plan;
mod report;
mod sheets;
mod start;
mod tidy;
mod trace;

use clap::{Parser, Subcommand};
use output::Output;
use std::process::ExitCode;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Audio patches for live shows: from what must reach where to what to plug and dial in.
#[derive(Parser)]
#[command(name = "fantail", version, arg_required_else_help = true)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
    /// Colour in messages; `auto` is on a terminal only, and NO_COLOR turns it off.
    #[arg(long, visible_alias = "color", global = true, value_enum, default_value = "auto", value_name = "WHEN")]
    colour: output::Colour,
}

#[derive(Subcommand)]
enum Command {
    Check(check::Check),
    Plan(plan::Plan),
    Trace(trace::Trace),
    Sheets(sheets::Sheets),
    Compare(compare::Compare),
    Explain(explain::Explain),
    Start(start::Start),
    Tidy(tidy::Tidy),
    Merge(merge::Merge),
    Meaning(meaning::Meaning),
    Git(git::Git),
}

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(stop) => {
            // a closed pipe is no reason to fail
            let _ = stop.print();
            return ExitCode::from(u8::try_from(stop.exit_code()).unwrap_or(2));
        }
    };
    let mut output = Output::new(arguments.colour);
    let done = match &arguments.command {
        Command::Check(check) => check.run(&mut output),
        Command::Plan(plan) => plan.run(&mut output),
        Command::Trace(trace) => trace.run(&mut output),
        Command::Sheets(sheets) => sheets.run(&mut output),
        Command::Compare(compare) => compare.run(&mut output),
        Command::Explain(explain) => explain.run(&mut output),
        Command::Start(start) => start.run(&mut output),
        Command::Tidy(tidy) => tidy.run(&mut output),
        Command::Merge(merge) => merge.run(&mut output),
        Command::Meaning(meaning) => meaning.run(&mut output),
        Command::Git(git) => git.run(&mut output),
    };
    output.finish(done)
}
