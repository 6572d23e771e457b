//! Found by `rig`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "which-port",
    code: "R012",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
