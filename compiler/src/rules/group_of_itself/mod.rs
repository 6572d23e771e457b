//! Found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "group-of-itself",
    code: "W006",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
