//! What must hold of every show, however it was drawn. Each thing that does not is a fault with a name, by
//! which a text is made smaller while it keeps the same fault.

use super::lines::{Place, Text};
use crate::golden::{compile, shuffled};
use fantail::diagnostics::{Diagnostic, Edit, Fix};
use fantail::plan::{Plan, json};
use fantail::source::Span;
use fantail::verify::verify;
use fantail::{Analysis, Compiled};
use std::collections::{BTreeMap, BTreeSet};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

/// Rules that name a set of rows of which each must be needed.
pub const CONFLICTS: &[&str] =
    &["impossible-block", "point-wanted-twice", "offsets-clash", "modes-clash", "slots-clash", "too-few-points"];

/// A name for the fault, and what there is to see.
pub type Fault = (&'static str, String);

#[derive(Default)]
pub struct Judged {
    pub faults: Vec<Fault>,
    /// The plan, where there are no errors.
    pub plan: Option<Plan>,
    /// Errors by rule.
    pub errors: BTreeMap<&'static str, u64>,
    pub conflicts: u64,
    /// Rows in the largest conflict.
    pub largest: usize,
    pub fixes: u64,
    pub without_fix: u64,
}

/// Conflicts of one show whose rows are tried one by one.
const LOOKED_AT: usize = 3;

const ROOT: &str = "/show/show.fantail";

/// Everything of `text`; with `only`, as much as that fault needs.
pub fn judge(text: &Text, only: Option<&str>) -> Judged {
    let wants = |fault: &str| only.is_none_or(|only| only == fault);
    let mut judged = Judged::default();
    let Ok(compiled) = catch_unwind(AssertUnwindSafe(|| made(text, only))) else {
        judged.faults.push(("panic", "the compiler stopped".to_string()));
        return judged;
    };
    for error in errors(&compiled.found) {
        *judged.errors.entry(error.rule).or_default() += 1;
        if error.rule == "plan-not-proven" {
            judged.faults.push(("plan-not-proven", error.message.clone()));
        }
    }
    if judged.errors.is_empty() {
        let differences = verify(&compiled.plan, &compiled.wanted);
        judged.faults.extend(differences.first().map(|first| ("not-verified", first.to_string())));
    }
    if wants("compiled-twice") || wants("another-order") || wants("other-errors") {
        judged.faults.extend(orders(text, &compiled));
    }
    let known = |diagnostic: &&Diagnostic| CONFLICTS.contains(&diagnostic.rule);
    judged.conflicts = errors(&compiled.found).filter(known).count() as u64;
    for conflict in errors(&compiled.found).filter(known).take(LOOKED_AT) {
        let rows = rows(text, &compiled, conflict);
        judged.largest = judged.largest.max(rows.len());
        if wants("not-minimal") || wants("rows-hold") || wants("no-row") {
            judged.faults.extend(minimal(text, conflict, &rows));
        }
        let told = conflict.help.iter().any(|help| help == "move one of these rows, or take one out");
        judged.without_fix += u64::from(told && conflict.fixes.is_empty());
        if wants("fix-brings-errors") || wants("fix-does-not-mend") || wants("fix-does-not-fit") {
            for fix in &conflict.fixes {
                judged.fixes += 1;
                judged.faults.extend(mends(text, &compiled, conflict, fix));
            }
        }
    }
    if judged.errors.is_empty() {
        judged.plan = Some(compiled.plan);
    }
    judged.faults.retain(|(fault, _)| wants(fault));
    judged
}

/// A compilation as far as it is compared.
struct Made {
    plan: Plan,
    wanted: Vec<fantail::plan::Wanted>,
    found: Vec<Diagnostic>,
    sources: fantail::source::Sources,
}

impl From<Compiled> for Made {
    fn from(compiled: Compiled) -> Made {
        let Compiled { plan, wanted, diagnostics, sources, .. } = compiled;
        Made { plan, wanted, found: diagnostics, sources }
    }
}

impl From<Analysis> for Made {
    fn from(analysis: Analysis) -> Made {
        let Analysis { mut plan, wanted, found, project, .. } = analysis;
        if found.iter().any(Diagnostic::is_error) {
            plan.withhold();
        }
        Made { plan, wanted, found, sources: project.sources }
    }
}

/// With advice only where the fault is about it, and not in a hopeless muddle: advice compiles many times.
fn made(text: &Text, only: Option<&str>) -> Made {
    let plain = analysed(&text.sources());
    let conflicts = errors(&plain.found).filter(|error| CONFLICTS.contains(&error.rule)).count();
    let others = errors(&plain.found).count() - conflicts;
    let asked = only.is_none_or(|only| only.starts_with("fix-") || only == "panic");
    if asked && conflicts == 1 && others == 0 { compile(&text.sources(), ROOT).into() } else { plain }
}

fn analysed(sources: &[(String, String)]) -> Made {
    let files = sources.iter().fold(fantail::project::InMemory::default(), |files, (n, t)| files.with(n, t.clone()));
    fantail::analyse(Path::new(ROOT), &files).into()
}

fn errors(found: &[Diagnostic]) -> impl Iterator<Item = &Diagnostic> {
    found.iter().filter(|diagnostic| diagnostic.is_error())
}

fn rules(made: &Made) -> Vec<&'static str> {
    let mut rules: Vec<&'static str> = errors(&made.found).map(|error| error.rule).collect();
    rules.sort_unstable();
    rules
}

fn orders(text: &Text, compiled: &Made) -> Option<Fault> {
    let plan = json(&compiled.plan, &[]);
    // Another order is another compilation too, so the same one again is tried for every fourth text only.
    let again = text.droppable().len() % 4 == 0;
    if again && json(&analysed(&text.sources()).plan, &[]) != plan {
        return Some(("compiled-twice", "compiled twice, it gave two plans".to_string()));
    }
    let mixed: Vec<(String, String)> =
        text.sources().into_iter().map(|(name, text)| (name, shuffled(&text, 7))).collect();
    let other = analysed(&mixed);
    let (ours, theirs) = (rules(compiled), rules(&other));
    if ours.is_empty() != theirs.is_empty() {
        return Some(("other-errors", format!("in another order of rows {ours:?} became {theirs:?}")));
    }
    let theirs = json(&other.plan, &[]);
    let differ = plan.lines().zip(theirs.lines()).find(|(a, b)| a != b);
    let differ = differ.map(|(a, b)| format!("`{}` became `{}`", a.trim(), b.trim()));
    (plan != theirs).then(|| ("another-order", format!("in another order of rows {}", differ.unwrap_or_default())))
}

fn place(text: &Text, made: &Made, span: Span) -> Option<Place> {
    let file = made.sources.get(span.file)?;
    let number = text.files.iter().position(|(name, _)| file.path.as_deref() == Some(Path::new(name)))?;
    let line = file.text.get(..span.start as usize)?.matches('\n').count();
    text.is_row(number, line).then_some((number, line))
}

/// The rows that a conflict names.
fn rows(text: &Text, made: &Made, conflict: &Diagnostic) -> BTreeSet<Place> {
    let spans = conflict.labels.iter().map(|label| label.span).chain([conflict.span]);
    spans.filter_map(|span| place(text, made, span)).collect()
}

/// Takes each row out: of the others no conflict may be left. Alone, all of them must still be one.
fn minimal(text: &Text, conflict: &Diagnostic, rows: &BTreeSet<Place>) -> Option<Fault> {
    if rows.is_empty() {
        return Some(("no-row", format!("{}: {}", conflict.rule, conflict.message)));
    }
    let told = |made: &Made, text: &Text, among: &BTreeSet<Place>| {
        errors(&made.found)
            .filter(|d| CONFLICTS.contains(&d.rule))
            .find_map(|d| self::rows(text, made, d).is_subset(among).then(|| format!("{}: {}", d.rule, d.message)))
    };
    for row in rows {
        let less = text.without(&BTreeSet::from([*row]));
        let made = analysed(&less.sources());
        let mut left = rows.clone();
        left.remove(row);
        if let Some(said) = told(&made, &less, &left) {
            let line = &text.files[row.0].1[row.1];
            return Some(("not-minimal", format!("`{}`\nwithout `{}` still `{said}`", conflict.message, line.trim())));
        }
    }
    // A row that wants a source again needs the row that declares it.
    let named = |place: &Place| {
        let line = text.files.get(place.0).and_then(|(_, lines)| lines.get(place.1)).map_or("", |line| line.as_str());
        line.contains(" from ") && conflict.message.split('`').any(|name| line.split(' ').any(|word| word == name))
    };
    let out = text.wants().difference(rows).filter(|place| !named(place)).copied().collect();
    let alone = text.without(&out);
    let made = analysed(&alone.sources());
    if errors(&made.found).next().is_none() {
        return Some(("rows-hold", format!("alone, these rows hold: {}", conflict.message)));
    }
    None
}

/// Applied to the text, the change takes the conflict away and brings no error that was not there.
fn mends(text: &Text, made: &Made, conflict: &Diagnostic, fix: &Fix) -> Option<Fault> {
    let Some(sources) = applied(text, made, fix) else {
        return Some(("fix-does-not-fit", fix.label.clone()));
    };
    let key = |diagnostic: &Diagnostic| (diagnostic.rule, diagnostic.told());
    let after = analysed(&sources);
    let before: BTreeSet<_> = errors(&made.found).map(key).collect();
    if errors(&after.found).any(|error| key(error) == key(conflict)) {
        return Some(("fix-does-not-mend", format!("after `{}`: still {}", fix.label, conflict.told())));
    }
    let new: Vec<String> = (errors(&after.found).filter(|error| !before.contains(&key(error))))
        .map(|error| format!("{}: {}", error.rule, error.told()))
        .collect();
    (!new.is_empty()).then(|| ("fix-brings-errors", format!("after `{}`: {}", fix.label, new.join("; "))))
}

fn applied(text: &Text, made: &Made, fix: &Fix) -> Option<Vec<(String, String)>> {
    let mut sources = text.sources();
    let mut edits: Vec<&Edit> = fix.edits.iter().collect();
    edits.sort_by_key(|edit| std::cmp::Reverse(edit.span.start));
    for edit in edits {
        let path = made.sources.get(edit.span.file)?.path.as_deref()?;
        let (_, text) = sources.iter_mut().find(|(name, _)| Path::new(name) == path)?;
        text.get(edit.span.range())?;
        text.replace_range(edit.span.range(), &edit.text);
    }
    Some(sources)
}

/// Lines taken away, many at a time and then one by one, while the fault stays.
pub fn shrunk(text: &Text, fault: &str) -> Text {
    let mut text = text.clone();
    let mut step = text.droppable().len() / 2;
    while step > 0 {
        let lines = text.droppable();
        let mut smaller = false;
        for chunk in lines.chunks(step) {
            let less = text.without(&chunk.iter().copied().collect());
            if judge(&less, Some(fault)).faults.iter().any(|(name, _)| *name == fault) {
                text = less;
                smaller = true;
            }
        }
        if !smaller || step > 1 {
            step /= 2;
        }
    }
    text
}
