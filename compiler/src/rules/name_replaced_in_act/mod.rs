//! Found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "name-replaced-in-act",
    code: "W009",
    severity: Severity::Note,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
