//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "pinned-twice",
    code: "X014",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
