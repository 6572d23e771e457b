//! Where the things of a plan are said: for each the row that declares it and the changes that touched it. It reads the
//! texts for nothing but their lines.

use crate::plan::{Origin, Origins};
use crate::project::{Patch, Row, Show};
use crate::source::{Sources, Span};
use crate::wants::{Scene, Target, WantKind};
use rustc_hash::FxHashMap;
use std::collections::BTreeSet;

/// All origins of a show, in every act.
pub fn origins(show: &Show, scenes: &[Scene], sources: &Sources) -> Origins {
    let mut found = Found { sources, changed: changed(show), origins: Origins::default(), seen: BTreeSet::new() };
    if let Some(head) = &show.head {
        found.add("show", head.span);
    }
    for act in &show.acts {
        let ends = [
            act.title.as_ref().map(|title| title.span),
            act.from.as_ref().map(|at| at.span),
            act.to.as_ref().map(|at| at.span),
        ];
        let head = ends.into_iter().flatten().fold(act.name.span, |head, end| head.to(end));
        found.add(&format!("act {}", act.name.value), head);
    }
    for patch in std::iter::once(&show.house).chain(show.acts.iter().map(|act| &act.patch)) {
        found.gear(patch);
    }
    for scene in scenes {
        found.scene(scene);
    }
    for of in found.origins.values_mut() {
        of.sort();
    }
    found.origins
}

struct Found<'s> {
    sources: &'s Sources,
    /// The changes of each row.
    changed: FxHashMap<Span, Vec<Span>>,
    origins: Origins,
    seen: BTreeSet<(String, Span)>,
}

impl Found<'_> {
    fn gear(&mut self, patch: &Patch) {
        for device in &patch.devices {
            let name = &device.node.name.value;
            self.row(&format!("device {name}"), device.span);
        }
        for link in &patch.links {
            for end in [&link.node.from, &link.node.to] {
                self.row(&format!("cable {}", self.text(end.span)), link.span);
            }
        }
        for loom in &patch.looms {
            self.row(&format!("cable {}", self.text(loom.node.from.span)), loom.span);
        }
    }

    fn scene(&mut self, scene: &Scene) {
        let row = |at: usize| scene.rows.get(at).map(|row| row.span);
        for source in &scene.sources {
            row(source.row).into_iter().for_each(|span| self.row(&format!("source {}", source.name), span));
        }
        for want in &scene.wants {
            let Some(span) = row(want.row) else { continue };
            let end = scene.rig.point_text(want.end);
            match (want.kind, want.what) {
                (WantKind::Channel | WantKind::Track, Target::Source(source)) => {
                    if let Some(source) = scene.source(source) {
                        self.row(&format!("source {}", source.name), span);
                    }
                }
                (WantKind::Output, Target::Point(from)) => {
                    self.row(&format!("mix {}", scene.rig.point_text(from)), span);
                    self.row(&format!("output {end}"), span);
                }
                (WantKind::Personal, _) => self.row(&format!("feed {end}"), span),
                _ => {}
            }
        }
    }

    /// A row and the changes that touched it.
    fn row(&mut self, thing: &str, span: Span) {
        self.add(thing, span);
        for change in self.changed.get(&span).cloned().unwrap_or_default() {
            self.add(thing, change);
        }
    }

    fn add(&mut self, thing: &str, span: Span) {
        if !self.seen.insert((thing.to_string(), span)) {
            return;
        }
        let Some(file) = self.sources.get(span.file).filter(|file| file.path.is_some()) else { return };
        let origin = Origin {
            file: file.name.clone(),
            line: file.lines.line_col(&file.text, span.start).line,
            says: self.text(span),
        };
        self.origins.entry(thing.to_string()).or_default().push(origin);
    }

    /// In one line, however it is laid out.
    fn text(&self, span: Span) -> String {
        self.sources.text_at(span).split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

/// Every row that changes touched, with them.
fn changed(show: &Show) -> FxHashMap<Span, Vec<Span>> {
    let mut all: FxHashMap<Span, Vec<Span>> = FxHashMap::default();
    fn take<T>(all: &mut FxHashMap<Span, Vec<Span>>, rows: &[Row<T>]) {
        for row in rows.iter().filter(|row| !row.changed_by.is_empty()) {
            let of = all.entry(row.span).or_default();
            of.extend(row.changed_by.iter().copied());
            of.sort_unstable();
            of.dedup();
        }
    }
    for patch in std::iter::once(&show.house).chain(show.acts.iter().map(|act| &act.patch)) {
        take(&mut all, &patch.devices);
        take(&mut all, &patch.links);
        take(&mut all, &patch.looms);
        take(&mut all, &patch.inputs);
        take(&mut all, &patch.outputs);
        take(&mut all, &patch.personal);
    }
    all
}
