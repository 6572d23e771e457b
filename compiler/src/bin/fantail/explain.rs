//! `fantail explain`: a rule's page, or the catalogue.

use crate::output::{Outcome, Output, Status, Stop};
use clap::Args;
use fantail::rules::{self, Rule};
use std::io::{self, Write};

/// Explain a rule: why it is there, an example, and the usual fix; without a name, list them all.
#[derive(Args)]
pub struct Explain {
    /// Its name (`phantom-missing`), its code (`C001`), or a word: then the rules that hold it are listed.
    rule: Option<String>,
}

impl Explain {
    pub fn run(&self, output: &mut Output) -> Outcome {
        match &self.rule {
            None => catalogue(output.results(), rules::ALL)?,
            Some(name) => match (rules::find(name), rules::holding(name)) {
                (Some(rule), _) => page(output.results(), rule)?,
                (None, rules) if rules.is_empty() => return Err(unknown(name)),
                (None, rules) => catalogue(output.results(), &rules)?,
            },
        }
        Ok(Status::Done)
    }
}

fn unknown(name: &str) -> Stop {
    let guess = rules::did_you_mean(name).map(|slug| format!("did you mean `{slug}`? "));
    Stop::said(format!("there is no rule `{name}`; {}`fantail explain` lists them all", guess.unwrap_or_default()))
}

fn page(out: &mut dyn Write, rule: &Rule) -> io::Result<()> {
    writeln!(out, "{}", rule.page.trim_end())?;
    writeln!(out, "\n---\ncode {}, {}", rule.code, rule.severity.word())?;
    if !rule.prerequisites.is_empty() {
        writeln!(out, "said only where these are silent: {}", rule.prerequisites.join(", "))?;
    }
    Ok(())
}

fn catalogue(out: &mut dyn Write, rules: &[Rule]) -> io::Result<()> {
    let width = rules.iter().map(|rule| rule.slug.len()).max().unwrap_or(0);
    for (letter, title) in rules::GROUPS {
        let group: Vec<_> = rules.iter().filter(|rule| rule.code.starts_with(*letter)).collect();
        if group.is_empty() {
            continue;
        }
        writeln!(out, "{title}")?;
        for rule in group {
            let (code, slug, severity) = (rule.code, rule.slug, rule.severity.word());
            writeln!(out, "  {code}  {slug:<width$}  {severity:<7}  {}", rule.summary())?;
        }
        writeln!(out)?;
    }
    writeln!(out, "`fantail explain NAME` shows a rule's page.")
}
