//! Who may be named from where: what the files declare, by name, and the banks of every model.

use super::{Owner, Symbol};
use crate::Compiled;
use crate::project::attrs;
use crate::source::FileId;
use crate::syntax::ast::{AttrKind, Device, DeviceWord, InputRow, ModelItemKind, Name, Statement, StatementKind};
use std::collections::{BTreeMap, BTreeSet};

/// A name within the show, or within one of its acts.
type InAct = (Option<String>, String);

#[derive(Debug, Default)]
pub(super) struct Scope {
    /// By name, the model; `outside` gear has none.
    devices: BTreeMap<String, Option<String>>,
    /// The only desk, for rows that do not say theirs.
    only_desk: Option<String>,
    sources: BTreeSet<InAct>,
    groups: BTreeSet<InAct>,
    acts: BTreeSet<String>,
    models: BTreeMap<String, Option<String>>,
    parts: BTreeSet<(Owner, String)>,
    mics: BTreeSet<String>,
    kinds: BTreeSet<String>,
}

impl Scope {
    pub(super) fn of(compiled: &Compiled, acts: &BTreeMap<FileId, String>) -> Scope {
        let mut scope = Scope::default();
        for (file, parsed) in &compiled.parsed {
            scope.take(&parsed.statements, acts.get(file).map(String::as_str));
        }
        let desks = || compiled.show.house.devices.iter().filter(|row| row.node.word.value == DeviceWord::Desk);
        if let (Some(desk), 1) = (desks().next(), desks().count()) {
            scope.only_desk = Some(desk.node.name.value.clone());
        }
        // What a change of the model says holds; only the compiled show has it.
        let acts = compiled.show.acts.iter().flat_map(|act| &act.patch.devices);
        for row in compiled.show.house.devices.iter().chain(acts) {
            if let Some(known) = scope.devices.get_mut(&row.node.name.value) {
                *known = row.node.model.as_ref().map(|model| model.value.clone());
            }
        }
        scope
    }

    fn take(&mut self, statements: &[Statement], act: Option<&str>) {
        for statement in statements {
            self.take_one(&statement.kind, act);
        }
    }

    fn take_one(&mut self, kind: &StatementKind, act: Option<&str>) {
        let in_act = |name: &Name| (act.map(str::to_string), name.value.clone());
        match kind {
            StatementKind::Device(device) => self.take_device(device),
            StatementKind::Inputs { rows, .. } => {
                let own = rows.iter().filter(|row| act.is_none() || attrs::declares(row));
                self.sources.extend(own.map(|row: &InputRow| in_act(&row.name)));
            }
            StatementKind::Group { name, .. } => {
                self.groups.insert(in_act(name));
            }
            StatementKind::Act(act) => {
                self.acts.insert(act.name.value.clone());
                self.take(&act.statements, Some(&act.name.value));
            }
            StatementKind::Model(model) => {
                let like = model.like.as_ref().map(|like| like.value.clone());
                self.models.insert(model.name.value.clone(), like);
                let parts = model.items.iter().filter_map(|item| declared_part(&item.kind));
                let owner = Owner::Model(model.name.value.clone());
                self.parts.extend(parts.map(|part| (owner.clone(), part.value.clone())));
            }
            StatementKind::Mic(mic) => {
                self.mics.insert(mic.name.value.clone());
            }
            StatementKind::Kind(kind) => {
                self.kinds.insert(kind.name.value.clone());
            }
            _ => {}
        }
    }

    fn take_device(&mut self, device: &Device) {
        let name = &device.name.value;
        self.devices.insert(name.clone(), device.model.as_ref().map(|model| model.value.clone()));
        for attr in &device.attrs {
            if let AttrKind::Bank { name: bank, .. } = &attr.kind {
                self.parts.insert((Owner::Device(name.clone()), bank.value.clone()));
            }
        }
    }

    pub(super) fn device(&self, name: &str) -> Option<Symbol> {
        self.devices.contains_key(name).then(|| Symbol::Device(name.to_string()))
    }

    pub(super) fn only_desk(&self) -> Option<&str> {
        self.only_desk.as_deref()
    }

    /// A source, as a row of this act, or of the house, finds it.
    pub(super) fn source(&self, act: Option<&str>, name: &str) -> Option<Symbol> {
        let act = found_in(&self.sources, act, name)?;
        Some(Symbol::Source { act, name: name.to_string() })
    }

    pub(super) fn group(&self, act: Option<&str>, name: &str) -> Option<Symbol> {
        let act = found_in(&self.groups, act, name)?;
        Some(Symbol::Group { act, name: name.to_string() })
    }

    pub(super) fn act(&self, name: &str) -> Option<Symbol> {
        self.acts.contains(name).then(|| Symbol::Act(name.to_string()))
    }

    /// A source that is the act's own.
    pub(super) fn own_source(&self, act: &str, name: &str) -> Option<Symbol> {
        let known = self.sources.contains(&(Some(act.to_string()), name.to_string()));
        known.then(|| Symbol::Source { act: Some(act.to_string()), name: name.to_string() })
    }

    /// What a row calls its microphone or kind.
    pub(super) fn mic(&self, name: &str) -> Option<Symbol> {
        let kind = || self.kinds.contains(name).then(|| Symbol::Kind(name.to_string()));
        if self.mics.contains(name) { Some(Symbol::Mic(name.to_string())) } else { kind() }
    }

    pub(super) fn kind(&self, name: &str) -> Option<Symbol> {
        self.kinds.contains(name).then(|| Symbol::Kind(name.to_string()))
    }

    /// A bank, port or named block of a device.
    pub(super) fn part_of_device(&self, device: &str, name: &str) -> Option<Symbol> {
        let of = Owner::Device(device.to_string());
        if self.parts.contains(&(of.clone(), name.to_string())) {
            return Some(Symbol::Part { of, name: name.to_string() });
        }
        self.part_of_model(self.devices.get(device)?.as_deref()?, name)
    }

    /// A part of a model, which may have it from the model that it is like.
    pub(super) fn part_of_model(&self, model: &str, name: &str) -> Option<Symbol> {
        let mut model = model;
        // Models that are like each other in a ring have been told; nobody walks it twice.
        for _ in 0..=self.models.len() {
            let of = Owner::Model(model.to_string());
            if self.parts.contains(&(of.clone(), name.to_string())) {
                return Some(Symbol::Part { of, name: name.to_string() });
            }
            model = self.models.get(model)?.as_deref()?;
        }
        None
    }
}

/// The act, or the house, that has this name as seen from this act.
fn found_in(known: &BTreeSet<InAct>, act: Option<&str>, name: &str) -> Option<Option<String>> {
    let own = (act.map(str::to_string), name.to_string());
    if known.contains(&own) {
        return Some(own.0);
    }
    known.contains(&(None, own.1)).then_some(None)
}

/// The name that a row of a model declares.
pub(super) fn declared_part(item: &ModelItemKind) -> Option<&Name> {
    match item {
        ModelItemKind::Bank(bank) => Some(&bank.name),
        ModelItemKind::Port(port) => Some(&port.name),
        ModelItemKind::Block { name, .. } => Some(name),
        _ => None,
    }
}
