//! A second row for a replaced source; found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "source-replaced-in-act",
    code: "W013",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
