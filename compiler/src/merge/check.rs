//! A merged file checked as the shows that it is part of. What neither side was told by itself is told, and an
//! error, such as one socket given away twice, is no clean merge: the changed rows that it points at are marked. So
//! is a warning of what can hurt; any other is told again by each later check.

use super::Merged;
use crate::diagnostics::{Diagnostic, Severity};
use crate::project::Files;
use crate::project::files::Overlay;
use crate::rules::{Rule, find};
use crate::source::{Sources, Span};
use crate::{Compiled, compile};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// What the merged file is told and neither side is, with the texts that it points into.
pub struct News {
    pub sources: Sources,
    pub diagnostics: Vec<Diagnostic>,
    /// How many pieces were marked, where the merge may not pass for clean.
    pub marked: Option<usize>,
}

impl Merged<'_> {
    /// Compiles the result in the file's place, as part of that root; other files are as they lie there.
    pub fn check<F: Files + Clone>(&mut self, path: &Path, root: &Path, files: &F) -> Option<News> {
        let file = files.canonical(path);
        let with = |text: &str| {
            let texts = BTreeMap::from([(file.clone(), text.to_string())]);
            compile(root, &Overlay { base: files.clone(), texts })
        };
        let Compiled { sources, mut diagnostics, .. } = with(&self.plain());
        diagnostics.retain(|told| told.severity != Severity::Note);
        if diagnostics.is_empty() {
            return None;
        }
        let sides = [self.versions.ours, self.versions.theirs];
        let known: BTreeSet<_> = sides.iter().flat_map(|side| known(&with(side))).collect();
        diagnostics.retain(|told| identities(told, &sources).iter().all(|identity| !known.contains(identity)));
        let stops = diagnostics.iter().filter(|told| stops(told));
        let lines: Vec<_> = stops.map(|told| pointed(told, &sources, &file)).collect();
        let marked = (!lines.is_empty()).then(|| self.mark(&lines.concat().into_iter().collect()));
        (!diagnostics.is_empty()).then_some(News { sources, diagnostics, marked })
    }
}

/// In the middle of a rebase nobody reads what is only told.
fn stops(told: &Diagnostic) -> bool {
    told.is_error() || find(told.rule).is_some_and(Rule::can_hurt)
}

fn known(compiled: &Compiled) -> Vec<(&'static str, String)> {
    compiled.diagnostics.iter().flat_map(|told| identities(told, &compiled.sources)).collect()
}

/// By either it is known again: what it says may count or list what the other side has more of.
fn identities(told: &Diagnostic, sources: &Sources) -> [(&'static str, String); 2] {
    let text = sources.get(told.span.file).map_or("", |file| file.text.as_str());
    let (before, after) = text.split_at_checked(told.span.range().start).unwrap_or((text, ""));
    let line = before.rsplit('\n').next().into_iter().chain(after.split('\n').next());
    [(told.rule, told.told()), (told.rule, format!("\n{}", line.collect::<String>().trim()))]
}

/// The lines (from 0) of the file that it speaks of.
fn pointed(told: &Diagnostic, sources: &Sources, file: &Path) -> Vec<usize> {
    let spans = told.labels.iter().map(|label| label.span).chain([told.span]);
    let lines = |span: Span| {
        let found = sources.get(span.file).filter(|found| found.path.as_deref() == Some(file));
        let line = |at: usize| found.and_then(|found| found.text.get(..at)).map(|before| before.matches('\n').count());
        let Some((first, last)) = line(span.range().start).zip(line(span.range().end)) else { return 0..0 };
        first..last + 1
    };
    spans.flat_map(lines).collect()
}
