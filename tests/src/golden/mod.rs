//! Golden cases: a show, and what the compiler must make of it, side by side on a page that people can
//! read. Every case also has to hold what must always hold: no text lost, the same plan each time and
//! in any order of rows and layout, a proven plan, every moved setting noticed, every proposed change good.

mod lines;
mod page;
mod shuffle;

pub use page::{Case, Page, diff, pages, rewrite};
pub use shuffle::shuffled;

use crate::mangled::mangled;
use crate::moved;
use fantail::Compiled;
use fantail::diagnostics::{Diagnostic, Edit, Fix};
use fantail::plan::{Plan, json};
use fantail::project::InMemory;
use fantail::syntax::tidy::tidy;
use fantail::verify::{evaluate, verify};
use serde_json::Value;
use std::path::Path;

/// What one case came to.
#[derive(Default)]
pub struct Outcome {
    /// What is expected, with the word after its back ticks, as it was found.
    pub found: Vec<(String, String)>,
    pub faults: Vec<String>,
    pub plan: Option<Plan>,
    pub moved: usize,
    pub fixes: usize,
    /// Conflicts of rows for which nothing was proposed.
    pub without_fix: usize,
}

/// Conflicts of rows, for which a change that works must be proposed where there is one.
const CONFLICTS: &[&str] =
    &["impossible-block", "point-wanted-twice", "offsets-clash", "modes-clash", "slots-clash", "too-few-points"];

pub fn run(case: &Case, schema: &jsonschema::Validator) -> Outcome {
    let compiled = compile(&case.sources, &case.root);
    let mut outcome = Outcome { found: found(case, &compiled), ..Outcome::default() };
    outcome.faults.extend(tokens(&compiled));
    if made(&case.sources, &case.root) != made(&case.sources, &case.root) {
        outcome.faults.push("compiled twice, it gave two plans".to_string());
    }
    outcome.faults.extend(orders(case));
    outcome.faults.extend(layouts(case));
    if compiled.has_errors() {
        fixes(case, &compiled, &mut outcome);
    } else {
        proven(&compiled, schema, &mut outcome);
        outcome.plan = Some(compiled.plan);
    }
    outcome
}

pub fn compile(sources: &[(String, String)], root: &str) -> Compiled {
    fantail::compile(Path::new(root), &in_memory(sources))
}

fn in_memory(sources: &[(String, String)]) -> InMemory {
    sources.iter().fold(InMemory::default(), |files, (name, text)| files.with(name, text.clone()))
}

fn found(case: &Case, compiled: &Compiled) -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = Vec::new();
    let known = case.fence("diagnostics").map_or("", |fence| &fence.text);
    let told = lines::diagnostics(compiled, &case.root, known);
    if !told.is_empty() || case.fence("diagnostics").is_some() {
        found.push(("diagnostics".to_string(), told));
    }
    if case.expected.is_empty() && !compiled.has_errors() {
        found.push(("settings".to_string(), lines::settings(&compiled.plan)));
    }
    for fence in &case.expected {
        let mut words = fence.info.split(' ');
        let body = match words.next() {
            Some("settings") => lines::settings(&compiled.plan),
            Some("power") => lines::power(&compiled.plan),
            Some("plugs") => lines::plugs(&compiled.plan, &fence.text),
            Some("changes") => lines::changes(&compiled.plan),
            Some("signals") => lines::signals(&compiled.plan, &fence.text),
            Some("text") => {
                fantail::plan::text(&compiled.plan, words.next(), words.next()).unwrap_or_else(|no| no + "\n")
            }
            Some("diagnostics") => continue,
            other => panic!("{}: what is a fence of {other:?}?", case.name),
        };
        found.push((fence.info.clone(), body));
    }
    found
}

fn tokens(compiled: &Compiled) -> Vec<String> {
    let lost = |file: &&fantail::source::SourceFile| {
        let tokens = fantail::syntax::parse(file.id, &file.text).tokens;
        tokens.iter().map(|token| token.text(&file.text)).collect::<String>() != file.text
    };
    compiled.sources.iter().filter(lost).map(|file| format!("the tokens of {} are not its text", file.name)).collect()
}

/// The plan, empty where there are errors, and which rules spoke. Advice is left out: it compiles
/// hundreds of times.
fn made(sources: &[(String, String)], root: &str) -> (String, String) {
    let mut analysis = fantail::analyse(Path::new(root), &in_memory(sources));
    if analysis.found.iter().any(Diagnostic::is_error) {
        analysis.plan.withhold();
        analysis.plan.mixes.clear();
    }
    let mut rules: Vec<String> = analysis.found.iter().map(|d| format!("{}\n", d.rule)).collect();
    rules.sort();
    (json(&analysis.plan, &[]), rules.concat())
}

/// Two other orders of rows and statements.
fn orders(case: &Case) -> Option<String> {
    let (plan, said) = made(&case.sources, &case.root);
    for seed in 1..=2 {
        let mix = |(name, text): &(String, String)| (name.clone(), shuffle::shuffled(text, seed));
        let (other, told) = made(&case.sources.iter().map(mix).collect::<Vec<_>>(), &case.root);
        if other != plan {
            return Some(format!("in another order of rows, another plan:\n{}", diff(&plan, &other)));
        }
        // Of two changes that contradict each other one is taken; which one is nobody's promise.
        if told != said && !said.contains("changed-twice") {
            return Some(format!("in another order of rows, other diagnostics:\n{}", diff(&said, &told)));
        }
    }
    None
}

/// The sources laid out, and laid out anyhow.
fn layouts(case: &Case) -> Option<String> {
    let before = made(&case.sources, &case.root);
    for lay_out in [|text: &str| tidy(text), |text: &str| mangled(text, 1)] {
        let sources: Vec<_> = case.sources.iter().map(|(name, text)| (name.clone(), lay_out(text))).collect();
        let after = made(&sources, &case.root);
        if after != before {
            let (plans, told) = (diff(&before.0, &after.0), diff(&before.1, &after.1));
            return Some(format!("in another layout, another plan or other diagnostics:\n{plans}\n{told}"));
        }
    }
    None
}

fn proven(compiled: &Compiled, schema: &jsonschema::Validator, outcome: &mut Outcome) {
    let (plan, wanted) = (&compiled.plan, &compiled.wanted);
    outcome.faults.extend(verify(plan, wanted).iter().map(|difference| format!("not proven: {difference}")));
    let data: Value = serde_json::from_str(&json(plan, &[])).unwrap();
    outcome.faults.extend(schema.iter_errors(&data).map(|error| format!("schema: {}: {error}", error.instance_path)));
    let acts = moved::acts(plan);
    for (what, wrong) in moved::settings(plan) {
        outcome.moved += 1;
        // A pinned setting that carries nothing may be moved without anybody hearing it.
        let silent = || acts.iter().all(|act| evaluate(plan, act.as_deref()) == evaluate(&wrong, act.as_deref()));
        if verify(&wrong, wanted).is_empty() && !silent() {
            outcome.faults.push(format!("not noticed: {what}"));
        }
    }
}

/// Every proposed change, applied to the texts, takes its diagnostic away and brings no new error.
fn fixes(case: &Case, compiled: &Compiled, outcome: &mut Outcome) {
    let key = |diagnostic: &Diagnostic| (diagnostic.rule, diagnostic.message.clone());
    for diagnostic in compiled.diagnostics.iter().filter(|diagnostic| diagnostic.is_error()) {
        if diagnostic.fixes.is_empty() && CONFLICTS.contains(&diagnostic.rule) {
            outcome.without_fix += 1;
        }
        for fix in &diagnostic.fixes {
            outcome.fixes += 1;
            let Some(sources) = applied(case, compiled, fix) else {
                outcome.faults.push(format!("`{}` does not fit the texts", fix.label));
                continue;
            };
            let after = compile(&sources, &case.root);
            let mut before: Vec<_> = compiled.diagnostics.iter().filter(|d| d.is_error()).map(key).collect();
            before.retain(|one| *one != key(diagnostic));
            let new: Vec<String> = after
                .diagnostics
                .iter()
                .filter(|d| d.is_error() && (!before.contains(&key(d))))
                .map(|d| format!("{} {}", d.rule, d.told()))
                .collect();
            if !new.is_empty() {
                outcome.faults.push(format!("after `{}`: {}", fix.label, new.join("; ")));
            }
        }
    }
}

fn applied(case: &Case, compiled: &Compiled, fix: &Fix) -> Option<Vec<(String, String)>> {
    let mut sources = case.sources.clone();
    for file in compiled.sources.iter().filter(|file| fix.edits.iter().any(|edit| edit.span.file == file.id)) {
        let (_, text) =
            sources.iter_mut().find(|(name, _)| Path::new("/").join(name) == *file.path.as_ref().unwrap())?;
        let mut edits: Vec<&Edit> = fix.edits.iter().filter(|edit| edit.span.file == file.id).collect();
        edits.sort_by_key(|edit| std::cmp::Reverse(edit.span.start));
        for edit in edits {
            text.get(edit.span.range())?;
            text.replace_range(edit.span.range(), &edit.text);
        }
    }
    Some(sources)
}
