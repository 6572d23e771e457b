//! A row of the house in whose place every act has one of its own.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::Facts;
use crate::wants::{Replaced, Scene};

pub const RULE: Rule = Rule {
    slug: "replaced-in-every-act",
    code: "C031",
    severity: Severity::Warning,
    prerequisites: &["act-replaces-part-of-a-row", "source-replaced-in-act"],
    page: include_str!("rule.md"),
};

/// Where more acts than these replace a row, the first show which.
const SHOWN: usize = 4;

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    let Some((first, others)) = facts.scenes.split_first() else { return Vec::new() };
    let in_all = |row: &Replaced| {
        let others = others.iter().map(|scene| by_in(scene, row)).collect::<Option<Vec<_>>>()?;
        Some((row.clone(), others))
    };
    first.rows_replaced.iter().filter_map(in_all).map(|(row, others)| told(&row, &others)).collect()
}

fn by_in<'s>(scene: &'s Scene, row: &Replaced) -> Option<&'s Replaced> {
    scene.rows_replaced.iter().find(|own| own.row == row.row)
}

fn told(row: &Replaced, others: &[&Replaced]) -> Diagnostic {
    let acts = if others.is_empty() { "the only act" } else { "every act" };
    let lost = if row.source { "is never plugged in" } else { "never holds" };
    let message = format!("the house's row `{}` {lost}: {acts} has another in its place", row.name);
    let help = match row.source {
        true => "move it into the act that it belongs to, or give it a channel and a socket of its own",
        false => "move it into the act that it belongs to, or take it out",
    };
    let problem = Diagnostic::warning(RULE.slug, row.row, message).help(help).about(row.name.clone());
    let by = std::iter::once(row).chain(others.iter().copied()).take(SHOWN);
    by.fold(problem, |problem, own| problem.label(own.at, format!("`{}` stands there instead", own.by)))
}
