//! Every sample of the language reference compiles without errors and warnings: as it stands, as files
//! (`<!-- files -->`), or in the page's own rig (`<!-- with: rig -->`).

use fantail::project::InMemory;
use std::path::Path;

struct Sample {
    line: usize,
    note: String,
    text: String,
}

fn samples(page: &str) -> Vec<Sample> {
    let mut samples = Vec::new();
    let mut note = String::new();
    let mut open: Option<Sample> = None;
    for (number, line) in page.lines().enumerate() {
        match &mut open {
            Some(_) if line == "```" => samples.extend(open.take()),
            Some(sample) => {
                sample.text.push_str(line);
                sample.text.push('\n');
            }
            None if line == "```fantail" => {
                open = Some(Sample { line: number + 1, note: std::mem::take(&mut note), text: String::new() });
            }
            None if line.starts_with("<!--") => {
                note = line.trim_start_matches("<!--").trim_end_matches("-->").trim().to_string();
            }
            None => note.clear(),
        }
    }
    assert!(open.is_none(), "a sample is not closed");
    samples
}

fn files(sample: &Sample, rig: &str) -> (InMemory, String) {
    if sample.note != "files" {
        let text = if sample.note == "with: rig" { format!("{rig}{}", sample.text) } else { sample.text.clone() };
        return (InMemory::default().with("show.fantail", text), "show.fantail".to_string());
    }
    let mut memory = InMemory::default();
    let mut root = String::new();
    for part in sample.text.split("# file: ").skip(1) {
        let (name, text) = part.split_once('\n').unwrap();
        root = name.trim().to_string();
        memory = memory.with(&root, text);
    }
    (memory, root)
}

#[test]
fn every_sample_of_the_reference_compiles() {
    let page = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../grammar/README.md")).unwrap();
    let samples = samples(&page);
    assert!(samples.len() >= 8, "only {} samples", samples.len());
    let rig = samples.iter().find(|sample| sample.note == "name: rig").map(|sample| sample.text.clone()).unwrap();
    let mut wrong = Vec::new();
    for sample in samples.iter().filter(|sample| sample.note != "name: rig") {
        let (memory, root) = files(sample, &rig);
        let compiled = fantail::compile(Path::new(&root), &memory);
        for told in compiled.diagnostics.iter().filter(|d| d.severity != fantail::diagnostics::Severity::Note) {
            wrong.push(format!("line {}: {}: {}", sample.line, told.rule, told.message));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Two statements on one line, in a file that names a desk.
#[test]
fn the_shortest_box_compiles_as_it_stands() {
    let text = "desk foh\nbox stage-left on portA offset 9; record all inputs\n";
    let memory = InMemory::default().with("show.fantail", text);
    let compiled = fantail::compile(Path::new("show.fantail"), &memory);
    assert!(!compiled.has_errors(), "{:?}", compiled.diagnostics);
    let offset = compiled.plan.settings.iter().find(|setting| setting.set == "offset");
    assert_eq!(offset.and_then(|offset| offset.value.clone()), Some(9.into()));
}

/// The README's show, and the venue that includes it as its rig.
#[test]
fn the_samples_of_the_readme_compile() {
    let page = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../README.md")).unwrap();
    let samples = samples(&page);
    let [rig, venue] = samples.as_slice() else { panic!("{} samples", samples.len()) };
    let files = InMemory::default()
        .with("tour/rig.fantail", rig.text.as_str())
        .with("tour/venues/harbour.fantail", venue.text.as_str());
    for root in ["tour/rig.fantail", "tour/venues/harbour.fantail"] {
        let told = fantail::compile(Path::new(root), &files).diagnostics;
        let told = told.iter().filter(|d| d.severity != fantail::diagnostics::Severity::Note);
        let told: Vec<_> = told.map(|d| format!("{}: {}", d.rule, d.told())).collect();
        assert!(told.is_empty(), "{root}: {told:?}");
    }
}
