//! Names that the last compiled show has. Its texts may be older than what is being written, so nothing here
//! looks at a place in them.

use super::Kind;
use crate::Compiled;
use crate::diagnostics::Severity;
use crate::plan::Role;
use crate::project::{Act, Input, Patch, Row, attrs};
use crate::rig::{Lane, LaneKind, Model, PortFact, Rig};
use crate::rules;
use crate::syntax::ast::{self, DeviceWord, Faces, ModelItemKind};
use crate::wants::Scene;
use crate::wants::free::Free;
use std::collections::BTreeSet;

/// Something to offer, before it is known where it goes.
#[derive(Clone, Debug)]
pub(super) struct Offer {
    pub label: String,
    pub kind: Kind,
    pub detail: String,
    pub doc: String,
    /// Lower stands higher; equal ones keep their order.
    pub rank: usize,
    /// With `${1:…}` where something is to be filled in.
    pub snippet: Option<String>,
}

impl Offer {
    pub fn new(label: impl Into<String>, kind: Kind) -> Offer {
        Offer { label: label.into(), kind, detail: String::new(), doc: String::new(), rank: kind.rank(), snippet: None }
    }

    pub fn detail(mut self, detail: impl Into<String>) -> Offer {
        self.detail = detail.into();
        self
    }

    pub fn doc(mut self, doc: impl Into<String>) -> Offer {
        self.doc = doc.into();
        self
    }

    pub fn rank(mut self, rank: usize) -> Offer {
        self.rank = rank;
        self
    }
}

/// The show as a place sees it: the house, or the act that it stands in.
pub(super) struct Known<'c> {
    pub compiled: &'c Compiled,
    pub patch: &'c Patch,
    /// The act's scene; for the house every one, since its rows hold in all of them.
    pub scenes: Vec<(&'c Scene, Free<'c>)>,
}

impl<'c> Known<'c> {
    pub fn of(compiled: &'c Compiled, act: Option<&str>) -> Known<'c> {
        let own = act.and_then(|act| compiled.show.acts.iter().find(|known| known.name.value == act));
        let scenes = || compiled.scenes.iter().map(|scene| (scene, Free::of(scene)));
        let in_act: Vec<_> = scenes().filter(|(scene, _)| own.is_some() && scene.act.as_deref() == act).collect();
        Known {
            compiled,
            patch: own.map_or(&compiled.show.house, |act| &act.patch),
            scenes: if in_act.is_empty() { scenes().collect() } else { in_act },
        }
    }

    pub fn scene(&self) -> Option<&'c Scene> {
        self.scenes.first().map(|(scene, _)| *scene)
    }

    pub fn rig(&self) -> Option<&'c Rig> {
        self.scene().map(|scene| &scene.rig)
    }

    /// The desk whose rows these are: the one named, else the only one.
    pub fn desk(&self, name: Option<&str>) -> Option<u32> {
        let rig = self.rig()?;
        name.map_or_else(|| rig.only_desk(), |name| rig.device_named(name))
    }

    /// Devices that `wanted` takes, in the order in which they hang on their desks.
    pub fn devices(&self, wanted: impl Fn(DeviceWord) -> bool) -> Vec<Offer> {
        let Some(rig) = self.rig() else { return Vec::new() };
        let devices = rig.walk_order().into_iter().filter_map(|device| Some((device, rig.device(device)?)));
        let wanted = devices.filter(|(_, device)| wanted(device.word));
        wanted.map(|(at, device)| self.device(at, &device.name)).collect()
    }

    fn device(&self, at: u32, name: &str) -> Offer {
        let model = self.rig().and_then(|rig| rig.model(at));
        let offer = Offer::new(name, Kind::Device);
        model.map_or(offer.clone(), |model| offer.detail(&model.name).doc(facts(model)))
    }

    /// Every model, those that are made for this word first.
    pub fn models(&self, word: &str) -> Vec<Offer> {
        let models = self.compiled.show.library.models.iter();
        models.map(|model| self.model(model, word)).collect()
    }

    fn model(&self, model: &ast::Model, word: &str) -> Offer {
        let name = &model.name.value;
        let known = self.rig().and_then(|rig| rig.models.iter().find(|known| known.name == *name));
        let rank = Kind::Model.rank() + usize::from(!self.is_made_for(model, word)) * 50;
        let label = model.label.as_ref().map_or("", |label| label.value.as_str());
        let offer = Offer::new(name, Kind::Model).detail(label).rank(rank);
        known.map_or(offer.clone(), |known| offer.doc(facts(known)))
    }

    /// A model of that name, one like such a one, or one that has what such a device must have.
    fn is_made_for(&self, model: &ast::Model, word: &str) -> bool {
        let word = if word == "console" { "desk" } else { word };
        let chain = self.like(model);
        let named = |model: &&ast::Model| model.name.value.strip_prefix(word).is_some_and(|rest| rest.starts_with('-'));
        let bank = |name: &str| {
            chain
                .iter()
                .flat_map(|model| &model.items)
                .any(|item| matches!(&item.kind, ModelItemKind::Bank(bank) if bank.name.value == name))
        };
        chain.iter().any(named) || (word == "desk" && bank("channel"))
    }

    /// The model, and those that it is like, nearest first.
    fn like(&self, model: &'_ ast::Model) -> Vec<&'c ast::Model> {
        let find = |name: &str| self.compiled.show.library.models.iter().find(|model| model.name.value == name);
        let (mut chain, mut at) = (Vec::new(), find(&model.name.value));
        while let Some(model) = at.filter(|_| chain.len() <= self.compiled.show.library.models.len()) {
            chain.push(model);
            at = model.like.as_ref().and_then(|like| find(&like.value));
        }
        chain
    }

    /// Banks, ports and named blocks of a model that is being written.
    pub fn parts_of(&self, model: &str, ports_only: bool) -> Vec<Offer> {
        let find = self.compiled.show.library.models.iter().find(|known| known.name.value == model);
        let items = find.map(|model| self.like(model)).unwrap_or_default().into_iter().flat_map(|model| &model.items);
        let mut seen = BTreeSet::new();
        let part = |item: &'c ast::ModelItem| match &item.kind {
            ModelItemKind::Port(port) => Some((&port.name.value, Kind::Port)),
            ModelItemKind::Bank(bank) if !ports_only => Some((&bank.name.value, Kind::Bank)),
            ModelItemKind::Block { name, .. } if !ports_only => Some((&name.value, Kind::Bank)),
            _ => None,
        };
        items
            .filter_map(part)
            .filter(|(name, _)| seen.insert(*name))
            .map(|(name, kind)| Offer::new(name, kind))
            .collect()
    }

    /// Sources of this list, and of every other, each with what it is and where it arrives.
    pub fn sources(&self) -> Vec<Offer> {
        let mut seen = BTreeSet::new();
        let rows = self.patch.inputs.iter().filter(|row| seen.insert(&row.node.row.name.value));
        rows.map(|row| {
            let mic = attrs::mic(&row.node.row.attrs).map(|(mic, _)| mic.value.clone());
            let said: Vec<String> = mic.into_iter().chain(self.channels_text(row)).collect();
            Offer::new(&row.node.row.name.value, Kind::Source).detail(said.join(" on "))
        })
        .collect()
    }

    /// What follows a source's name and a dot, or an act's: `left` of `keys.left`.
    pub fn inside(&self, name: &str) -> Vec<Offer> {
        let scenes = self.compiled.scenes.iter().flat_map(|scene| &scene.sources);
        let parts: BTreeSet<&str> =
            scenes.filter_map(|source| source.name.strip_prefix(name)?.strip_prefix('.')).collect();
        let first: BTreeSet<&str> = parts.into_iter().filter_map(|part| part.split('.').next()).collect();
        let names = first.into_iter().filter(|part| part.starts_with(char::is_alphabetic));
        names.map(|part| Offer::new(part, Kind::Source)).collect()
    }

    /// `foh.channel 3-4`
    fn channels_text(&self, row: &Row<Input>) -> Option<String> {
        let desk = row.node.desk.as_ref().map(|desk| desk.value.as_str());
        let desk = self.rig()?.device_name(self.desk(desk)?);
        let ranges = &row.node.row.channels.as_ref()?.ranges;
        let text = |range: &ast::Range| match range.first == range.last {
            true => range.first.to_string(),
            false => format!("{}-{}", range.first, range.last),
        };
        Some(format!("{desk}.channel {}", ranges.iter().map(text).collect::<Vec<_>>().join(", ")))
    }

    /// Sources that a list of this desk has not yet.
    pub fn again(&self, desk: Option<&str>) -> Vec<Offer> {
        let same =
            |row: &Row<Input>| self.desk(row.node.desk.as_ref().map(|desk| desk.value.as_str())) == self.desk(desk);
        let here: BTreeSet<&str> =
            self.patch.inputs.iter().filter(|row| same(row)).map(|row| row.node.row.name.value.as_str()).collect();
        self.sources().into_iter().filter(|offer| !here.contains(offer.label.as_str())).collect()
    }

    /// How many channels a source takes.
    pub fn width(&self, source: &str) -> Option<u32> {
        let row = self.patch.inputs.iter().find(|row| row.node.row.name.value == source)?;
        let ranges = &row.node.row.channels.as_ref()?.ranges;
        Some(
            ranges
                .iter()
                .fold(0, |sum, range| range.last.saturating_sub(range.first).saturating_add(1).saturating_add(sum)),
        )
    }

    pub fn groups(&self) -> Vec<Offer> {
        let groups = self.patch.groups.iter();
        groups.map(|row| Offer::new(&row.node.name.value, Kind::Group).detail("group")).collect()
    }

    pub fn acts(&self) -> Vec<Offer> {
        let title = |act: &Act| act.title.as_ref().map(|title| title.value.clone()).unwrap_or_default();
        let acts = self.compiled.show.acts.iter();
        acts.map(|act| Offer::new(&act.name.value, Kind::Act).detail(title(act))).collect()
    }

    /// Microphones that the crew owns.
    pub fn mics(&self) -> Vec<Offer> {
        let mics = self.compiled.show.library.mics.iter();
        let kind = |mic: &ast::Mic| mic.kind.as_ref().map(|kind| kind.value.clone()).unwrap_or_default();
        let label = |mic: &ast::Mic| mic.label.as_ref().map(|label| label.value.clone()).unwrap_or_default();
        mics.map(|mic| Offer::new(&mic.name.value, Kind::Mic).detail(kind(mic)).doc(label(mic))).collect()
    }

    pub fn kinds(&self) -> Vec<Offer> {
        let kinds = self.compiled.show.library.kinds.iter();
        kinds
            .map(|kind| {
                let phantom = kind.phantom.as_ref().map_or("", |policy| match policy.value {
                    ast::PhantomPolicy::Needs => "needs phantom",
                    ast::PhantomPolicy::Tolerates => "tolerates phantom",
                    ast::PhantomPolicy::Never => "never phantom",
                });
                Offer::new(&kind.name.value, Kind::Kind).detail(phantom)
            })
            .collect()
    }

    pub fn signals(&self) -> Vec<Offer> {
        let signals: BTreeSet<&str> = self.rig().into_iter().flat_map(|rig| rig.library.signals()).collect();
        signals.into_iter().map(|signal| Offer::new(signal, Kind::Kind)).collect()
    }

    pub fn carriers(&self) -> Vec<Offer> {
        let carriers = self.rig().into_iter().flat_map(|rig| rig.library.carriers());
        carriers.map(|carrier| Offer::new(carrier, Kind::Carrier)).collect()
    }
}

/// Every rule, with what it says.
pub(super) fn rules() -> Vec<Offer> {
    let usual = |rule: &rules::Rule| rule.severity == Severity::Error;
    let offer = |rule: &rules::Rule| {
        let rank = Kind::Rule.rank() + usize::from(usual(rule)) * 50;
        Offer::new(rule.slug, Kind::Rule).detail(rule.code).doc(rule.summary()).rank(rank)
    };
    rules::ALL.iter().map(offer).collect()
}

/// Whether a source of the plan is this row's: `keys`, `keys.left`, `heron.keys`.
pub(super) fn is_of(source: &str, row: &str) -> bool {
    source.split('.').any(|part| part == row)
}

/// A model in a line: its banks, then its ports.
pub(super) fn facts(model: &Model) -> String {
    let bank = |lane: &Lane| match lane.kind {
        LaneKind::Bank(role) => {
            let way = match role {
                Role::In if lane.name != "in" => " (in)",
                Role::Out if lane.name != "out" => " (out)",
                _ => "",
            };
            Some(format!("{} 1-{}{way}", lane.name, lane.size))
        }
        _ => None,
    };
    let port = |port: &PortFact| {
        let faces = match port.faces {
            Faces::Desk => "to the desk",
            Faces::Next => "to the next",
            Faces::Any => "either way",
        };
        format!("{} {} {faces}", port.name, port.carrier)
    };
    let banks: Vec<String> = model.lanes.iter().filter_map(bank).collect();
    let ports: Vec<String> = model.ports.iter().map(port).collect();
    let lines = [model.label.clone().unwrap_or_default(), banks.join(", "), ports.join(", ")];
    lines.into_iter().filter(|line| !line.is_empty()).collect::<Vec<_>>().join("\n")
}
