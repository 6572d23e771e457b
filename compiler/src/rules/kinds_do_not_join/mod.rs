//! Found by `rig` and `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "kinds-do-not-join",
    code: "R007",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
