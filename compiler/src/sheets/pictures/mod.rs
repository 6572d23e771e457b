//! Drawings, each a complete `<svg>` element by itself: black on white, so that a copier does them no harm. Each
//! says what it shows in words. What stands for points of the plan carries their names in `data-at`, parted by
//! `|`: a form may turn them into anything else. Nothing is drawn that the plan does not say.

pub(super) mod flow;
pub(super) mod front;
mod paper;
mod pattern;
pub(super) mod plot;

pub use pattern::pattern;

use super::known::Known;
use crate::plan::{cable_kind, length, port_or_bank};

/// How wide a text may come out, in parts of its type's size.
pub(super) fn ems(text: &str, bold: bool) -> f64 {
    paper::Pen { size: 1.0, bold }.width(text)
}

/// `up from foh.portA, 75 m, aes50, redundant`: a line for each cable at a device.
fn cable_ends(known: &Known, device: &str) -> Vec<String> {
    let own = |end: &str| port_or_bank(end).is_some_and(|(name, _)| name == device);
    let short = |end: &str| end.strip_prefix(device).map_or(end, |rest| rest.trim_start_matches('.')).to_string();
    let mut out = Vec::new();
    for at in ports_and_banks(known, device) {
        for cable in known.cables_at(device, at) {
            let (here, there) = if own(&cable.from) { (&cable.from, &cable.to) } else { (&cable.to, &cable.from) };
            let parts = [format!("{} to {there}", short(here)), length(cable.length_m), cable_kind(cable)];
            out.push(parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", "));
        }
    }
    out
}

/// In the model's order.
fn ports_and_banks<'p>(known: &Known<'p>, device: &str) -> impl Iterator<Item = &'p str> {
    let wiring = known.model(device).map(|model| &model.wiring);
    let ports = wiring.into_iter().flat_map(|wiring| wiring.ports.iter().map(|port| port.port.as_str()));
    let banks = wiring.into_iter().flat_map(|wiring| wiring.banks.iter().map(|bank| bank.bank.as_str()));
    ports.chain(banks)
}
