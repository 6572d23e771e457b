//! Found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "no-desk",
    code: "W007",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
