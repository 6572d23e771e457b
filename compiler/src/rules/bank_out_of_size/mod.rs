//! Found by `rig`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "bank-out-of-size",
    code: "R018",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
