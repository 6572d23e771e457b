//! Found by `rig`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "bank-routed-twice",
    code: "R019",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
