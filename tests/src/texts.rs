//! Every text of the language that stands in this repository, with a name to tell it by: examples, the plain
//! gear, golden cases, the samples of the pages. Reads files and judges nothing.

use crate::golden;
use std::fs;
use std::path::{Path, PathBuf};

pub fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap_or(Path::new("..")).to_path_buf()
}

/// Name and text, in the order of their names.
pub fn all() -> Vec<(String, String)> {
    let mut out = files("examples");
    out.extend(files("compiler/std"));
    for page in golden::pages(&top().join("tests/golden")) {
        for case in &page.cases {
            out.extend(case.sources.iter().map(|(name, text)| (format!("{}: {name}", case.name), text.clone())));
        }
    }
    for page in ["README.md", "grammar/README.md", "grammar/grammar.md"] {
        let text = fs::read_to_string(top().join(page)).unwrap_or_default();
        let samples = text.split("```fantail\n").skip(1).filter_map(|after| after.split("```").next());
        out.extend(samples.enumerate().map(|(nth, sample)| (format!("{page}, sample {nth}"), sample.to_string())));
    }
    out
}

/// All files of the language below a folder.
pub fn files(folder: &str) -> Vec<(String, String)> {
    let (mut out, mut open) = (Vec::new(), vec![top().join(folder)]);
    while let Some(at) = open.pop() {
        for path in fs::read_dir(at).into_iter().flatten().flatten().map(|entry| entry.path()) {
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|ext| ext == "fantail") {
                let name = path.strip_prefix(top()).unwrap_or(&path).to_string_lossy().into_owned();
                out.push((name, fs::read_to_string(&path).unwrap_or_default()));
            }
        }
    }
    out.sort();
    out
}
