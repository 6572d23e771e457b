//! Found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "which-desk",
    code: "W008",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
