//! The order of switching on, as the plan has it: a step a number, what stands in it, and why there.

use super::mixes::lines;
use super::sockets::in_runs;
use crate::plan::data::Plan;
use crate::plan::facts::{PowerStep, Powered};
use crate::plan::table::Table;

/// Nothing where there is nothing to order.
pub(super) fn text(plan: &Plan) -> String {
    if plan.power.len() < 2 {
        return String::new();
    }
    let mut table = Table::default();
    for (number, step) in (1..).zip(&plan.power) {
        let (mut number, mut why) = (format!("{number}"), step.why.clone());
        for line in lines(&entries(step)) {
            table.row([std::mem::take(&mut number), line, std::mem::take(&mut why)]);
        }
    }
    let mut out = "\npower on, outputs muted, a step at a time with some seconds between; off in reverse\n".to_string();
    table.print(&mut out, 2);
    out.push_str("  Mains and earth are for licensed people under local codes.\n");
    out
}

/// `foh (Stage A)`, `what hangs on foh.out 1-2`
fn entries(step: &PowerStep) -> Vec<String> {
    let device = |entry: &Powered| {
        let supply = entry.supply.as_ref().map(|supply| format!(" ({supply})")).unwrap_or_default();
        format!("{}{supply}", entry.device)
    };
    let mut entries: Vec<String> = step.sources.iter().cloned().chain(step.devices.iter().map(device)).collect();
    let mut outputs = in_runs(&step.outputs);
    if let Some(first) = outputs.first_mut() {
        *first = format!("what hangs on {first}");
    }
    entries.extend(outputs);
    entries
}
