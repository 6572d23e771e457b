//! Found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "mix-said-twice",
    code: "W004",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
