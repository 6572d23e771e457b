//! Found by `rig` and `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "slot-past-the-link",
    code: "R016",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
