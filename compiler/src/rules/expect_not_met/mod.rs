//! What the file says must hold, and does not.

mod latency;
mod reaches;
mod spare;

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::{Facts, Seen};
use crate::source::{At, Span};
use crate::syntax::ast::{Expect, Term, Terms};

pub const RULE: Rule = Rule {
    slug: "expect-not-met",
    code: "C008",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

/// Names are looked up always; whether it holds is asked only where everything else is right.
pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| {
        let acts = facts.show.acts.get(seen.number);
        let expects = acts.map_or(&facts.show.expects, |act| &act.expects);
        expects.iter().flat_map(|expect| one(seen, expect, facts.settled)).collect()
    })
}

fn one(seen: &Seen, expect: &At<Expect>, settled: bool) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    match &expect.value {
        Expect::Reaches { what, not, place } => {
            reaches::check(seen, (what, not.is_some(), place), expect.span, settled, &mut found);
        }
        Expect::Spare { on, at_least } => spare::check(seen, on.as_ref(), at_least, expect.span, settled, &mut found),
        Expect::Latency { from, to, under } => {
            latency::check(seen, (from, to), under.value, expect.span, settled, &mut found);
        }
    }
    found
}

fn not_met(span: Span, message: String) -> Diagnostic {
    Diagnostic::error(RULE.slug, span, message)
}

fn list(term: &Term) -> Terms {
    Terms { terms: vec![term.clone()], span: term.span }
}
