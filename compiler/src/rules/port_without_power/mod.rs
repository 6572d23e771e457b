//! Found by `rig`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "port-without-power",
    code: "R015",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
