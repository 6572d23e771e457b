//! What may stand in an act, and the order of acts. What is re-plugged may differ from act to act;
//! cables, offsets, modes, rate and clock may not.

use super::changes::Op;
use super::show::Act;
use crate::diagnostics::Diagnostic;
use crate::syntax::ast::{AttrKind, DeviceWord, Statement, StatementKind as S, What};

/// Why a statement cannot stand in an act, where it cannot.
pub(super) fn refuse_statement(statement: &Statement, act: &str) -> Option<Diagnostic> {
    let what = match &statement.kind {
        S::Act(inner) => return Some(refuse_act(statement, &inner.name.value, act)),
        S::Show { .. } => "`show` belongs to the whole evening",
        S::Rate(_) => "the rate holds for all acts",
        S::Clock(_) => "the clock holds for all acts",
        S::Link { .. } => "a link is laid for all acts",
        S::SpareCable(_) => "a spare cable is laid for all acts",
        S::Device(device) if !is_replugged(device.word.value) => match device.word.value {
            DeviceWord::Desk => "a desk stands there for all acts",
            DeviceWord::Box => "a box stands there, with its cable and offset, for all acts",
            _ => "what hangs on a desk's or box's port is cabled for all acts",
        },
        _ => return None,
    };
    let told = Diagnostic::error("not-in-an-act", statement.span, what)
        .help(format!("move it out of the braces of `act {act}`; an act holds what is re-plugged"));
    Some(in_act(told, act))
}

fn refuse_act(statement: &Statement, inner: &str, act: &str) -> Diagnostic {
    let message = format!("the act `{inner}` stands inside the act `{act}`");
    let told = Diagnostic::error("not-in-an-act", statement.span, message);
    in_act(told.help("end the first act with `}` before the next begins"), act)
}

pub(super) fn in_act(mut told: Diagnostic, act: &str) -> Diagnostic {
    told.act = Some(act.to_string());
    told
}

/// Gear that comes and goes with an act's plugs.
fn is_replugged(word: DeviceWord) -> bool {
    matches!(word, DeviceWord::Snake | DeviceWord::Split | DeviceWord::Outside)
}

/// Takes out of an act's `change` or `without` what holds for all acts, and tells it. `false` where
/// nothing is left to do.
pub(super) fn restrict(op: &mut Op, diagnostics: &mut Vec<Diagnostic>) -> bool {
    let Some(act) = op.act.clone() else { return true };
    let whole = match &op.what {
        What::Rate(_) => Some("the rate holds for all acts"),
        What::Clock(_) => Some("the clock holds for all acts"),
        What::Act(_) => Some("an act cannot take out another"),
        What::Link { .. } => Some("a link is laid for all acts"),
        What::Device { word, .. } if op.attrs.is_none() && !is_replugged(word.value) => {
            Some("desks, boxes and what is cabled to them stand there for all acts")
        }
        _ => None,
    };
    let help = format!("move this line out of the braces of `act {act}`; then it holds for all acts");
    if let Some(why) = whole {
        diagnostics.push(in_act(Diagnostic::error("not-in-an-act", op.span, why).help(help), &act));
        return false;
    }
    let Some(attrs) = &mut op.attrs else { return true };
    let before = attrs.len();
    attrs.retain(|attr| match fixed_for_all(&attr.kind) {
        None => true,
        Some(why) => {
            let told = Diagnostic::error("not-in-an-act", attr.span, why).help(help.clone());
            diagnostics.push(in_act(told, &act));
            false
        }
    });
    before == 0 || !attrs.is_empty()
}

fn fixed_for_all(kind: &AttrKind) -> Option<&'static str> {
    match kind {
        AttrKind::Offset(_) | AttrKind::Slot(_) => Some("an offset holds for all acts"),
        AttrKind::Mode { .. } => Some("a mode holds for all acts"),
        AttrKind::Cable(_) => Some("a cable is laid for all acts"),
        AttrKind::On(_) | AttrKind::RedundantOn(_) => Some("what hangs on which port holds for all acts"),
        AttrKind::Is(_) => Some("a device is of one model in all acts"),
        AttrKind::ClockFrom(_) | AttrKind::RunsAt(_) | AttrKind::Converts => {
            Some("a device's clock and rate hold for all acts")
        }
        AttrKind::GainBy(_) => Some("who owns the gains of a box holds for all acts"),
        AttrKind::Bank { .. } | AttrKind::Dead(_) | AttrKind::Reserved { .. } => {
            Some("what a device has holds for all acts")
        }
        AttrKind::No(_) => match super::attrs::word(kind) {
            "offset" | "slot" | "cable" | "on" | "redundant" | "gain" | "dead" | "reserved" | "clock" | "rate"
            | "converts" => Some("a device's cable, ports and settings hold for all acts"),
            _ => None,
        },
        _ => None,
    }
}

/// Acts in the order of the day, those without a time last, then by name. The day begins after its
/// longest pause, so that an act after midnight follows those before it.
pub(super) fn in_order_of_the_day(acts: &mut [Act]) {
    const DAY: u32 = 24 * 60;
    let mut starts: Vec<u32> = acts.iter().filter_map(|act| Some(u32::from(act.from.as_ref()?.value.0))).collect();
    starts.sort_unstable();
    starts.dedup();
    let before = starts.iter().rev().take(1).chain(starts.iter());
    let pauses = before.zip(&starts).map(|(last, start)| ((start + DAY - last - 1) % DAY, *start));
    // Of equal pauses the earliest start begins the day.
    let first = pauses.max_by_key(|(pause, start)| (*pause, DAY.saturating_sub(*start))).map_or(0, |(_, start)| start);
    acts.sort_by_key(|act| {
        let start = act.from.as_ref().map(|from| (u32::from(from.value.0) + DAY - first) % DAY);
        (start.is_none(), start, act.name.value.clone())
    });
}
