//! A microphone that phantom can destroy plugs in where the act before had it on.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::Facts;
use crate::rules::phantom_left_from_act_before::left_on;

pub const RULE: Rule = Rule {
    slug: "phantom-left-on-a-ribbon",
    code: "C083",
    severity: Severity::Error,
    prerequisites: &["phantom-forbidden", "phantom-shared-switch"],
    page: include_str!("rule.md"),
};

/// What gives microphone level and never takes phantom: a passive ribbon, a receiver's output.
pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    left_on(
        facts,
        |kind| kind.signal == "mic",
        |at, message, free| {
            let help = free.map_or_else(
                || "plug it in where no act before it has 48 V on".to_string(),
                |free| format!("plug it into `{free}`, which had no 48 V"),
            );
            Diagnostic::error(RULE.slug, at, message).help(help)
        },
    )
}
