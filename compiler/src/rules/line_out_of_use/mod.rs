//! Found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "line-out-of-use",
    code: "W002",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
