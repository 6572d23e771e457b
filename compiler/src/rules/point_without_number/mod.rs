//! Found by `rig`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "point-without-number",
    code: "R003",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
