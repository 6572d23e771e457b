//! One thing is said twice in a row; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "attribute-twice",
    code: "S013",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
