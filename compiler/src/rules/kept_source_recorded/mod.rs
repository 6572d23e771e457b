//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "kept-source-recorded",
    code: "X012",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
