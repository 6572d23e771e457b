//! A name that nothing has; found by `rig` and `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "unknown-name",
    code: "R001",
    severity: Severity::Error,
    prerequisites: &["unreadable-row", "name-declared-twice"],
    page: include_str!("rule.md"),
};
