//! One change at one row: the attributes named replace the row's, `no` takes one away, all others stay.

use super::super::attrs::{same, same_numbers, same_terms, word};
use super::super::show::Changed;
use super::targets::{Target, thing_text};
use super::{Ground, Op, Outcome};
use crate::diagnostics::Diagnostic;
use crate::source::Span;
use crate::syntax::ast::{Attr, AttrKind as K, Sources, Terms, Text};

/// What a change did to one attribute: where it stood before, and whether it says anything new.
struct Effect {
    before: Option<Span>,
    new: bool,
}

pub(super) fn change(ground: &mut Ground<'_>, target: Target, op: &Op, attrs: &[Attr], outcome: &mut Outcome) {
    let mut touched = false;
    for group in by_word(attrs) {
        let Some(first) = group.first() else { continue };
        if let Some(told) = unfit(ground, target, op, first) {
            outcome.diagnostics.push(told);
            continue;
        }
        let Some(effect) = replace(ground, target, &group) else { continue };
        if !effect.new {
            outcome.diagnostics.push(without_effect(op, first, effect.before));
            continue;
        }
        touched = true;
        outcome.changed.push(Changed {
            thing: thing_text(&op.what),
            attribute: word(&first.kind).to_string(),
            before: effect.before,
            now: first.span,
            act: ground.act.map(str::to_string),
        });
    }
    if touched {
        note_change(ground, target, op.span);
    }
}

/// The attributes of one `change`, those of one word together; the order of words is kept.
fn by_word(attrs: &[Attr]) -> Vec<Vec<&Attr>> {
    let mut groups: Vec<Vec<&Attr>> = Vec::new();
    for attr in attrs {
        let known =
            groups.iter_mut().find(|group| group.first().is_some_and(|first| word(&first.kind) == word(&attr.kind)));
        match known {
            Some(group) => group.push(attr),
            None => groups.push(vec![attr]),
        }
    }
    groups
}

fn without_effect(op: &Op, attr: &Attr, before: Option<Span>) -> Diagnostic {
    let (attribute, thing) = (word(&attr.kind), thing_text(&op.what));
    let message = match attr.kind {
        K::No(_) => format!("`{thing}` has no `{attribute}` that could be taken away"),
        _ => format!("`{thing}` says that already: this changes nothing"),
    };
    let told = Diagnostic::warning("change-without-effect", attr.span, message).help("take it out");
    match before {
        Some(before) => told.label(before, "said here"),
        None => told,
    }
}

/// What a kind of row cannot say is told: `change box … phantom`.
fn unfit(ground: &Ground<'_>, target: Target, op: &Op, attr: &Attr) -> Option<Diagnostic> {
    let said = word(&attr.kind);
    let fits = match (target, &attr.kind) {
        (Target::Group(_), K::Of(Sources::Named(_))) | (Target::Rate, K::Quantity(_)) | (Target::Clock, K::Is(_)) => {
            true
        }
        (Target::Group(_) | Target::Rate | Target::Clock | Target::Record(_), _) | (_, K::Quantity(_)) => false,
        (Target::Input(_), _) => matches!(
            said,
            "from"
                | "via"
                | "channel"
                | "mic"
                | "phantom"
                | "gain"
                | "pad"
                | "stand"
                | "level"
                | "pickup"
                | "lifted"
                | "spare"
                | "polarity"
                | "ears-only"
                | "data"
                | "priority"
                | "stereo"
                | "who"
                | "note"
                | "label"
                | "place"
        ),
        (Target::Output(_), _) => {
            matches!(said, "to" | "use" | "of" | "stereo" | "who" | "note" | "label" | "place" | "priority")
        }
        (Target::Personal(_), _) => {
            matches!(said, "of" | "from" | "stereo" | "who" | "note" | "label" | "place" | "priority")
        }
        (Target::Link(_), _) => matches!(said, "cable" | "dead" | "reserved" | "place" | "who" | "note" | "label"),
        (Target::Loom(_), _) => {
            matches!(said, "cable" | "to" | "dead" | "reserved" | "place" | "who" | "note" | "label")
        }
        (Target::Device(_), K::Mode { .. } | K::Bank { .. } | K::No(_)) => true,
        (Target::Device(_), _) => matches!(
            said,
            "is" | "on"
                | "redundant"
                | "offset"
                | "slot"
                | "cable"
                | "dead"
                | "reserved"
                | "gain"
                | "space"
                | "lifted"
                | "clock"
                | "rate"
                | "converts"
                | "backup"
                | "supply"
                | "place"
                | "to"
                | "from"
                | "note"
                | "label"
                | "who"
        ),
    };
    let thing = thing_text(&op.what);
    if !fits {
        let message = format!("`{said}` is nothing that `{thing}` could say");
        return Some(Diagnostic::error("change-does-not-fit", attr.span, message));
    }
    second_want(ground, target, attr, &thing)
}

/// A second want has no mic and no point of its own.
fn second_want(ground: &Ground<'_>, target: Target, attr: &Attr, thing: &str) -> Option<Diagnostic> {
    let Target::Input(at) = target else { return None };
    let row = ground.patch.inputs.get(at)?;
    let of_the_source = matches!(attr.kind, K::Mic(_) | K::From(_) | K::FromAny(_));
    if !of_the_source || super::super::attrs::declares(&row.node.row) {
        return None;
    }
    let said = word(&attr.kind);
    let name = &row.node.row.name.value;
    let message = format!("`{thing}` only wants the source once more; its `{said}` is said where `{name}` is declared");
    let told = Diagnostic::error("change-does-not-fit", attr.span, message).label(row.span, "the row");
    Some(told.help(format!("write `change input {name} {said} …`")))
}

fn replace(ground: &mut Ground<'_>, target: Target, group: &[&Attr]) -> Option<Effect> {
    let first = group.first()?;
    match target {
        Target::Input(at) => {
            let row = &mut ground.patch.inputs.get_mut(at)?.node.row;
            let K::Channel(numbers) = &first.kind else { return Some(replace_attrs(&mut row.attrs, group)) };
            let before = row.channels.as_ref().map(|channels| channels.span);
            let new = !row.channels.as_ref().is_some_and(|old| same_numbers(old, numbers));
            if new {
                row.channels = Some(numbers.clone());
            }
            Some(Effect { before, new })
        }
        Target::Output(at) => Some(replace_attrs(&mut ground.patch.outputs.get_mut(at)?.node.row.attrs, group)),
        Target::Personal(at) => {
            let row = &mut ground.patch.personal.get_mut(at)?.node.row;
            match &first.kind {
                K::Of(Sources::Named(terms)) | K::From(terms) => Some(replace_terms(&mut row.feeds, terms)),
                _ => Some(replace_attrs(&mut row.attrs, group)),
            }
        }
        Target::Device(at) => {
            let device = &mut ground.patch.devices.get_mut(at)?.node;
            match &first.kind {
                K::Is(model) => Some(replace_named(&mut device.model, Some(model))),
                K::Labels(labels) => Some(replace_named(&mut device.label, labels.first())),
                K::No(_) if word(&first.kind) == "label" => Some(replace_named(&mut device.label, None)),
                _ => Some(replace_attrs(&mut device.attrs, group)),
            }
        }
        Target::Link(at) => Some(replace_attrs(&mut ground.patch.links.get_mut(at)?.node.attrs, group)),
        Target::Loom(at) => {
            let loom = &mut ground.patch.looms.get_mut(at)?.node;
            match &first.kind {
                K::To(lists) => Some(replace_terms(&mut loom.to, lists.first()?)),
                _ => Some(replace_attrs(&mut loom.attrs, group)),
            }
        }
        Target::Group(at) => match &first.kind {
            K::Of(Sources::Named(terms)) => {
                Some(replace_terms(&mut ground.patch.groups.get_mut(at)?.node.members, terms))
            }
            _ => None,
        },
        Target::Rate => match &first.kind {
            K::Quantity(rate) => {
                let before = ground.rate.as_ref().map(|rate| rate.span);
                let new = ground.rate.as_ref().is_none_or(|old| old.value != rate.value);
                if new {
                    *ground.rate = Some(rate.clone());
                }
                Some(Effect { before, new })
            }
            _ => None,
        },
        Target::Clock => match &first.kind {
            K::Is(clock) => Some(replace_named(ground.clock, Some(clock))),
            _ => None,
        },
        Target::Record(_) => None,
    }
}

fn replace_terms(old: &mut Terms, new: &Terms) -> Effect {
    let effect = Effect { before: Some(old.span), new: !same_terms(old, new) };
    if effect.new {
        *old = new.clone();
    }
    effect
}

fn replace_named(old: &mut Option<Text>, new: Option<&Text>) -> Effect {
    let before = old.as_ref().map(|old| old.span);
    let differs = old.as_ref().map(|old| &old.value) != new.map(|new| &new.value);
    if differs {
        *old = new.cloned();
    }
    Effect { before, new: differs }
}

/// The new attributes stand where the first of their word stood, else last.
fn replace_attrs(attrs: &mut Vec<Attr>, group: &[&Attr]) -> Effect {
    let Some(first) = group.first() else { return Effect { before: None, new: false } };
    let said = word(&first.kind).to_string();
    let old: Vec<&Attr> = attrs.iter().filter(|attr| word(&attr.kind) == said).collect();
    let before = old.first().map(|attr| attr.span);
    // Of one attribute said twice, which has been told, the last holds; `reserved` may stand several times.
    let new: Vec<&Attr> = match first.kind {
        K::Reserved { .. } => group.to_vec(),
        _ => group.last().copied().into_iter().collect(),
    };
    let takes_away = new.iter().any(|attr| matches!(attr.kind, K::No(_)));
    let nothing_new = match takes_away {
        true => old.is_empty(),
        false => old.len() == new.len() && old.iter().zip(&new).all(|(old, new)| same(&old.kind, &new.kind)),
    };
    if nothing_new {
        return Effect { before, new: false };
    }
    let at = attrs.iter().position(|attr| word(&attr.kind) == said).unwrap_or(attrs.len());
    attrs.retain(|attr| word(&attr.kind) != said);
    if !takes_away {
        let new: Vec<Attr> = new.into_iter().cloned().collect();
        let at = at.min(attrs.len());
        attrs.splice(at..at, new);
    }
    Effect { before, new: true }
}

fn note_change(ground: &mut Ground<'_>, target: Target, span: Span) {
    let patch = &mut *ground.patch;
    let changed_by = match target {
        Target::Input(at) => patch.inputs.get_mut(at).map(|row| &mut row.changed_by),
        Target::Output(at) => patch.outputs.get_mut(at).map(|row| &mut row.changed_by),
        Target::Personal(at) => patch.personal.get_mut(at).map(|row| &mut row.changed_by),
        Target::Device(at) => patch.devices.get_mut(at).map(|row| &mut row.changed_by),
        Target::Link(at) => patch.links.get_mut(at).map(|row| &mut row.changed_by),
        Target::Loom(at) => patch.looms.get_mut(at).map(|row| &mut row.changed_by),
        Target::Group(at) => patch.groups.get_mut(at).map(|row| &mut row.changed_by),
        Target::Record(_) | Target::Rate | Target::Clock => None,
    };
    if let Some(changed_by) = changed_by {
        changed_by.push(span);
    }
}
