//! The plan and its proof differ: a bug of the compiler, said as one.

use crate::diagnostics::Diagnostic;
use crate::project::Show;
use crate::source::{FileId, Span};
use crate::verify::Difference;

pub fn differences(show: &Show, differences: &[Difference]) -> Vec<Diagnostic> {
    let span = show.head.as_ref().map_or_else(|| Span::new(show.root.unwrap_or(FileId(0)), 0, 0), |head| head.span);
    let told = |difference: &Difference| {
        Diagnostic::error(
            "plan-not-proven",
            span,
            format!("the plan and its proof differ, so the plan is withheld: {difference}"),
        )
        .help("this is a bug of the compiler, not of the patch: please report it with these files")
    };
    differences.iter().take(5).map(told).collect()
}
