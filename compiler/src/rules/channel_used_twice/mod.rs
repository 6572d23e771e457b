//! Found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "channel-used-twice",
    code: "W001",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
