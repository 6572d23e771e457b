//! Phantom asked for on what it can damage or make thump.

use crate::diagnostics::Edit;
use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::phantom_missing::changed_mic;
use crate::rules::{Facts, Seen};
use crate::source::Span;
use crate::syntax::ast::PhantomPolicy;
use crate::wants::Source;

pub const RULE: Rule = Rule {
    slug: "phantom-forbidden",
    code: "C002",
    severity: Severity::Error,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_row(told)
}

fn told(seen: &Seen, source: &Source) -> Option<Diagnostic> {
    let mic = source.mic.as_ref()?;
    let span = source.phantom.filter(|_| mic.kind.phantom == PhantomPolicy::Never)?;
    let row = seen.scene.rows.get(source.row)?;
    let message = format!("`{}` is a {}, which must not get phantom", row.name, mic.label);
    if let Some(said) = changed_mic(source, row.span)
        && row.span.holds(span)
    {
        let (end, text) = (Span { start: said.span.end, ..said.span }, " no phantom".to_string());
        return Some(
            Diagnostic::error(RULE.slug, said.span, message)
                .label(span, "the row asks for it here")
                .help(format!("write `change input {} {} no phantom`", row.name, said.value))
                .fix("add `no phantom`", vec![Edit { span: end, text }], false)
                .about(row.name.clone()),
        );
    }
    let problem = Diagnostic::error(RULE.slug, span, message)
        .help("take `phantom` out; if the piece is made for 48 V, declare it with a kind that is")
        .about(row.name.clone());
    // Taken out of a change that says nothing else it would leave half a line.
    let in_a_row = seen.scene.rows.iter().any(|row| row.span.holds(span));
    Some(match in_a_row {
        true => problem.fix("take `phantom` out", vec![Edit { span, text: String::new() }], false),
        false => problem,
    })
}
