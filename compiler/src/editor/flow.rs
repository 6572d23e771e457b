//! The flow of signals as calls: what a source, a point or a mix comes from, and where it goes next. It
//! retells the paths of the plan, of all acts together.

use super::ground::{unproven, views};
use super::spot;
use super::{Index, Role, Symbol};
use crate::Compiled;
use crate::plan::View;
use crate::source::{FileId, Span};
use crate::wants::{Scene, Source, Spot};
use std::collections::{BTreeMap, BTreeSet};

/// A place that a signal passes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Item {
    /// As the plan calls it: `kick-in`, `foh.portA 17`, `foh.mix 1`.
    pub name: String,
    /// The signal that is followed there: a link's slot has one each way.
    pub of: String,
    pub kind: ItemKind,
    /// The label of a source or mix; of another point, the signal.
    pub detail: String,
    /// Where to jump, and the row around it.
    pub span: Span,
    pub row: Span,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ItemKind {
    Source,
    Mix,
    Point,
}

/// What stands at a byte: each source of a row, or each signal on each point of a list.
pub fn flow_at(compiled: &Compiled, index: &Index, file: FileId, offset: u32) -> Vec<Item> {
    let flow = Flow::of(compiled, index);
    let names = flow.names_at(file, offset);
    names.iter().flat_map(|name| flow.on(name).into_iter().filter_map(|of| flow.item(of, name))).collect()
}

/// The hop before; for a mix the sources that it carries.
pub fn incoming(compiled: &Compiled, index: &Index, of: &str, name: &str) -> Vec<Item> {
    let flow = Flow::of(compiled, index);
    let before = flow.hops.iter().filter(|hop| hop.of == of && hop.to == name);
    let before = before.filter_map(|hop| flow.item(hop.of, &hop.from));
    let mixed = flow.mixed.iter().filter(|(_, mix)| name == of && *mix == name);
    before.chain(mixed.filter_map(|(source, _)| flow.item(source, source))).collect()
}

/// The next hops; for a source also the mixes that it goes into.
pub fn outgoing(compiled: &Compiled, index: &Index, of: &str, name: &str) -> Vec<Item> {
    let flow = Flow::of(compiled, index);
    let next = flow.hops.iter().filter(|hop| hop.of == of && hop.from == name);
    let next = next.filter_map(|hop| flow.item(hop.of, &hop.to));
    let mixed = flow.mixed.iter().filter(|(source, _)| name == of && *source == name);
    next.chain(mixed.filter_map(|(_, mix)| flow.item(mix, mix))).collect()
}

/// One step of a signal.
#[derive(PartialEq, Eq)]
struct Hop<'c> {
    of: &'c str,
    from: String,
    to: String,
}

struct Flow<'c> {
    compiled: &'c Compiled,
    index: &'c Index,
    /// Each once, in the order of the plan.
    hops: Vec<Hop<'c>>,
    /// Sources and the mixes that carry them.
    mixed: Vec<(&'c str, &'c str)>,
    /// The label of each signal.
    labels: BTreeMap<&'c str, &'c str>,
    /// The signals on each point.
    carried: BTreeMap<String, Vec<&'c str>>,
}

impl<'c> Flow<'c> {
    fn of(compiled: &'c Compiled, index: &'c Index) -> Self {
        let (hops, mixed, labels, carried) = (Vec::new(), Vec::new(), BTreeMap::new(), BTreeMap::new());
        let mut flow = Flow { compiled, index, hops, mixed, labels, carried };
        if unproven(compiled).is_none() {
            for (_, view) in views(&compiled.plan) {
                flow.take(&view);
            }
        }
        flow
    }

    fn take(&mut self, view: &View<'c>) {
        for signal in view.signals.iter().copied() {
            self.labels.insert(&signal.source, &signal.label);
            let mut known: BTreeSet<(String, String)> = self
                .hops
                .iter()
                .filter(|hop| hop.of == signal.source)
                .map(|hop| (hop.from.clone(), hop.to.clone()))
                .collect();
            self.carry(&signal.source, &signal.source);
            for end in &signal.ends {
                let mut last = signal.source.clone();
                for point in end.path.iter().map(|point| view.in_paths(point)) {
                    if point != last && known.insert((last.clone(), point.clone())) {
                        self.hops.push(Hop { of: &signal.source, from: last, to: point.clone() });
                    }
                    self.carry(&point, &signal.source);
                    last = point;
                }
            }
        }
        for mix in view.mixes.iter().copied() {
            let carried = mix.of.iter().map(|source| (source.as_str(), mix.mix.as_str()));
            let new: Vec<_> = carried.filter(|pair| !self.mixed.contains(pair)).collect();
            self.mixed.extend(new);
        }
    }

    fn carry(&mut self, point: &str, signal: &'c str) {
        let on = self.carried.entry(point.to_string()).or_default();
        if !on.contains(&signal) {
            on.push(signal);
        }
    }

    fn on(&self, name: &str) -> Vec<&'c str> {
        self.carried.get(name).cloned().unwrap_or_default()
    }

    fn names_at(&self, file: FileId, offset: u32) -> Vec<String> {
        let spot = spot::at(self.compiled, file, offset);
        let points = spot.and_then(|spot| spot.points(self.compiled, offset));
        let view = View::any(&self.compiled.plan);
        if let Some(at) = points {
            return at.points.iter().map(|point| view.in_paths(&at.rig.point_text(*point))).collect();
        }
        let Some(name) = self.index.at(file, offset) else { return Vec::new() };
        let mut names: Vec<String> = Vec::new();
        for (scene, source) in sources_of(self.compiled, self.index, name) {
            let name = plan_name(scene, source);
            if !names.contains(&name) {
                names.push(name);
            }
        }
        names
    }

    fn item(&self, of: &str, name: &str) -> Option<Item> {
        let (span, row) = self.place(name)?;
        let kind = match name.contains(' ') {
            false => ItemKind::Source,
            true if self.mixed.iter().any(|(_, mix)| *mix == name) => ItemKind::Mix,
            true => ItemKind::Point,
        };
        let label = self.labels.get(of).filter(|label| **label != of).map(|label| format!("\"{label}\""));
        let detail = [Some(of.to_string()).filter(|of| of != name), label];
        let detail = detail.into_iter().flatten().collect::<Vec<_>>().join(", ");
        Some(Item { name: name.to_string(), of: of.to_string(), kind, detail, span, row })
    }

    /// The row that plugs a source in, asks for an end, sends a mix or lays a cable; else the device's.
    fn place(&self, name: &str) -> Option<(Span, Span)> {
        let of_row = |scene: &Scene, row: usize, whole: bool| {
            let row = scene.rows.get(row)?;
            let shown = if whole { self.name_in(row.span) } else { row.place.or(row.numbers) };
            Some(within(shown.unwrap_or(row.span), row.span))
        };
        self.compiled.scenes.iter().find_map(|scene| {
            let text = |point| scene.rig.point_text(point);
            let source = scene.sources.iter().find(|source| source.name == name);
            if let Some(source) = source {
                return of_row(scene, source.row, true);
            }
            let plugged = scene.sources.iter().find(|source| match source.spot {
                Spot::Socket(point) | Spot::Origin(point) => text(point) == name,
                _ => false,
            });
            let want = || scene.wants.iter().find(|want| text(want.end) == name).map(|want| want.row);
            let sent = || scene.outputs.iter().find(|output| text(output.from) == name).map(|output| output.row);
            let row = plugged.map(|source| source.row).or_else(want).or_else(sent);
            row.and_then(|row| of_row(scene, row, false)).or_else(|| self.of_gear(scene, name))
        })
    }

    fn of_gear(&self, scene: &Scene, name: &str) -> Option<(Span, Span)> {
        let (bank, _) = name.rsplit_once(' ')?;
        let cable = scene
            .rig
            .cables
            .iter()
            .find(|cable| scene.rig.port_text(cable.from) == bank || scene.rig.port_text(cable.to) == bank);
        let (device, _) = bank.rsplit_once('.')?;
        let device = || scene.rig.device(scene.rig.device_named(device)?).map(|device| device.span);
        let span = cable.map(|cable| cable.span).or_else(device)?;
        Some((span, span))
    }

    /// The name that a row declares.
    fn name_in(&self, row: Span) -> Option<Span> {
        let names = self.index.within(row.file, row.start..row.end);
        names.iter().find(|name| name.role == Role::Declares).map(|name| name.span)
    }
}

/// A place may stand in a change, outside of the row.
fn within(span: Span, row: Span) -> (Span, Span) {
    if row.holds(span) { (span, row) } else { (span, span) }
}

/// The sources that a name means, with the scene of each: of a name that is declared here, this row's; of one
/// that is used, every declaring row's.
pub(super) fn sources_of<'c>(
    compiled: &'c Compiled,
    index: &Index,
    name: &super::NameAt,
) -> Vec<(&'c Scene, &'c Source)> {
    if !matches!(name.symbol, Symbol::Source { .. }) {
        return Vec::new();
    }
    let rows: Vec<Span> = match name.role {
        Role::Declares => vec![name.row],
        _ => index.declarations(&name.symbol).map(|name| name.row).collect(),
    };
    let declared =
        |scene: &Scene, source: &Source| scene.rows.get(source.row).is_some_and(|row| rows.contains(&row.span));
    let of =
        |scene: &'c Scene| scene.sources.iter().filter(move |source| declared(scene, source)).map(move |s| (scene, s));
    compiled.scenes.iter().flat_map(of).collect()
}

/// A source as the plan calls its signal: by its name, or by the point that a device gives it from.
pub(super) fn plan_name(scene: &Scene, source: &Source) -> String {
    match source.spot {
        Spot::Origin(point) => scene.rig.point_text(point),
        _ => source.name.clone(),
    }
}
