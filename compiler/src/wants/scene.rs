//! The house or one act, with everything its rows want.

use super::names::OfActs;
use super::{
    Kept, Mix, Never, Output, Personal, Pin, PinFrom, Recording, Replaced, RowFact, RowKind, Source, Speaker, Spot,
    Want,
};
use super::{free, inputs, keep, outputs, record};
use crate::diagnostics::{Diagnostic, Sort, counted};
use crate::project::{Patch, Show};
use crate::rig::{Asked, Point, Rig, unknown};
use crate::source::Span;
use crate::syntax::ast::{Name, Priority, Terms};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A rig and what must reach where on it.
#[derive(Clone, Debug)]
pub struct Scene {
    pub act: Option<String>,
    pub rig: Rig,
    pub rows: Vec<RowFact>,
    pub sources: Vec<Source>,
    pub wants: Vec<Want>,
    /// The channels that `wants` has.
    pub(super) channels: BTreeSet<Point>,
    pub nevers: Vec<Never>,
    /// Every origin that some row sends or says the contents of, in order of points.
    pub mixes: BTreeMap<Point, Mix>,
    pub outputs: Vec<Output>,
    pub personal: Vec<Personal>,
    pub kept: Vec<Kept>,
    pub recordings: Vec<Recording>,
    /// Every `record`, with the device that it records on.
    pub recorded: Vec<(Span, u32)>,
    pub pins: Vec<Pin>,
    pub groups: BTreeMap<String, (Terms, Speaker)>,
    /// Source index by the name that a row of this scene may use: whole sources and parts.
    pub(super) by_name: BTreeMap<String, Vec<usize>>,
    /// Names of the house that this act's rows replaced, with how many sources each was.
    pub(super) replaced: BTreeMap<String, usize>,
    /// The rows of the house that this act's rows replaced.
    pub rows_replaced: Vec<Replaced>,
    pub(super) of_acts: Arc<OfActs>,
}

/// Reads the rows of a patch. `patch` is the house's, or an act's with the house's.
pub fn scene(show: &Show, patch: &Patch, rig: Rig, of_acts: &Arc<OfActs>, found: &mut Vec<Diagnostic>) -> Scene {
    let mut scene = Scene {
        act: rig.act.clone(),
        rig,
        rows: Vec::new(),
        sources: Vec::new(),
        wants: Vec::new(),
        channels: BTreeSet::new(),
        nevers: Vec::new(),
        mixes: BTreeMap::new(),
        outputs: Vec::new(),
        personal: Vec::new(),
        kept: Vec::new(),
        recordings: Vec::new(),
        recorded: Vec::new(),
        pins: Vec::new(),
        groups: BTreeMap::new(),
        by_name: BTreeMap::new(),
        replaced: BTreeMap::new(),
        rows_replaced: Vec::new(),
        of_acts: of_acts.clone(),
    };
    inputs::read(&mut scene, patch, found);
    for group in &patch.groups {
        let speaker = Speaker::of(group.act.as_ref());
        scene.groups.insert(group.node.name.value.clone(), (group.node.members.clone(), speaker));
    }
    scene.check_groups(show, found);
    keep::read(&mut scene, patch, found);
    outputs::read(&mut scene, patch, found);
    outputs::read_personal(&mut scene, patch, found);
    record::read(&mut scene, patch, found);
    scene.read_pins(patch, found);
    free::tell(&scene, patch, found);
    scene
}

impl Scene {
    /// Sources that a device gives of its own, by the point that they come out of.
    pub fn given(&self) -> BTreeMap<Point, usize> {
        let given = |(index, source): (usize, &Source)| match source.spot {
            Spot::Origin(point) => Some((point, index)),
            _ => None,
        };
        self.sources.iter().enumerate().filter_map(given).collect()
    }

    pub(super) fn add_row(&mut self, row: RowFact) -> usize {
        self.rows.push(row);
        self.rows.len() - 1
    }

    pub fn source(&self, index: usize) -> Option<&Source> {
        self.sources.get(index)
    }

    /// The desk that a block of rows is for: the one named, else the only one.
    pub(super) fn desk_of_block(&self, desk: Option<&Name>, at: Span, found: &mut Vec<Diagnostic>) -> Option<u32> {
        match desk {
            Some(name) => {
                let device = self.rig.device_named(&name.value);
                if device.is_none() && !self.rig.broken.contains(&name.value) {
                    let near = crate::project::nearest(&name.value, self.rig.devices.iter().map(|d| d.name.as_str()));
                    let problem = unknown(Sort::Gear, "desk", name, near);
                    found.push(match near.is_none() && !self.rig.has_desks() {
                        true => problem.help(format!("add a line such as `desk {} is desk-48`", name.value)),
                        false => problem,
                    });
                }
                device
            }
            None => {
                let only = self.rig.only_desk();
                if only.is_none() {
                    let problem = if self.rig.has_desks() {
                        let desks: Vec<String> =
                            self.rig.desks().map(|desk| format!("`{}`", self.rig.device_name(desk))).collect();
                        Diagnostic::error("which-desk", at, "there are several desks; say which one this list is for")
                            .help(format!("write {} after the first word", desks.join(" or ")))
                    } else {
                        Diagnostic::error("no-desk", at, "there is no desk for this list")
                            .help("add a line such as `desk foh is desk-48`")
                            .missing(Sort::Gear, None)
                    };
                    found.push(problem);
                }
                only
            }
        }
    }

    /// Rows without a place of their own: `record`, `keep`.
    pub(super) fn plain_row(&mut self, name: &str, span: Span, kind: RowKind) -> usize {
        self.add_row(RowFact {
            name: name.to_string(),
            span,
            priority: Priority::Must,
            kind,
            place: None,
            numbers: None,
            desk: None,
        })
    }

    fn read_pins(&mut self, patch: &Patch, found: &mut Vec<Diagnostic>) {
        for row in &patch.sets {
            let Some(to) = self.rig.points(&row.node.to, Asked::Fed, None, found) else { continue };
            if let Some((device, block)) = self.named_block(&row.node.from) {
                self.pins.push(Pin { to, from: PinFrom::Block(device, block), span: row.span });
                continue;
            }
            let Some(from) = self.rig.points(&row.node.from, Asked::Feeds, None, found) else { continue };
            if from.len() == to.len() {
                self.pins.push(Pin { to, from: PinFrom::Points(from), span: row.span });
            } else {
                let verb = if to.len() == 1 { "is" } else { "are" };
                let message = format!("{} {verb} set from {}", counted(to.len(), "point"), from.len());
                found.push(
                    Diagnostic::error("lists-unequal", row.span, message).help("name as many points on both sides"),
                );
            }
        }
    }

    /// `foh.extras`: a named block of unlike points, which needs no numbers.
    fn named_block(&self, terms: &Terms) -> Option<(u32, usize)> {
        let [term] = terms.terms.as_slice() else { return None };
        let parts = &term.name.as_ref()?.parts;
        let (device, block) = match parts.as_slice() {
            [device, block] => (self.rig.device_named(&device.value)?, block),
            [block] => (self.rig.only_desk()?, block),
            _ => return None,
        };
        let index = self.rig.model(device)?.blocks.iter().position(|known| known.name == block.value)?;
        Some((device, index))
    }
}
