//! A box leaves the inputs of the next one off the blocks in which the desk takes them.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::{LinkEnd, Rig};
use crate::rules::Facts;
use crate::rules::chains::{Rider, block_of, desk_ports, riders};
use crate::rules::say::names;

pub const RULE: Rule = Rule {
    slug: "chain-off-the-blocks",
    code: "C011",
    severity: Severity::Warning,
    prerequisites: &["cable-loop", "unlike-carriers"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| desk_ports(seen.rig).into_iter().filter_map(|top| told(seen.rig, top)).collect())
}

fn told(rig: &Rig, top: LinkEnd) -> Option<Diagnostic> {
    let block = block_of(rig, top);
    if block < 2 {
        return None;
    }
    let riders = riders(rig, top);
    let off = |rider: &Rider| (rider.first - 1) % block != 0;
    let at = riders.iter().position(off)?;
    let (culprit, next) = (riders.get(at.checked_sub(1)?)?, riders.get(at)?);
    let others: Vec<&str> = riders.iter().skip(at + 1).filter(|r| off(r)).map(|r| rig.device_name(r.device)).collect();
    let (device, name) = (rig.device(culprit.device)?, rig.device_name(culprit.device));
    let port = rig.port_text(top);
    let message = format!(
        "`{name}` has {} inputs, so that `{}` begins at slot {} of `{port}`, off the blocks of {block}",
        culprit.size,
        rig.device_name(next.device),
        next.first,
    );
    let mut problem = Diagnostic::warning(RULE.slug, device.span, message).about(name.to_string());
    if !others.is_empty() {
        let verb = if others.len() == 1 { "is" } else { "are" };
        problem = problem.help(format!("{} {verb} off too", names(&others)));
    }
    Some(problem.help(match better(&riders, block) {
        Some(order) => {
            let order: Vec<&str> = order.iter().map(|rider| rig.device_name(rider.device)).collect();
            format!("chain them in this order from the desk: {}", names(&order))
        }
        None => format!("hang `{name}` at the end of the chain, or on another port"),
    }))
}

/// An order of the boxes that leaves none off: whole blocks first, else any other order.
fn better(riders: &[Rider], block: u32) -> Option<Vec<&Rider>> {
    let fits = |order: &[&Rider]| {
        let mut first = 0;
        order.iter().all(|rider| {
            let on = first % block == 0;
            first += rider.size;
            on
        })
    };
    let mut order: Vec<&Rider> = riders.iter().collect();
    order.sort_by_key(|rider| rider.size % block != 0);
    // More boxes than this hang on no port, and orders multiply.
    if fits(&order) || order.len() > 7 {
        return fits(&order).then_some(order);
    }
    let mut found = None;
    let mut chosen = Vec::new();
    permute(&order, &mut chosen, &mut |order| {
        if found.is_none() && fits(order) {
            found = Some(order.to_vec());
        }
    });
    found
}

fn permute<'r>(left: &[&'r Rider], chosen: &mut Vec<&'r Rider>, look: &mut impl FnMut(&[&'r Rider])) {
    if left.is_empty() {
        look(chosen);
    }
    for (index, rider) in left.iter().enumerate() {
        let mut others = left.to_vec();
        chosen.push(rider);
        others.remove(index);
        permute(&others, chosen, look);
        chosen.pop();
    }
}
