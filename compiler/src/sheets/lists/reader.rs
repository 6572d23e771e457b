//! Whom a sheet is for.

use super::whole::Whole;
use crate::plan::port_or_bank;
use std::collections::BTreeSet;

pub(super) use crate::plan::{EVERYBODY, HOUSE, MONITORS, RECORDIST, STAGE, is_monitor};

/// Desks by what they make.
pub(super) struct Readers<'p> {
    monitors_only: BTreeSet<&'p str>,
}

impl<'p> Readers<'p> {
    pub fn of(whole: &Whole<'_, 'p>) -> Self {
        let (mut monitors, mut others) = (BTreeSet::new(), BTreeSet::new());
        let acts = whole.plan.acts.iter().flat_map(|act| &act.outputs);
        for output in whole.plan.outputs.iter().chain(acts) {
            let Some((device, _)) = port_or_bank(&output.from) else { continue };
            if is_monitor(output.used_as.as_deref()) {
                monitors.insert(device)
            } else {
                others.insert(device)
            };
        }
        Readers { monitors_only: monitors.difference(&others).copied().collect() }
    }

    /// Who stands at a desk: a desk that makes monitors and nothing else is the monitor desk.
    pub fn at(&self, desk: &str) -> &'static str {
        if self.monitors_only.contains(desk) { MONITORS } else { HOUSE }
    }
}
