//! `allow RULE on THING because "…"`: takes out warnings and notes about that thing, and is itself
//! reported when it silences nothing.

use crate::diagnostics::{self, Diagnostic, Severity, Sort};
use crate::plan::{Allowed, range};
use crate::project::Allow;
use crate::syntax::ast::{Dotted, Term, Terms};

/// What is left to say, and what is not said any more.
pub fn apply(allows: &[Allow], found: Vec<Diagnostic>) -> (Vec<Diagnostic>, Vec<Allowed>) {
    let mut left = Vec::new();
    let mut silenced: Vec<Vec<Diagnostic>> = vec![Vec::new(); allows.len()];
    for diagnostic in found {
        let mut covered = false;
        for (allow, silenced) in allows.iter().zip(&mut silenced) {
            if diagnostic.severity != Severity::Error && allow.because.is_some() && covers(allow, &diagnostic) {
                silenced.push(diagnostic.clone());
                covered = true;
            }
        }
        if !covered {
            left.push(diagnostic);
        }
    }
    let errors = left.iter().any(Diagnostic::is_error);
    for (allow, silenced) in allows.iter().zip(&silenced) {
        left.extend(about(allow, !silenced.is_empty(), errors));
    }
    let mut allowed: Vec<Allowed> = allows.iter().zip(silenced).filter_map(|(allow, said)| of(allow, said)).collect();
    allowed.sort();
    (left, allowed)
}

fn of(allow: &Allow, mut silenced: Vec<Diagnostic>) -> Option<Allowed> {
    diagnostics::sort(&mut silenced);
    let rule = silenced.first()?.rule.to_string();
    let mut said: Vec<String> = silenced.into_iter().map(|diagnostic| diagnostic.message).collect();
    said.dedup();
    Some(Allowed {
        rule,
        on: allow.on.as_ref().map(spelled),
        act: allow.act.clone(),
        because: allow.because.as_ref()?.value.clone(),
        said,
    })
}

/// `stage-right, foh.out 3-4`
fn spelled(terms: &Terms) -> String {
    let term = |term: &Term| {
        let numbers = term.range.map(|one| range(one.first, one.last));
        let name = term.name.as_ref().map(dotted);
        name.into_iter().chain(numbers).collect::<Vec<_>>().join(" ")
    };
    terms.terms.iter().map(term).collect::<Vec<_>>().join(", ")
}

fn dotted(name: &Dotted) -> String {
    name.parts.iter().map(|part| part.value.as_str()).collect::<Vec<_>>().join(".")
}

fn covers(allow: &Allow, diagnostic: &Diagnostic) -> bool {
    let rule = allow.rule.value.as_str();
    let same_rule = diagnostic.rule == rule || super::find(rule).is_some_and(|known| known.slug == diagnostic.rule);
    let things = allow.on.as_ref().map(things).unwrap_or_default();
    same_rule && (allow.on.is_none() || diagnostic.about.iter().any(|about| things.contains(about)))
}

/// The things that `on` names, as diagnostics call them: `stage-right`, `foh.out 3`.
fn things(terms: &Terms) -> Vec<String> {
    let mut names = Vec::new();
    let mut name = String::new();
    for term in &terms.terms {
        if let Some(next) = &term.name {
            name = dotted(next);
        }
        match term.range {
            None => names.push(name.clone()),
            // A span of points is checked for size where it names points; here a few are enough.
            Some(range) => names.extend((range.first..=range.last).take(1024).map(|number| format!("{name} {number}"))),
        }
    }
    names
}

fn about(allow: &Allow, used: bool, errors: bool) -> Option<Diagnostic> {
    let rule = &allow.rule;
    let Some(known) = super::find(&rule.value) else {
        let message = format!("no rule is called `{}`", rule.value);
        let near = super::did_you_mean(&rule.value);
        return Some(Diagnostic::unknown(Sort::Word, rule.value.clone(), rule.span, message).near_or(
            rule.span,
            near,
            "`fantail explain` lists them",
        ));
    };
    if allow.because.is_none() {
        let message = format!("`allow {}` does not say why", rule.value);
        return Some(
            Diagnostic::error("allow-without-reason", allow.span, message).help("end it with `because \"…\"`"),
        );
    }
    if known.severity == Severity::Error {
        let message = format!("`{}` is an error, and errors cannot be allowed", rule.value);
        return Some(Diagnostic::error("error-not-allowed", allow.span, message).help("mend what it points at"));
    }
    // With errors a later check may not have looked at all.
    (!used && !errors).then(|| {
        let message = format!("`allow {}` silences nothing", rule.value);
        Diagnostic::warning("allow-without-effect", allow.span, message).help("take the line out")
    })
}
