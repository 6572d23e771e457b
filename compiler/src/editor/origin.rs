//! Where each value of a row was said: in the row, or by a change in another file, and what stood before.

use super::ground::{place, text};
use crate::Compiled;
use crate::project::{Patch, Row};
use crate::source::Span;
use crate::syntax::ast::{Attr, AttrKind};

/// A row's values as they hold in the house or in one act.
struct Holding {
    act: Option<String>,
    /// By the places where they are said: the texts there, in order, and what they took the place of.
    said: Vec<[String; 3]>,
}

/// Text, place, what it took the place of; a value that holds in one act alone says so. `row` is the span of
/// the row as first declared.
pub(super) fn values(compiled: &Compiled, row: Span) -> Vec<Vec<String>> {
    let house = std::iter::once((None, &compiled.show.house));
    let acts = compiled.show.acts.iter().map(|act| (Some(act.name.value.clone()), &act.patch));
    let holding = house.chain(acts).filter_map(|(act, patch)| {
        let spans = spans(patch, row)?;
        Some(Holding { act, said: said(compiled, &spans) })
    });
    let mut all: Vec<Holding> = Vec::new();
    for holds in holding {
        if !all.iter().any(|known| known.said == holds.said) {
            all.push(holds);
        }
    }
    let shared = all.first().map(|first| first.said.clone()).unwrap_or_default();
    let mut rows = Vec::new();
    let several = all.len() > 1;
    for (at, holds) in all.into_iter().enumerate() {
        let act = holds.act.filter(|_| several).map(|act| format!("in act {act}")).unwrap_or_default();
        let new = holds.said.into_iter().filter(|value| at == 0 || !shared.contains(value));
        rows.extend(new.map(|[text, place, was]| vec![text, place, was, act.clone()]));
    }
    rows
}

/// The spans of what a row says, as it holds in a patch.
fn spans(patch: &Patch, row: Span) -> Option<Vec<Span>> {
    let own = |attrs: &[Attr]| attrs.iter().filter(|attr| worth_saying(&attr.kind)).map(|attr| attr.span).collect();
    let with = |first: Option<Span>, attrs: &[Attr]| -> Vec<Span> {
        let rest: Vec<Span> = own(attrs);
        first.into_iter().chain(rest).collect()
    };
    fn find<T>(rows: &[Row<T>], row: Span) -> Option<&T> {
        rows.iter().find(|known| known.span == row).map(|known| &known.node)
    }
    find(&patch.inputs, row)
        .map(|input| with(input.row.channels.as_ref().map(|numbers| numbers.span), &input.row.attrs))
        .or_else(|| find(&patch.outputs, row).map(|output| with(None, &output.row.attrs)))
        .or_else(|| {
            find(&patch.devices, row).map(|device| with(device.model.as_ref().map(|model| model.span), &device.attrs))
        })
}

/// A bank of gear from outside is no value.
fn worth_saying(kind: &AttrKind) -> bool {
    !matches!(kind, AttrKind::Bank { .. })
}

fn said(compiled: &Compiled, spans: &[Span]) -> Vec<[String; 3]> {
    let mut by_place: Vec<(String, Vec<String>, Option<String>)> = Vec::new();
    for (first, span) in spans.iter().enumerate().map(|(at, span)| (at == 0, *span)) {
        let changed = compiled.show.changes.iter().find(|changed| changed.now.holds(span));
        let was = changed.map(|changed| match changed.before {
            Some(before) => format!("was {} ({})", text(compiled, before), place(compiled, before)),
            None => "added by `change`".to_string(),
        });
        let said = text(compiled, changed.map_or(span, |changed| changed.now));
        // The numbers that an input row begins with are its channels.
        let number = first && said.starts_with(|c: char| c.is_ascii_digit());
        let said = if number { format!("channel {said}") } else { said };
        let at = place(compiled, span);
        // A changed value stands alone, so that it shows what it was.
        match by_place.iter_mut().find(|(known, _, old)| *known == at && old.is_none() && was.is_none()) {
            Some((_, texts, _)) => texts.push(said),
            None => by_place.push((at, vec![said], was)),
        }
    }
    by_place.into_iter().map(|(at, texts, was)| [texts.join(", "), at, was.unwrap_or_default()]).collect()
}
