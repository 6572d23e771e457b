//! Every place of every example: nothing breaks, and what is shown of a path is in the plan.

use super::*;
use crate::editor::{Part, flow_at, hover, incoming, inlays, lenses, outgoing};
use crate::plan::{Plan, View};
use crate::project::Disk;
use std::collections::BTreeSet;
use std::path::PathBuf;

fn shows() -> Vec<PathBuf> {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../examples");
    let names = [
        "festival/day.fantail",
        "small-desk/tin-boat.fantail",
        "theatre/salt-road.fantail",
        "tour/venues/lantern-shed.fantail",
        "tour/venues/mill-yard.fantail",
        "tour/venues/quayside-hall.fantail",
    ];
    names.iter().map(|name| examples.join(name)).collect()
}

/// Every point on any path, by both of its names, and every signal and plug.
fn known(plan: &Plan) -> BTreeSet<String> {
    let view = View::any(plan);
    let ends = view.signals.iter().flat_map(|signal| &signal.ends);
    let points: BTreeSet<String> = ends.flat_map(|end| &end.path).map(|point| view.in_paths(point)).collect();
    let plugs = view.plugs.iter().map(|plug| plug.at.clone());
    let sources = view.signals.iter().map(|signal| signal.source.clone());
    let plugged = view.plugs.iter().map(|plug| plug.source.clone());
    let mixes = view.mixes.iter().map(|mix| mix.mix.clone());
    points.into_iter().chain(plugs).chain(sources).chain(plugged).chain(mixes).collect()
}

/// The rows of a path begin with a mark: a blank, or that this is the point asked for.
fn hop(row: &[String]) -> Option<&str> {
    let first = row.first()?;
    first.strip_prefix("> ").or_else(|| first.strip_prefix("  ")).map(str::trim)
}

#[test]
fn at_every_name_of_every_example() {
    let mut hops = 0;
    for root in shows() {
        let compiled = compile(&root, &Disk);
        assert!(!compiled.has_errors(), "{root:?}");
        let index = Index::of(&compiled);
        let known = known(&compiled.plan);
        for file in compiled.sources.iter() {
            for name in index.in_file(file.id) {
                let at = name.span.start;
                let found = hover(&compiled, &index, file.id, at);
                let found = found.unwrap_or_else(|| panic!("{}: nothing on {name:?}", file.name));
                assert!(found.markdown().starts_with("**"), "{found:?}");
                for part in &found.parts {
                    let Part::Table { rows, .. } = part else { continue };
                    for point in rows.iter().filter_map(|row| hop(row)) {
                        assert!(known.contains(point), "{point} on {name:?}");
                        hops += 1;
                    }
                }
            }
            let end = u32::try_from(file.text.len()).unwrap();
            let _ = inlays(&compiled, file.id, 0..end);
            let _ = lenses(&compiled, file.id);
        }
        let root = compiled.sources.get(compiled.root).unwrap();
        let starts: Vec<u32> = compiled.parsed[&root.id].tokens.iter().map(|token| token.start).collect();
        let mut seen = BTreeSet::new();
        for at in starts {
            let _ = hover(&compiled, &index, root.id, at);
            for item in flow_at(&compiled, &index, root.id, at)
                .into_iter()
                .filter(|item| seen.insert((item.of.clone(), item.name.clone())))
            {
                let before = incoming(&compiled, &index, &item.of, &item.name);
                let next = outgoing(&compiled, &index, &item.of, &item.name);
                for other in before.iter().chain(&next) {
                    assert!(known.contains(&other.name), "{} beside {}", other.name, item.name);
                    assert!(other.row.holds(other.span), "{other:?}");
                }
                // What goes in at one end comes out at the other.
                for other in &before {
                    let back = outgoing(&compiled, &index, &other.of, &other.name);
                    assert!(
                        back.iter().any(|one| (&one.of, &one.name) == (&item.of, &item.name)),
                        "{} to {}",
                        other.name,
                        item.name
                    );
                }
            }
        }
    }
    assert!(hops > 1000, "only {hops} hops");
}
