//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "no-such-setting",
    code: "X015",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
