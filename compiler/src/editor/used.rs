//! How much of a device is in use: sockets with something plugged in or coming out, and the numbers of a bank
//! that some signal ends on. Counts what the plan says in any act.

use crate::diagnostics::counted;
use crate::plan::{Device, Points, Role, Usage, View, point};
use std::collections::BTreeSet;

/// So many of so many, and those that a line takes up though nothing comes by it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Used {
    pub used: u32,
    pub lines: u32,
    pub of: u32,
}

impl Used {
    /// `inputs 12 of 16 used, 2 spare, 2 lines without a source`; nothing where there are none.
    pub fn text(self, what: &str) -> Option<String> {
        let spare = self.of.saturating_sub(self.used + self.lines);
        let mut said = format!("{what} {} of {} used", self.used, self.of);
        if spare > 0 {
            said.push_str(&format!(", {spare} spare"));
        }
        if self.lines > 0 {
            said.push_str(&format!(", {} without a source", counted(self.lines as usize, "line")));
        }
        (self.of > 0).then_some(said)
    }
}

/// Sockets of a device that sources or lines arrive at, those out of use left out.
pub(super) fn inputs(view: &View, usage: &Usage, device: &Device) -> Used {
    let plugged: BTreeSet<&str> = view.plugs.iter().map(|plug| plug.at.as_str()).collect();
    count(view, usage, device, Role::In, |at, n, passed| {
        let used = passed || plugged.contains(at);
        let free = || if view.in_paths(at) == at { Use::Free } else { Use::Line };
        (!device.out_of_use.contains(&n)).then(|| if used { Use::Used } else { free() })
    })
}

/// Sockets that signals leave by; the tail of a line that is plugged in elsewhere is none.
pub(super) fn outputs(view: &View, usage: &Usage, device: &Device) -> Used {
    count(view, usage, device, Role::Out, |at, _, passed| {
        let led_on = view.far_end(at).is_some();
        (!led_on).then_some(if passed { Use::Used } else { Use::Free })
    })
}

enum Use {
    Used,
    Line,
    Free,
}

/// `uses` says of a socket, of which it hears the number and whether a signal passes it, whether it is in use;
/// nothing where it does not count.
fn count(
    view: &View,
    usage: &Usage,
    device: &Device,
    role: Role,
    uses: impl Fn(&str, u32, bool) -> Option<Use>,
) -> Used {
    let banks = view.wiring(&device.name).map(|wiring| wiring.banks.as_slice()).unwrap_or_default();
    let mut all = Used { used: 0, lines: 0, of: 0 };
    for bank in banks.iter().filter(|bank| bank.role == role) {
        let passed = usage.passed(&device.name, &bank.bank);
        let used = |n| uses(&point(&device.name, &bank.bank, n), n, passed.contains(&n));
        for used in (1..=bank.size).filter_map(used) {
            all.of += 1;
            all.used += u32::from(matches!(used, Use::Used));
            all.lines += u32::from(matches!(used, Use::Line));
        }
    }
    all
}

/// The numbers of a bank that some row asks a signal for.
pub(super) fn ends(view: &View, device: &str, bank: &str) -> BTreeSet<u32> {
    let ends = view.signals.iter().flat_map(|signal| &signal.ends).filter(|end| end.asked);
    let ends = ends.filter_map(|end| Points::read(&end.end));
    ends.filter(|at| at.device == device && at.bank == bank).map(|at| at.first).collect()
}

/// The numbers of a bank of the device's own signals that leave it because a row asks for them.
pub(super) fn sent(view: &View, device: &str, bank: &str) -> BTreeSet<u32> {
    let asked = view.signals.iter().filter(|signal| signal.ends.iter().any(|end| end.asked));
    let sources = asked.filter_map(|signal| Points::read(&signal.source));
    sources.filter(|at| at.device == device && at.bank == bank).map(|at| at.first).collect()
}
