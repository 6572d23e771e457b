//! What is switched when an act follows another, at its head, as text.

use crate::plan::changeover::{Changeover, Off};
use crate::plan::data::{Act, Device, Plan};
use crate::plan::point::ranges;
use crate::plan::table::Table;
use std::collections::BTreeSet;

/// For the devices given, in their order; nothing where there is nothing to switch.
pub(crate) fn text(plan: &Plan, act: &Act, devices: &[&Device], indent: usize) -> String {
    let changeover = Changeover::to(plan, act);
    off(&changeover, devices, indent) + &on(&changeover, devices, indent)
}

/// Sockets where 48 V goes on and the act before had plugged in what it can hurt.
fn on(changeover: &Changeover, devices: &[&Device], indent: usize) -> String {
    let mut table = Table::default();
    for device in devices {
        for step in changeover.unplug.iter().filter(|step| step.device == device.name) {
            let plug = step.next.map(|next| format!(", plug {next}")).unwrap_or_default();
            let said = format!("first unplug {} (never 48 V){plug}, then 48 V on", step.gone);
            table.row([step.device.to_string(), format!("{} {}", step.bank, step.number), said]);
        }
    }
    titled("changeover: unplug before 48 V goes on", &table, indent)
}

fn off(changeover: &Changeover, devices: &[&Device], indent: usize) -> String {
    let mut table = Table::default();
    for device in devices {
        let of_device: Vec<&Off> = changeover.off.iter().filter(|off| off.device == device.name).collect();
        for (bank, acts, numbers) in alike(&of_device) {
            let acts = acts.iter().copied().collect::<Vec<_>>().join(", ");
            table.row([device.name.clone(), format!("{bank} {}", ranges(&numbers)), format!("on in {acts}")]);
        }
    }
    titled("changeover: 48 V off, wait, then unplug and plug", &table, indent)
}

fn titled(title: &str, table: &Table, indent: usize) -> String {
    if table.is_empty() {
        return String::new();
    }
    let mut out = format!("{}{title}\n", " ".repeat(indent));
    table.print(&mut out, indent + 2);
    out
}

/// Sockets of a bank that the same acts had on, together.
fn alike<'a>(sockets: &[&'a Off]) -> Vec<(&'a str, &'a BTreeSet<&'a str>, BTreeSet<u32>)> {
    let mut groups: Vec<(&str, &BTreeSet<&str>, BTreeSet<u32>)> = Vec::new();
    for off in sockets {
        match groups.iter_mut().find(|(bank, acts, _)| *bank == off.bank && **acts == off.acts) {
            Some((_, _, numbers)) => {
                numbers.insert(off.number);
            }
            None => groups.push((off.bank, &off.acts, BTreeSet::from([off.number]))),
        }
    }
    groups
}
