//! Found by `rig`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "which-bank",
    code: "R005",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
