//! Pins past a limit; found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "pinned-past-the-limit",
    code: "X019",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
