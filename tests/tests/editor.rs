//! What editors are offered, over the examples: a thing renamed everywhere leaves every show as it was.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::editor::rename::{prepare, rename};
use fantail::editor::{Index, NameAt, Role};
use fantail::project::{Disk, Overlay};
use fantail::{Compiled, compile};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// One of the examples with includes, changes, acts and every kind of row.
const ROOTS: &[&str] = &["small-desk/tin-boat.fantail", "theatre/salt-road.fantail"];

fn root(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../examples").join(name).canonicalize().unwrap()
}

fn told(compiled: &Compiled) -> Vec<&'static str> {
    let mut rules: Vec<_> = compiled.diagnostics.iter().map(|one| one.rule).collect();
    rules.sort();
    rules
}

/// The show after a thing got this name everywhere.
fn renamed(path: &Path, before: &Compiled, index: &Index, name: &NameAt, new: &str) -> Compiled {
    let mut texts: BTreeMap<PathBuf, String> = BTreeMap::new();
    for edit in rename(index, &name.symbol, new).unwrap().into_iter().rev() {
        let file = before.sources.get(edit.span.file).unwrap();
        let text = texts.entry(file.path.clone().unwrap()).or_insert_with(|| file.text.clone());
        text.replace_range(edit.span.range(), &edit.text);
    }
    compile(path, &Overlay { base: Disk, texts })
}

#[test]
fn a_rename_leaves_nothing_behind() {
    let mut tried = 0;
    for path in ROOTS.iter().map(|name| root(name)) {
        let before = compile(&path, &Disk);
        let index = Index::of(&before);
        let mut known = Vec::new();
        let declared = index.symbols().flat_map(|symbol| index.declarations(symbol)).filter(|name| {
            let can = prepare(&before, &index, name.span.file, name.span.start).is_ok();
            let kind = std::mem::discriminant(&name.symbol);
            let few = known.iter().filter(|known| **known == kind).count() < 3;
            known.extend((can && few).then_some(kind));
            can && few
        });
        for name in declared {
            let after = renamed(&path, &before, &index, name, "zither");
            assert_eq!(told(&after), told(&before), "{}: {:?}", path.display(), name.symbol);
            assert_eq!(after.plan.plugs.len(), before.plan.plugs.len(), "{:?}", name.symbol);
            tried += 1;
        }
    }
    assert!(tried > 8, "{tried}");
    println!("{tried} things renamed");
}

#[test]
fn every_name_stands_in_the_text() {
    for path in ROOTS.iter().map(|name| root(name)) {
        let compiled = compile(&path, &Disk);
        let index = Index::of(&compiled);
        for file in compiled.sources.iter() {
            let names = index.in_file(file.id);
            assert!(names.windows(2).all(|two| two[0].span.end <= two[1].span.start), "{}", file.name);
            for name in names.iter().filter(|name| name.role == Role::Declares) {
                let said = compiled.sources.text_at(name.span);
                assert_eq!(said, name.symbol.name(), "{}", file.name);
            }
        }
    }
}
