//! The checks of the finished plan, in order. A check keeps quiet where a rule that it builds on has
//! spoken: one cause, one message.

use super::Facts;
use crate::diagnostics::Diagnostic;

/// A check, under the slug of its rule.
type Check = (&'static str, fn(&Facts) -> Vec<Diagnostic>);

/// Adding a check is a line here.
static CHECKS: &[Check] = &[];

/// What the checks have to say, given what has been said.
pub fn check(facts: &Facts, said: &[Diagnostic]) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (slug, check) in CHECKS {
        let prerequisites = super::find(slug).map_or(&[][..], |rule| rule.prerequisites);
        let failed = |diagnostic: &&Diagnostic| prerequisites.contains(&diagnostic.rule);
        if said.iter().chain(&found).find(failed).is_none() {
            let more = check(facts);
            found.extend(more);
        }
    }
    found
}
