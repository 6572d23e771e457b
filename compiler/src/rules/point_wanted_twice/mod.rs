//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "point-wanted-twice",
    code: "X002",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
