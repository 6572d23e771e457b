//! Found by `rig` and `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "wrong-direction",
    code: "R004",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
