//! Found by `rig` and `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "no-such-point",
    code: "R002",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
