//! Every example show in `examples/`: a file that says `show` is a root. It checks without errors and
//! warnings, its plan verifies, suits the schema and a script outside, reads as text, and is the same
//! plan whatever the order of its rows.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::Compiled;
use fantail::diagnostics::Severity;
use fantail::plan::{json, text};
use fantail::project::{Disk, InMemory};
use fantail::verify::verify;
use fantail_tests::golden::shuffled;
use fantail_tests::outside::Folder;
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../examples").canonicalize().unwrap()
}

/// All files under a folder whose names end so, in order.
fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path, ending));
        } else if path.to_string_lossy().ends_with(ending) {
            found.push(path);
        }
    }
    found.sort();
    found
}

fn roots() -> Vec<PathBuf> {
    let says_show = |path: &PathBuf| std::fs::read_to_string(path).unwrap().lines().any(|l| l.starts_with("show "));
    files(&folder(), ".fantail").into_iter().filter(says_show).collect()
}

fn complaints(compiled: &Compiled) -> Vec<String> {
    let serious = compiled.diagnostics.iter().filter(|diagnostic| diagnostic.severity != Severity::Note);
    serious.map(|diagnostic| format!("{}: {}", diagnostic.rule, diagnostic.message)).collect()
}

#[test]
fn every_example_is_clean_proven_and_readable() {
    let schema = serde_json::from_str(include_str!("../../grammar/plan.schema.json")).unwrap();
    let schema = jsonschema::draft202012::new(&schema).unwrap();
    let plans = Folder::new("examples");
    let roots = roots();
    assert!(roots.len() >= 6, "{roots:?}");
    for (number, root) in roots.iter().enumerate() {
        let name = root.strip_prefix(folder()).unwrap().display();
        let compiled = fantail::compile(root, &Disk);
        assert_eq!(complaints(&compiled), Vec::<String>::new(), "{name}");
        assert_eq!(format!("{:?}", verify(&compiled.plan, &compiled.wanted)), "[]", "{name}");
        let value = serde_json::from_str(&json(&compiled.plan, &[])).unwrap();
        let faults: Vec<String> = schema.iter_errors(&value).map(|fault| fault.to_string()).collect();
        assert_eq!(faults, Vec::<String>::new(), "{name}");
        let paper = text(&compiled.plan, None, None).unwrap();
        assert!(paper.contains("48 V") && compiled.plan.devices.iter().all(|d| paper.contains(&d.name)), "{name}");
        plans.put(&format!("{number}"), &compiled.plan);
        let turned = json(&turned(root).plan, &[]);
        assert_eq!(json(&compiled.plan, &[]), turned, "{name}: rows in another order");
    }
    let (right, said) = plans.recompute();
    assert!(right, "{said}");
}

/// The show with the rows and statements of all its files in another order.
fn turned(root: &Path) -> Compiled {
    let all = files(&folder(), ".fantail");
    let texts = all.iter().map(|path| (path.to_string_lossy().into_owned(), std::fs::read_to_string(path).unwrap()));
    let files = texts.fold(InMemory::default(), |files, (path, text)| files.with(&path, shuffled(&text, 7)));
    fantail::compile(root, &files)
}

/// An input list as on a real show has 24 to 48 channels in use.
#[test]
fn every_example_has_a_list_as_long_as_on_real_shows() {
    for root in roots() {
        let compiled = fantail::compile(&root, &Disk);
        for scene in &compiled.scenes {
            let channels = scene.wants.iter().filter(|want| want.kind == fantail::wants::WantKind::Channel);
            let foh = channels.filter(|want| scene.rig.device_name(want.end.device) == "foh").count();
            assert!((24..=48).contains(&foh), "{}: {foh} channels", root.display());
        }
    }
}

#[test]
fn every_example_has_a_page_that_names_its_command() {
    for entry in std::fs::read_dir(folder()).unwrap() {
        let page = std::fs::read_to_string(entry.unwrap().path().join("README.md")).unwrap();
        assert!(page.contains("fantail plan examples/"), "{page}");
    }
}
