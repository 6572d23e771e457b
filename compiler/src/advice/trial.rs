//! Compiling an edited text without touching any file.

use crate::Analysis;
use crate::diagnostics::{Diagnostic, Edit};
use crate::project::Files;
use crate::route::{Effort, Unit};
use crate::source::{FileId, Sources};
use crate::wants::Target;
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::{Path, PathBuf};

/// The files of an analysis, ready to be edited and compiled again.
pub struct Trial<'a> {
    root: &'a Path,
    files: &'a dyn Files,
    sources: &'a Sources,
    /// What else is wrong, which an edit need not mend.
    others: Vec<(&'static str, String)>,
    effort: Effort,
}

/// Which row of another conflict is left out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Leave {
    First,
    Last,
}

/// A row by its name and desk, in every act.
pub type RowKey = (String, Option<String>);

fn row_key(analysis: &Analysis, unit: Unit) -> Option<RowKey> {
    let scene = analysis.scenes.get(unit.scene)?;
    let row = scene.rows.get(unit.row)?;
    Some((row.name.clone(), row.desk.map(|desk| scene.rig.device_name(desk).to_string())))
}

/// A row, and those that declare the sources it wants: without them it wants nothing.
fn with_declaring(analysis: &Analysis, unit: Unit) -> BTreeSet<RowKey> {
    let Some(scene) = analysis.scenes.get(unit.scene) else { return BTreeSet::new() };
    let declaring = scene.wants.iter().filter(|want| want.row == unit.row).filter_map(|want| match want.what {
        Target::Source(source) => scene.source(source).map(|source| source.row),
        Target::Point(_) => None,
    });
    let rows = declaring.chain([unit.row]).filter_map(|row| row_key(analysis, Unit { row, ..unit }));
    rows.collect()
}

/// Decisions that one search of a trial may take, and more for each want in it: a change that needs more is no simple one.
const BUDGET: u32 = 400;
const BUDGET_A_WANT: u32 = 4;

impl<'a> Trial<'a> {
    /// A trial of edits that should mend one conflict, or several at once. Of every other conflict one row is
    /// left out, without which the others hold, but never a row of these: an edit must get along with those. A
    /// conflict that has rows of these only may stay as it is.
    pub fn new(
        root: &'a Path,
        files: &'a dyn Files,
        analysis: &'a Analysis,
        conflicts: &[usize],
        leave: Leave,
    ) -> Self {
        let told = |index: usize| analysis.told.iter().any(|(told, _)| *told == index);
        let key = |diagnostic: &Diagnostic| (diagnostic.rule, diagnostic.message.clone());
        let other = |(index, diagnostic): &(usize, &Diagnostic)| diagnostic.is_error() && !told(*index);
        let mut others: Vec<_> = analysis.found.iter().enumerate().filter(other).map(|(_, d)| key(d)).collect();
        let mut own: BTreeSet<RowKey> = BTreeSet::new();
        for (_, units) in analysis.told.iter().filter(|(index, _)| conflicts.contains(index)) {
            own.extend(units.iter().flat_map(|unit| with_declaring(analysis, *unit)));
        }
        let mut without = Vec::new();
        for (index, units) in analysis.told.iter().filter(|(index, _)| !conflicts.contains(index)) {
            let mut free = units.iter().filter_map(|unit| row_key(analysis, *unit)).filter(|row| !own.contains(row));
            let free = match leave {
                Leave::First => free.next(),
                Leave::Last => free.next_back(),
            };
            match free {
                Some(row) => without.push(row),
                None => others.extend(analysis.found.get(*index).map(key)),
            }
        }
        let effort = Effort { budget: BUDGET, a_want: BUDGET_A_WANT, explain: false, without };
        Trial { root, files, sources: &analysis.project.sources, others, effort }
    }

    /// The rows that are left out.
    pub fn leaves(&self) -> &[RowKey] {
        &self.effort.without
    }

    /// Does the edited text compile, but for what else is wrong?
    pub fn works(&self, edits: &[Edit]) -> bool {
        let Some(texts) = self.edited(edits) else { return false };
        let files = Edited { base: self.files, texts };
        let analysis = crate::analyse_with(self.root, &files, &self.effort);
        let mut left = self.others.clone();
        analysis.found.iter().filter(|diagnostic| diagnostic.is_error()).all(|diagnostic| {
            let known = left.iter().position(|(rule, said)| *rule == diagnostic.rule && *said == diagnostic.message);
            known.map(|index| left.swap_remove(index)).is_some()
        })
    }

    fn edited(&self, edits: &[Edit]) -> Option<BTreeMap<PathBuf, String>> {
        let mut texts = BTreeMap::new();
        for file in self.sources.iter() {
            let path = match &file.path {
                Some(path) => path.clone(),
                None if edits.iter().any(|edit| edit.span.file == file.id) => self.root.to_path_buf(),
                None => continue,
            };
            texts.insert(self.files.canonical(&path), apply(&file.text, file.id, edits)?);
        }
        Some(texts)
    }
}

/// The text with its edits applied, last first; `None` where an edit does not fit it.
pub fn apply(text: &str, file: FileId, edits: &[Edit]) -> Option<String> {
    let mut own: Vec<&Edit> = edits.iter().filter(|edit| edit.span.file == file).collect();
    own.sort_by_key(|edit| std::cmp::Reverse(edit.span.start));
    let mut text = text.to_string();
    for edit in own {
        let range = edit.span.range();
        if range.end > text.len() || !text.is_char_boundary(range.start) || !text.is_char_boundary(range.end) {
            return None;
        }
        text.replace_range(range, &edit.text);
    }
    Some(text)
}

struct Edited<'a> {
    base: &'a dyn Files,
    texts: BTreeMap<PathBuf, String>,
}

impl Files for Edited<'_> {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        match self.texts.get(&self.base.canonical(path)) {
            Some(text) => Ok(text.clone().into_bytes()),
            None => self.base.read(path),
        }
    }

    fn canonical(&self, path: &Path) -> PathBuf {
        self.base.canonical(path)
    }

    fn is_part(&self) -> bool {
        self.base.is_part()
    }
}
