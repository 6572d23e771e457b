//! Found by `rig`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "cable-loop",
    code: "R014",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
