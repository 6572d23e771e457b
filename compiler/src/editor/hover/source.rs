//! A source: what it is, where each of its values was said, the preamps that it comes by, and its whole path.

use super::gear::mic_line;
use super::path::paths;
use super::{Part, line, table};
use crate::Compiled;
use crate::editor::flow::{plan_name, sources_of};
use crate::editor::ground::{unproven, views};
use crate::editor::index::{Index, NameAt, Role, Symbol};
use crate::editor::origin;
use crate::plan::{Points, View, preamp};
use crate::source::Span;
use crate::wants::{Scene, Source, Spot, Target};
use std::collections::BTreeSet;

pub(super) fn source(compiled: &Compiled, index: &Index, name: &NameAt) -> Option<(String, Vec<Part>)> {
    let found = sources_of(compiled, index, name);
    let mut parts: Vec<Part> =
        found.first().and_then(|(_, source)| source.mic.as_ref()).map(mic_line).into_iter().map(line).collect();
    parts.extend(declared_in(index, name).into_iter().filter_map(|row| table("said", origin::values(compiled, row))));
    let mut names: Vec<String> = Vec::new();
    for (scene, source) in &found {
        let name = plan_name(scene, source);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    if unproven(compiled).is_some() {
        let mut known: Vec<String> = found.iter().flat_map(|(scene, source)| asked(scene, source)).collect();
        known.dedup();
        parts.extend(known.into_iter().map(line));
    }
    parts.extend(preamps(compiled, &names).into_iter().map(line));
    let title = title(name, &found);
    parts.extend(paths(compiled, &names, &title));
    Some((title, parts))
}

/// `kick-in, "Kick In"`, `keys: keys.left, keys.right`
fn title(name: &NameAt, found: &[(&Scene, &Source)]) -> String {
    let mut of: Vec<&Source> = Vec::new();
    for (_, source) in found {
        if !of.iter().any(|known| known.name == source.name) {
            of.push(source);
        }
    }
    let own = match &name.symbol {
        Symbol::Source { act: Some(act), name } => format!("{act}.{name}"),
        symbol => symbol.name().to_string(),
    };
    match of.as_slice() {
        [] => own,
        [one] => format!("{}, \"{}\"", one.name, one.label),
        several => {
            let names: Vec<&str> = several.iter().map(|source| source.name.as_str()).collect();
            format!("{own}: {}", names.join(", "))
        }
    }
}

/// The rows that declare it: this one, or all where it is only used here.
fn declared_in(index: &Index, name: &NameAt) -> Vec<Span> {
    match name.role {
        Role::Declares => vec![name.row],
        _ => index.declarations(&name.symbol).map(|name| name.row).collect(),
    }
}

/// What the rows say of a source, where no plan says more.
fn asked(scene: &Scene, source: &Source) -> Vec<String> {
    let mut said = Vec::new();
    match &source.spot {
        Spot::Socket(point) => said.push(format!("{} plugs into {}", source.name, scene.rig.point_text(*point))),
        Spot::Origin(point) => said.push(format!("{} comes from {}", source.name, scene.rig.point_text(*point))),
        Spot::Any(_) | Spot::Nowhere => {}
    }
    let wants = scene.wants.iter().filter(|want| match want.what {
        Target::Source(index) => scene.source(index).is_some_and(|of| of.name == source.name),
        Target::Point(_) => false,
    });
    let ends: Vec<String> = wants.map(|want| scene.rig.point_text(want.end)).collect();
    if !ends.is_empty() {
        said.push(format!("{} is wanted at {}", source.name, ends.join(", ")));
    }
    said
}

/// `preamp stage-left.in 1: 48 V on, gain 22 dB, set from foh`
fn preamps(compiled: &Compiled, names: &[String]) -> Vec<String> {
    let mut said: Vec<(String, BTreeSet<&str>)> = Vec::new();
    let views = views(&compiled.plan);
    for (act, view) in &views {
        for socket in sockets(view, names) {
            let Some(set) = set_at(view, &socket) else { continue };
            let text = format!("preamp {socket}: {set}");
            match said.iter_mut().find(|(known, _)| *known == text) {
                Some((_, acts)) => acts.extend(act),
                None => said.push((text, act.iter().copied().collect())),
            }
        }
    }
    let in_acts = |(text, acts): (String, BTreeSet<&str>)| match acts.len() {
        0 => text,
        all if all == views.len() => text,
        _ => format!("{text} (act {})", acts.into_iter().collect::<Vec<_>>().join(", ")),
    };
    said.into_iter().map(in_acts).collect()
}

/// The points on the ways of these sources, each by both of its names, once.
fn sockets(view: &View, names: &[String]) -> Vec<String> {
    let signals = view.signals.iter().filter(|signal| names.contains(&signal.source));
    let mut points: Vec<String> = Vec::new();
    for point in signals.flat_map(|signal| &signal.ends).flat_map(|end| &end.path) {
        let far = view.far_end(point).map(|(far, _)| far);
        for point in std::iter::once(point.clone()).chain(far) {
            if !points.contains(&point) {
                points.push(point);
            }
        }
    }
    points
}

fn set_at(view: &View, socket: &str) -> Option<String> {
    let at = Points::read(socket)?;
    let settings: Vec<_> = ["phantom", "gain", "pad"].iter().filter_map(|set| view.setting(set, &at)).collect();
    let owner = settings.iter().find_map(|setting| setting.owner.as_ref()).filter(|owner| **owner != at.device);
    let said: Vec<String> = settings.iter().map(|setting| preamp(setting)).collect();
    let owner = owner.map(|owner| format!(", set from {owner}")).unwrap_or_default();
    (!said.is_empty()).then(|| format!("{}{owner}", said.join(", ")))
}
