//! What is switched off when an act follows another: 48 V that the act before had on and this one has not.
//! Off comes before any plug is pulled or put in, so it stands at the head of the act.

use crate::plan::before::acts_before;
use crate::plan::data::{Act, Device, Plan, Setting};
use crate::plan::point::ranges;
use crate::plan::table::Table;
use std::collections::{BTreeMap, BTreeSet};

/// For the devices given, in their order; nothing where everything stays on there.
pub(crate) fn text(plan: &Plan, act: &Act, devices: &[&Device], indent: usize) -> String {
    let timed: Vec<bool> = plan.acts.iter().map(|act| act.from.is_some()).collect();
    let at = plan.acts.iter().position(|known| known.act == act.act).unwrap_or(plan.acts.len());
    let mut left: BTreeMap<(&str, &str), BTreeMap<u32, BTreeSet<&str>>> = BTreeMap::new();
    for before in acts_before(&timed, at).into_iter().filter_map(|before| plan.acts.get(before)) {
        let off = before.settings.iter().filter(|setting| is_on(setting) && !stays_on(act, setting));
        for setting in off {
            let first = setting.first.unwrap_or(1);
            let bank = left.entry((&setting.device, &setting.bank)).or_default();
            for number in first..=setting.last.unwrap_or(first) {
                bank.entry(number).or_default().insert(&before.act);
            }
        }
    }
    let mut table = Table::default();
    for device in devices {
        for ((name, bank), sockets) in left.iter().filter(|((name, _), _)| *name == device.name) {
            for (acts, numbers) in alike(sockets) {
                let acts = acts.iter().copied().collect::<Vec<_>>().join(", ");
                table.row([name.to_string(), format!("{bank} {}", ranges(&numbers)), format!("on in {acts}")]);
            }
        }
    }
    if table.is_empty() {
        return String::new();
    }
    let mut out = format!("{}changeover: 48 V off, wait, then unplug and plug\n", " ".repeat(indent));
    table.print(&mut out, indent + 2);
    out
}

fn is_on(setting: &Setting) -> bool {
    setting.set == "phantom" && setting.value.as_ref().and_then(|value| value.as_bool()) == Some(true)
}

fn stays_on(act: &Act, setting: &Setting) -> bool {
    let same = |own: &Setting| (&own.device, &own.bank, own.first) == (&setting.device, &setting.bank, setting.first);
    act.settings.iter().any(|own| is_on(own) && same(own))
}

/// Sockets that the same acts had on, together.
fn alike<'a, 'p>(sockets: &'a BTreeMap<u32, BTreeSet<&'p str>>) -> Vec<(&'a BTreeSet<&'p str>, BTreeSet<u32>)> {
    let mut groups: Vec<(&BTreeSet<&str>, BTreeSet<u32>)> = Vec::new();
    for (number, acts) in sockets {
        match groups.iter_mut().find(|(known, _)| *known == acts) {
            Some((_, numbers)) => {
                numbers.insert(*number);
            }
            None => groups.push((acts, BTreeSet::from([*number]))),
        }
    }
    groups
}
