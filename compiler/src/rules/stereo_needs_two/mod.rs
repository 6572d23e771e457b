//! Found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "stereo-needs-two",
    code: "W003",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
