//! Found by `rig` and `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "level-mismatch",
    code: "R008",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
