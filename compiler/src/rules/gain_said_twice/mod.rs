//! Found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "gain-said-twice",
    code: "W010",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
