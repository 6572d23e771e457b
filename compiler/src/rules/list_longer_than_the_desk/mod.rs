//! A list needs more channels than its desk has.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "list-longer-than-the-desk",
    code: "C077",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
