//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "not-cabled",
    code: "X007",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
