//! Where the things of a plan are said: for each every row that says something of it, with the changes that touched the
//! row and the groups that it names. It reads the texts for nothing but their lines.

use crate::plan::{Origin, Origins};
use crate::project::{Group, Patch, Row, Show};
use crate::source::{Sources, Span};
use crate::syntax::ast::{self, AttrKind, Terms};
use crate::wants::{Scene, Target, WantKind};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

/// All origins of a show, in every act.
pub fn origins(show: &Show, scenes: &[Scene], sources: &Sources) -> Origins {
    let mut found = Found { sources, of_rows: OfRows::of(show), places: FxHashMap::default() };
    found.show(show);
    found.gear(&show.house, None);
    for act in &show.acts {
        found.gear(&act.patch, Some(&act.name.value));
    }
    for scene in scenes {
        found.scene(scene);
    }
    found.in_place_of_rows(show, scenes);
    found.finished()
}

/// Where a row stands, in which act alone, and in which desk's list.
type Place<'s> = (Span, Option<&'s str>, Option<&'s str>);

struct Found<'s> {
    sources: &'s Sources,
    of_rows: OfRows<'s>,
    places: FxHashMap<String, Vec<Place<'s>>>,
}

impl<'s> Found<'s> {
    fn show(&mut self, show: &'s Show) {
        show.head.iter().for_each(|head| self.add("show".into(), (head.span, None, None)));
        show.rate.iter().for_each(|rate| self.add("show rate".into(), (rate.span, None, None)));
        show.clock.iter().for_each(|clock| self.add("show clock".into(), (clock.span, None, None)));
        for act in &show.acts {
            let ends = [
                act.title.as_ref().map(|title| title.span),
                act.from.as_ref().map(|at| at.span),
                act.to.as_ref().map(|at| at.span),
            ];
            let head = ends.into_iter().flatten().fold(act.name.span, |head, end| head.to(end));
            self.add(format!("act {}", act.name.value), (head, None, None));
        }
        for gone in &show.taken_out {
            self.add(format!("act {}", gone.value), (gone.span, None, None));
        }
        for allow in &show.allows {
            self.add(format!("allowed {}", allow.rule.value), (allow.span, allow.act.as_deref(), None));
        }
        show.library.said.iter().for_each(|(thing, span)| self.add(thing.clone(), (*span, None, None)));
    }

    /// What a patch says of gear and of whole lists. Of an act that is its own and the house's again.
    fn gear(&mut self, patch: &'s Patch, act: Option<&'s str>) {
        for device in &patch.devices {
            self.row(format!("device {}", device.node.name.value), device.span, act, None);
        }
        for link in &patch.links {
            for end in [&link.node.from, &link.node.to] {
                self.row(format!("cable {}", self.text(end.span)), link.span, act, None);
            }
        }
        for loom in &patch.looms {
            self.row(format!("cable {}", self.text(loom.node.from.span)), loom.span, act, None);
        }
        for spare in &patch.spare_cables {
            self.row("spare cable".into(), spare.span, act, None);
        }
        for list in &patch.same_inputs {
            self.row(format!("list {}", list.node.desk.value), list.span, act, None);
        }
    }

    fn scene(&mut self, scene: &'s Scene) {
        let act = scene.act.as_deref();
        let place =
            |at: usize| scene.rows.get(at).map(|row| (row.span, row.desk.map(|desk| scene.rig.device_name(desk))));
        for source in &scene.sources {
            let Some((span, desk)) = place(source.row) else { continue };
            self.row(format!("source {}", source.name), span, act, desk);
        }
        for want in &scene.wants {
            let Some((span, desk)) = place(want.row) else { continue };
            let end = || scene.rig.point_text(want.end);
            match (want.kind, want.what) {
                (WantKind::Channel | WantKind::Track, Target::Source(source)) => {
                    // Its own row is known already.
                    if let Some(source) = scene.source(source).filter(|source| source.row != want.row) {
                        self.row(format!("source {}", source.name), span, act, desk);
                    }
                }
                (WantKind::Output, Target::Point(from)) => {
                    self.row(format!("mix {}", scene.rig.point_text(from)), span, act, desk);
                    self.row(format!("output {}", end()), span, act, desk);
                }
                (WantKind::Personal, _) => self.row(format!("feed {}", end()), span, act, desk),
                _ => {}
            }
        }
        for kept in &scene.kept {
            let Some(source) = scene.source(kept.source) else { continue };
            self.row(format!("source {}", source.name), kept.span, act, None);
        }
        for pin in &scene.pins {
            let Some(to) = pin.to.first() else { continue };
            self.row(format!("device {}", scene.rig.device_name(to.device)), pin.span, act, None);
        }
        for (span, device) in &scene.recorded {
            self.row(format!("recording {}", scene.rig.device_name(*device)), *span, act, None);
        }
    }

    /// Rows that are not there in some act, or at all, by what they say.
    fn in_place_of_rows(&mut self, show: &'s Show, scenes: &'s [Scene]) {
        for gone in &show.removed {
            self.add(format!("row {}", self.text(gone.row)), (gone.by, gone.act.as_deref(), None));
        }
        for scene in scenes {
            for replaced in &scene.rows_replaced {
                self.add(format!("row {}", self.text(replaced.row)), (replaced.at, scene.act.as_deref(), None));
            }
        }
    }

    /// A row as it stands in an act, with whatever else says what it means.
    fn row(&mut self, thing: String, span: Span, act: Option<&'s str>, list: Option<&'s str>) {
        let places = self.places.entry(thing).or_default();
        let own = self.of_rows.act.get(&span).copied();
        places.push((span, own, list));
        let more = self.of_rows.more.get(&span).into_iter().flatten();
        places.extend(more.filter(|(_, of)| of.is_none() || *of == act).map(|(more, of)| (*more, *of, None)));
    }

    fn add(&mut self, thing: String, place: Place<'s>) {
        self.places.entry(thing).or_default().push(place);
    }

    /// In one line, however it is laid out.
    fn text(&self, span: Span) -> String {
        self.sources.text_at(span).split_whitespace().collect::<Vec<_>>().join(" ")
    }

    fn origin(&self, (span, act, list): Place) -> Option<Origin> {
        let file = self.sources.get(span.file).filter(|file| file.path.is_some())?;
        Some(Origin {
            file: file.name.clone(),
            line: file.lines.line_col(&file.text, span.start).line,
            says: self.text(span),
            act: act.map(str::to_string),
            list: list.map(str::to_string),
        })
    }

    fn finished(mut self) -> Origins {
        let places = std::mem::take(&mut self.places);
        let origins = |mut places: Vec<Place>| {
            places.sort_unstable();
            places.dedup();
            let mut origins: Vec<Origin> = places.into_iter().filter_map(|place| self.origin(place)).collect();
            origins.sort();
            origins
        };
        let all = places.into_iter().map(|(thing, places)| (thing, origins(places)));
        all.filter(|(_, origins)| !origins.is_empty()).collect()
    }
}

/// What is known of rows beside their text.
struct OfRows<'s> {
    /// The act that declares it.
    act: FxHashMap<Span, &'s str>,
    /// The changes that touched it and the groups that it names, each with the act in which it does alone.
    more: FxHashMap<Span, Vec<(Span, Option<&'s str>)>>,
}

impl<'s> OfRows<'s> {
    fn of(show: &'s Show) -> Self {
        let mut rows = OfRows { act: FxHashMap::default(), more: FxHashMap::default() };
        rows.patch(&show.house, None);
        for act in &show.acts {
            rows.patch(&act.patch, Some(&act.name.value));
        }
        rows
    }

    fn patch(&mut self, patch: &'s Patch, act: Option<&'s str>) {
        self.rows(&patch.devices, act);
        self.rows(&patch.links, act);
        self.rows(&patch.looms, act);
        self.rows(&patch.spare_cables, act);
        self.rows(&patch.same_inputs, act);
        self.rows(&patch.inputs, act);
        self.rows(&patch.outputs, act);
        self.rows(&patch.personal, act);
        self.rows(&patch.records, act);
        self.rows(&patch.keeps, act);
        self.rows(&patch.sets, act);
        self.rows(&patch.groups, act);
        let groups = patch.groups.iter().map(|row| (row.node.name.value.as_str(), row)).collect();
        let mut named = |row: Span, terms: Option<&Terms>| {
            let mut found = BTreeMap::new();
            terms.into_iter().for_each(|terms| groups_in(terms, &groups, &mut found));
            for group in found.into_values() {
                let changes = self.more.get(&group.span).into_iter().flatten().copied();
                let all: Vec<_> = changes.chain([(group.span, group.act.as_deref())]).collect();
                all.into_iter().for_each(|(span, of)| self.add(row, span, of));
            }
        };
        for row in &patch.outputs {
            for attr in &row.node.row.attrs {
                if let AttrKind::Of(sources) = &attr.kind {
                    named(row.span, names(sources));
                }
            }
        }
        patch.personal.iter().for_each(|row| named(row.span, Some(&row.node.row.feeds)));
        patch.keeps.iter().for_each(|row| named(row.span, Some(&row.node.what)));
        patch.records.iter().for_each(|row| named(row.span, names(&row.node.what)));
    }

    fn rows<T>(&mut self, rows: &'s [Row<T>], act: Option<&'s str>) {
        for row in rows {
            if let Some(act) = &row.act {
                self.act.insert(row.span, act);
            }
            row.changed_by.iter().for_each(|change| self.add(row.span, *change, act));
        }
    }

    /// What the house says of a row holds in every act.
    fn add(&mut self, row: Span, more: Span, act: Option<&'s str>) {
        let of = self.more.entry(row).or_default();
        if !of.contains(&(more, None)) && !of.contains(&(more, act)) {
            of.push((more, act));
        }
    }
}

fn names(sources: &ast::Sources) -> Option<&Terms> {
    match sources {
        ast::Sources::All { but, .. } => but.as_ref(),
        ast::Sources::Named(terms) => Some(terms),
    }
}

type Groups<'s> = FxHashMap<&'s str, &'s Row<Group>>;

/// The rows of the groups that a list names, through other groups too.
fn groups_in<'s>(terms: &Terms, groups: &Groups<'s>, found: &mut BTreeMap<&'s str, &'s Row<Group>>) {
    for name in terms.terms.iter().filter(|term| term.range.is_none()).filter_map(|term| term.name.as_ref()) {
        let [name] = name.parts.as_slice() else { continue };
        let Some((name, row)) = groups.get_key_value(name.value.as_str()) else { continue };
        if found.insert(name, row).is_none() {
            groups_in(&row.node.members, groups, found);
        }
    }
}
