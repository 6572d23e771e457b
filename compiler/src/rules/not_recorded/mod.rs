//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "not-recorded",
    code: "X011",
    severity: Severity::Note,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
