//! The order of lines, files and includes never changes what a show says.
use super::*;
use std::collections::BTreeSet;

const RIG: &[&str] = &[
    "desk foh",
    "box stage-left on foh.portA offset 1",
    "inputs foh { 1 kick dynamic from stage-left 1 phantom }",
    "inputs foh { 2 snare dynamic from stage-left 2 }",
    "outputs foh { mix 1 to stage-left 1 wedge of kick, snare }",
    "act kestrel from 20:00 { change input snare from stage-left 7; without input kick }",
];
const DAY: &[&str] = &["include \"rig\"", "change input kick from stage-left 3", "change input snare channel 4"];
const DESK: &[&str] = &["include \"rig\"", "change box stage-left offset 9", "change input kick no phantom"];
const ROOT: &[&str] =
    &["include \"day\"", "include \"desk\"", "change input snare from stage-left 5", "change box stage-left offset 17"];

/// A small generator, for orders that are the same on every run.
fn shuffle<'a>(lines: &[&'a str], seed: &mut u64) -> Vec<&'a str> {
    let mut lines = lines.to_vec();
    for at in (1..lines.len()).rev() {
        *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        lines.swap(at, (*seed >> 33) as usize % (at + 1));
    }
    lines
}

fn rows(patch: &crate::project::show::Patch) -> BTreeSet<String> {
    let devices = patch.devices.iter().map(|row| format!("{} {}", row.node.name.value, attrs(&row.node.attrs)));
    let inputs = patch.inputs.iter().map(|row| {
        let channels = row.node.row.channels.as_ref().map(numbers).unwrap_or_default();
        format!("{channels} {} {}", row.node.row.name.value, attrs(&row.node.row.attrs))
    });
    let outputs = patch.outputs.iter().map(|row| attrs(&row.node.row.attrs));
    devices.chain(inputs).chain(outputs).collect()
}

#[test]
fn order_changes_nothing() {
    let said = |seed: &mut u64| {
        let file = |lines, seed: &mut u64| shuffle(lines, seed).join("\n");
        let (root, day, desk, rig) = (file(ROOT, seed), file(DAY, seed), file(DESK, seed), file(RIG, seed));
        let case = case(&[("root", &root), ("day", &day), ("desk", &desk), ("rig", &rig)]);
        assert!(case.diagnostics.iter().all(|told| told.rule == "name-taken-out"), "{:?}", case.told());
        (rows(&case.show.house), rows(&case.act("kestrel").patch), case.diagnostics.len(), case.show.changes.len())
    };
    let mut seed = 1;
    let first = said(&mut seed);
    assert!(first.0.contains("stage-left on foh.portA offset 17"), "{first:?}");
    assert!(first.0.contains("4-4 snare dynamic from stage-left 5-5"), "{first:?}");
    assert!(first.0.contains("1-1 kick dynamic from stage-left 3-3"), "{first:?}");
    assert!(first.1.contains("4-4 snare dynamic from stage-left 7-7"), "{first:?}");
    for _ in 0..200 {
        assert_eq!(said(&mut seed), first);
    }
}
