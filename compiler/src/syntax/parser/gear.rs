//! Devices, cables and runs.

use super::super::ast::{Attr, AttrKind, Device, DeviceWord, StatementKind, Text};
use super::super::words::{CABLE_ATTRIBUTES, DEVICE_ATTRIBUTES};
use super::attributes::{Loose, Vocabulary, attributes};
use super::basics::{Reader, Rule, dotted, kw, kws, name, one_of_words, rest, terms};
use super::problem::Problem;
use super::values::{Words, gain_by, lifted_legs, words};
use crate::diagnostics::Diagnostic;
use chumsky::prelude::*;
use std::rc::Rc;

pub(super) const DEVICES: &[(&str, DeviceWord)] = &[
    ("desk", DeviceWord::Desk),
    ("console", DeviceWord::Desk),
    ("box", DeviceWord::Box),
    ("hub", DeviceWord::Hub),
    ("snake", DeviceWord::Snake),
    ("split", DeviceWord::Split),
    ("recorder", DeviceWord::Recorder),
    ("outside", DeviceWord::Outside),
];

pub(super) fn device_words<'t>() -> Words<'t> {
    words(DEVICE_ATTRIBUTES, vec![("gain", gain_by()), ("lifted", lifted_legs())])
}

/// `box stage-left is box-16x8 on foh.portA offset 1 cable 60 m screened`
pub(super) fn device<'t>() -> Rule<'t, StatementKind> {
    let inside = Rc::new(Vocabulary::new("a device", Loose::Mode, device_words()));
    let outside = Rc::new(Vocabulary::new("gear from outside", Loose::Bank, device_words()));
    let (inside, outside) = (attributes(inside), attributes(outside));
    let head = one_of_words(DEVICES).then(name("the device's name")).boxed();
    custom(move |inp: &mut Reader<'t, '_>| {
        let (word, name) = inp.parse(&head)?;
        let attrs = match (rest(inp).is_empty(), word.value) {
            (true, _) => Vec::new(),
            (_, DeviceWord::Outside) => inp.parse(&outside)?,
            _ => inp.parse(&inside)?,
        };
        let mut device = Device { word, name, label: None, model: None, attrs: Vec::new() };
        for attr in attrs {
            match attr.kind {
                AttrKind::Is(model) => device.model = Some(model),
                AttrKind::Labels(labels) => device.label = one_label(inp, labels),
                kind => device.attrs.push(Attr { kind, ..attr }),
            }
        }
        Ok(StatementKind::Device(device))
    })
    .boxed()
}

fn one_label(inp: &mut Reader<'_, '_>, labels: Vec<Text>) -> Option<Text> {
    if let Some(second) = labels.get(1) {
        let diagnostic = Diagnostic::error("attribute-twice", second.span, "a device has one label");
        inp.emit(Problem::said(diagnostic.help("delete one of them")));
    }
    labels.into_iter().next()
}

pub(super) fn cable_words<'t>() -> Words<'t> {
    words(CABLE_ATTRIBUTES, Vec::new())
}

fn cable_attributes<'t>(place: &'static str) -> Rule<'t, Vec<Attr>> {
    attributes(Rc::new(Vocabulary::new(place, Loose::Nothing, cable_words())))
}

/// `link foh.portB to monitors.portA cable 90 m`
pub(super) fn link<'t>() -> Rule<'t, StatementKind> {
    kw("link")
        .ignore_then(dotted("a port"))
        .then_ignore(kw("to"))
        .then(dotted("a port"))
        .then(cable_attributes("a link"))
        .map(|((from, to), attrs)| StatementKind::Link { from, to, attrs })
        .boxed()
}

/// `loom split.direct 1-16 to stage-left 1-16 cable 10 m`
pub(super) fn loom<'t>() -> Rule<'t, StatementKind> {
    kw("loom")
        .ignore_then(terms("the points where the loom begins"))
        .then_ignore(kw("to"))
        .then(terms("the points where the loom ends"))
        .then(cable_attributes("a loom"))
        .map(|((from, to), attrs)| StatementKind::Loom { from, to, attrs })
        .boxed()
}

/// `spare cable 60 m screened`
pub(super) fn spare_cable<'t>() -> Rule<'t, StatementKind> {
    kws(&["spare"])
        .ignore_then(kw("cable").rewind())
        .ignore_then(cable_attributes("a spare cable"))
        .map(StatementKind::SpareCable)
        .boxed()
}
