//! Found by `rig`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "unlike-carriers",
    code: "R013",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
