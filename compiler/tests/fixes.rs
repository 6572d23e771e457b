//! Every change that the pages' examples are offered is tried as text: what it answers is gone, nothing else
//! appears, and every comment stands.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::Compiled;
use fantail::diagnostics::{Diagnostic, Fix};
use fantail::project::InMemory;
use fantail::rules::{ALL, page};
use fantail::source::Sources;
use fantail::syntax::tokens::{TokenKind, tokens};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

type Files = BTreeMap<String, String>;

fn compile(files: &Files, root: &str) -> Compiled {
    let files = files.iter().fold(InMemory::default(), |all, (name, text)| all.with(name, text.as_str()));
    fantail::compile(Path::new(root), &files)
}

/// The files with a change made; `None` where it edits what is no file of the example.
fn changed(files: &Files, sources: &Sources, fix: &Fix) -> Option<Files> {
    let mut edits = fix.edits.clone();
    edits.sort_by_key(|edit| std::cmp::Reverse((edit.span.file, edit.span.start)));
    let mut files = files.clone();
    for edit in edits {
        let path = sources.get(edit.span.file)?.path.as_ref()?;
        let text = files.get_mut(path.to_str()?.trim_start_matches('/'))?;
        text.get(edit.span.range())?;
        text.replace_range(edit.span.range(), &edit.text);
    }
    Some(files)
}

/// The example with a comment at the end of every line, so that a change which eats one is seen.
fn commented(files: &Files) -> Files {
    let line = |(number, line): (usize, &str)| {
        let open = line.matches(['"', '\u{201C}', '\u{201D}']).count() % 2 == 1;
        if line.trim().is_empty() || open { format!("{line}\n") } else { format!("{line}  # comment {number}\n") }
    };
    files.iter().map(|(name, text)| (name.clone(), text.lines().enumerate().map(line).collect())).collect()
}

fn comments(files: &Files) -> Vec<String> {
    let mut all = Vec::new();
    for text in files.values() {
        let found = tokens(text).into_iter().filter(|token| token.kind == TokenKind::Comment);
        all.extend(found.map(|token| token.text(text).to_string()));
    }
    all.sort();
    all
}

fn told(diagnostic: &Diagnostic) -> (&'static str, String) {
    (diagnostic.rule, diagnostic.message.clone())
}

/// What is wrong with a change, if anything.
fn fault(files: &Files, root: &str, before: &Compiled, answered: &Diagnostic, fix: &Fix) -> Option<String> {
    let Some(after_files) = changed(files, &before.sources, fix) else {
        return Some("edits what is no file of the example".into());
    };
    if comments(files) != comments(&after_files) {
        return Some("a comment is lost".into());
    }
    let after = compile(&after_files, root);
    let was: BTreeSet<_> = before.diagnostics.iter().map(told).collect();
    if after.diagnostics.iter().map(told).any(|now| now == told(answered)) {
        return Some("it is still told".into());
    }
    let new = after.diagnostics.iter().filter(|now| now.severity != fantail::diagnostics::Severity::Note);
    let new: Vec<_> = new.map(told).filter(|now| !was.contains(now)).collect();
    (!new.is_empty()).then(|| format!("appears: {new:?}"))
}

#[test]
fn every_offered_change_works() {
    let (mut wrong, mut tried, mut rules) = (Vec::new(), 0, BTreeSet::new());
    for rule in ALL {
        let example = page::parse(rule.page).unwrap().caught;
        let Some(root) = example.root().map(|file| file.name.clone()) else { continue };
        let plain: Files = example.files.iter().map(|file| (file.name.clone(), file.text.clone())).collect();
        let files = commented(&plain);
        let before = compile(&files, &root);
        let rules_of = |compiled: &Compiled| compiled.diagnostics.iter().map(|d| d.rule).collect::<Vec<_>>();
        assert_eq!(rules_of(&before), rules_of(&compile(&plain, &root)), "{}: comments change what is told", rule.slug);
        for diagnostic in &before.diagnostics {
            for fix in &diagnostic.fixes {
                tried += 1;
                rules.insert(diagnostic.rule);
                let said = fault(&files, &root, &before, diagnostic, fix);
                wrong.extend(said.map(|said| format!("{}: `{}`: {said}", rule.slug, fix.label)));
            }
        }
    }
    println!("{tried} changes tried, of {} rules", rules.len());
    assert!(wrong.is_empty(), "{} changes:\n{}", wrong.len(), wrong.join("\n"));
    assert!(tried > 20, "the pages are read");
}
