//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "track-records-silence",
    code: "X010",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
