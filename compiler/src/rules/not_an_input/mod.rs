//! Found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "not-an-input",
    code: "W005",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
