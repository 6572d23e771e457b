//! Found by `rig`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "bank-without-direction",
    code: "R017",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
