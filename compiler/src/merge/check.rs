//! A merged file checked as the shows that it is part of. What neither side had wrong by itself, such as one
//! socket given away twice, is no clean merge: the changed rows that it points at are marked.

use super::{Merged, Versions};
use crate::diagnostics::Diagnostic;
use crate::project::Files;
use crate::project::files::Overlay;
use crate::source::{Sources, Span};
use crate::{Compiled, compile};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Errors of the merged file that neither side has, with the texts that they point into.
pub struct Clash {
    pub sources: Sources,
    pub diagnostics: Vec<Diagnostic>,
    /// How many pieces were marked for them.
    pub marked: usize,
}

impl Merged {
    /// Compiles the result in the file's place, as part of that root; other files are as they lie there.
    pub fn check<F: Files + Clone>(
        &mut self,
        versions: Versions<'_>,
        path: &Path,
        root: &Path,
        files: &F,
    ) -> Option<Clash> {
        let file = files.canonical(path);
        let with = |text: &str| {
            let texts = BTreeMap::from([(file.clone(), text.to_string())]);
            compile(root, &Overlay { base: files.clone(), texts })
        };
        let merged = with(&self.plain());
        if !merged.has_errors() {
            return None;
        }
        let known: BTreeSet<_> = [versions.ours, versions.theirs].iter().flat_map(|side| known(&with(side))).collect();
        let Compiled { sources, mut diagnostics, .. } = merged;
        let is_known = |told: &Diagnostic| identities(told, &sources).iter().any(|identity| known.contains(identity));
        diagnostics.retain(|told| told.is_error() && !is_known(told));
        if diagnostics.is_empty() {
            return None;
        }
        let lines = diagnostics.iter().flat_map(|told| pointed(told, &sources, &file)).collect();
        Some(Clash { marked: self.mark(&lines), sources, diagnostics })
    }
}

fn known(compiled: &Compiled) -> Vec<(&'static str, String)> {
    let errors = compiled.diagnostics.iter().filter(|told| told.is_error());
    errors.flat_map(|told| identities(told, &compiled.sources)).collect()
}

/// By either it is known again: what it says may count or list what the other side has more of.
fn identities(told: &Diagnostic, sources: &Sources) -> [(&'static str, String); 2] {
    let text = sources.get(told.span.file).map_or("", |file| file.text.as_str());
    let (before, after) = text.split_at_checked(told.span.range().start).unwrap_or((text, ""));
    let line = before.rsplit('\n').next().into_iter().chain(after.split('\n').next());
    [(told.rule, told.told()), (told.rule, format!("\n{}", line.collect::<String>().trim()))]
}

/// The lines (from 0) of the file that it speaks of.
fn pointed(told: &Diagnostic, sources: &Sources, file: &Path) -> BTreeSet<usize> {
    let spans = told.labels.iter().map(|label| label.span).chain([told.span]);
    let lines = |span: Span| {
        let found = sources.get(span.file).filter(|found| found.path.as_deref() == Some(file));
        let line = |at: usize| found.and_then(|found| found.text.get(..at)).map(|before| before.matches('\n').count());
        let Some((first, last)) = line(span.range().start).zip(line(span.range().end)) else { return 0..0 };
        first..last + 1
    };
    spans.flat_map(lines).collect()
}
