//! `fantail git`: has git show what changed in a show, and merge shows row by row; says how that stands, and
//! takes it back. It writes settings of one repository and nothing else.

mod blocks;
mod repository;

use crate::output::{Outcome, Output, Status, Stop};
use clap::{Args, Subcommand};
use repository::{Repository, ask, has, put, take};
use std::env;

/// Have git compare and merge shows by what they say; without a word more, say how that stands.
#[derive(Args)]
pub struct Git {
    #[command(subcommand)]
    what: Option<What>,
}

#[derive(Subcommand)]
enum What {
    /// Turn it on in this repository.
    On {
        /// Say which files in `.gitattributes`, which is committed, and not for this clone alone.
        #[arg(long)]
        shared: bool,
    },
    /// Take out what `on` put in.
    Off,
    /// Print a hook that checks shows as they are staged, before each commit.
    Hook,
}

const ATTRIBUTES: &str = "*.fantail diff=fantail merge=fantail\n";

const HOOK: &str = include_str!("hook.sh");

impl Git {
    pub fn run(&self, output: &mut Output) -> Outcome {
        match self.what {
            Some(What::Hook) => {
                let hook = HOOK.replace("PROGRAM", &program()?);
                output.results().write_all(hook.as_bytes())?;
                Ok(Status::Done)
            }
            Some(What::On { shared }) => on(output, shared),
            Some(What::Off) => off(output),
            None => stands(output),
        }
    }
}

fn on(output: &mut Output, shared: bool) -> Outcome {
    let repository = Repository::here()?;
    let drivers = drivers(&program()?);
    let attributes = if shared { &repository.shared } else { &repository.own };
    // A file that names a driver which is not set is merged as any other text: settings come first.
    let changed = [put(&repository.config, &drivers)?, put(attributes, ATTRIBUTES)?];
    let out = output.results();
    match changed.contains(&true) {
        true => writeln!(out, "on: git compares and merges `*.fantail` by what it says")?,
        false => writeln!(out, "on already: nothing was changed")?,
    }
    writeln!(out, "  drivers     {}\n  attributes  {}", repository.config.display(), attributes.display())?;
    if shared {
        writeln!(out, "Commit `.gitattributes`; who has no fantail merges as before.")?;
    }
    Ok(Status::Done)
}

fn off(output: &mut Output) -> Outcome {
    let repository = Repository::here()?;
    let changed = [take(&repository.own)?, take(&repository.shared)?, take(&repository.config)?];
    let said = if changed.contains(&true) { "off: what `on` put in is taken out" } else { "off already" };
    writeln!(output.results(), "{said}")?;
    Ok(Status::Done)
}

fn stands(output: &mut Output) -> Outcome {
    let repository = Repository::here()?;
    let set = repository.is_set()?;
    let (own, shared) = (has(&repository.own)?, has(&repository.shared)?);
    let applied = ask(&["check-attr", "merge", "--", "x.fantail"])?.ends_with(": fantail");
    let out = output.results();
    let yes = |yes| if yes { "yes" } else { "no" };
    writeln!(out, "{}", if set && applied { "on" } else { "off" })?;
    writeln!(out, "  drivers set                {}", yes(set))?;
    writeln!(out, "  attributes, this clone     {}", yes(own))?;
    writeln!(out, "  attributes, shared         {}", yes(shared))?;
    writeln!(out, "  attributes hold at the top {}", yes(applied))?;
    Ok(Status::Done)
}

/// This program, as a shell reads it.
fn program() -> Result<String, Stop> {
    let path = env::current_exe().map_err(|error| Stop::said(format!("this program has no path: {error}")))?;
    match path.to_str().filter(|path| !path.contains('\n')) {
        Some(path) => Ok(quoted(path)),
        None => Err(Stop::said("this program's path has letters that git's settings cannot hold")),
    }
}

fn quoted(path: &str) -> String {
    format!("'{}'", path.replace('\'', "'\\''"))
}

/// Where fantail is not there any more, or cannot run, git compares and merges the lines as they stand. What two
/// merged branches began with may be a merge of its own, which no work tree ever sees: git asks another driver.
fn drivers(program: &str) -> String {
    let textconv = format!("says() {{ {program} meaning \"$1\" 2>/dev/null || cat \"$1\"; }}; says");
    // A sign of percent begins what git fills in.
    let program = program.replace('%', "%%");
    let merge = |more: &str| {
        format!(
            "{program} merge %O %A %B --path=%P --marker-size %L --labels %X %S %Y{more} \
             --style \"$(git config --default merge --get merge.conflictStyle)\"; \
             case $? in 0) exit 0;; 1) exit 1;; esac; \
             git merge-file --marker-size=%L -L %X -L %S -L %Y %A %O %B"
        )
    };
    let value = |text: &str| format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""));
    format!(
        "[diff \"fantail\"]\n\ttextconv = {}\n\txfuncname = \"^[^ ].*$\"\n\
         [merge \"fantail\"]\n\tname = shows, row by row\n\tdriver = {}\n\trecursive = fantail-inner\n\
         [merge \"fantail-inner\"]\n\tname = what shows began with\n\tdriver = {}\n",
        value(&textconv),
        value(&merge("")),
        value(&merge(" --inner"))
    )
}
