//! What is switched when an act follows another, at its head. 48 V that the act before had on and this one has not
//! goes off before any plug is pulled or put in. Where it goes on, what it can hurt is unplugged before.

use super::sockets::{never, plugged};
use crate::plan::before::acts_before;
use crate::plan::data::{Act, Device, Plan, Setting};
use crate::plan::point::{point, ranges};
use crate::plan::table::Table;
use crate::plan::view::View;
use std::collections::{BTreeMap, BTreeSet};

/// For the devices given, in their order; nothing where there is nothing to switch.
pub(crate) fn text(plan: &Plan, act: &Act, devices: &[&Device], indent: usize) -> String {
    off(plan, act, devices, indent) + &on(plan, act, devices, indent)
}

/// Sockets where 48 V goes on and the act before had plugged in what it can hurt.
fn on(plan: &Plan, act: &Act, devices: &[&Device], indent: usize) -> String {
    let here = View::act(plan, act);
    let mut steps: BTreeSet<(&str, &str, u32, String)> = BTreeSet::new();
    for before in before(plan, act).into_iter().map(|before| View::act(plan, before)) {
        for setting in here.settings.iter().filter(|setting| is_on(setting)) {
            let first = setting.first.unwrap_or(1);
            for number in first..=setting.last.unwrap_or(first) {
                let at = point(&setting.device, &setting.bank, number);
                let Some((gone, ..)) = plugged(&before, &at) else { continue };
                let next = plugged(&here, &at).map(|(next, ..)| next);
                if never(&before, &gone).is_none() || next.as_ref() == Some(&gone) {
                    continue;
                }
                let plug = next.map(|next| format!(", plug {next}")).unwrap_or_default();
                let step = format!("first unplug {gone} (never 48 V){plug}, then 48 V on");
                steps.insert((&setting.device, &setting.bank, number, step));
            }
        }
    }
    let mut table = Table::default();
    for device in devices {
        for (name, bank, number, step) in steps.iter().filter(|(name, ..)| *name == device.name) {
            table.row([name.to_string(), format!("{bank} {number}"), step.clone()]);
        }
    }
    let title = "changeover: unplug before 48 V goes on";
    titled(title, &table, indent)
}

fn titled(title: &str, table: &Table, indent: usize) -> String {
    if table.is_empty() {
        return String::new();
    }
    let mut out = format!("{}{title}\n", " ".repeat(indent));
    table.print(&mut out, indent + 2);
    out
}

/// The acts that may have played directly before.
fn before<'p>(plan: &'p Plan, act: &Act) -> Vec<&'p Act> {
    let timed: Vec<bool> = plan.acts.iter().map(|act| act.from.is_some()).collect();
    let at = plan.acts.iter().position(|known| known.act == act.act).unwrap_or(plan.acts.len());
    acts_before(&timed, at).into_iter().filter_map(|before| plan.acts.get(before)).collect()
}

fn off(plan: &Plan, act: &Act, devices: &[&Device], indent: usize) -> String {
    let mut left: BTreeMap<(&str, &str), BTreeMap<u32, BTreeSet<&str>>> = BTreeMap::new();
    for before in before(plan, act) {
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
    titled("changeover: 48 V off, wait, then unplug and plug", &table, indent)
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
