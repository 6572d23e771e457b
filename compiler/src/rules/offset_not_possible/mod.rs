//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "offset-not-possible",
    code: "X016",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
