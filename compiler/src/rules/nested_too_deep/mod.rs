//! More than 128 brackets are open at once; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "nested-too-deep",
    code: "S024",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
