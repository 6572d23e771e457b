//! Points as the plan writes them, taken apart: `stage-left.in 1-8`. Nothing here knows what a bank is
//! for, and nothing here looks a name up.

use std::collections::BTreeSet;

/// Points of one bank: `foh.portA 1-8`, `foh.out 3` (first = last).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(crate) struct Points<'a> {
    pub device: &'a str,
    pub bank: &'a str,
    pub first: u32,
    pub last: u32,
}

impl<'a> Points<'a> {
    /// `None` where the text has no number (a port, a named block, a source) or no bank.
    pub fn read(text: &'a str) -> Option<Self> {
        let (name, numbers) = text.rsplit_once(' ')?;
        let (device, bank) = name.rsplit_once('.')?;
        let (first, last) = read_range(numbers)?;
        Some(Points { device, bank, first, last })
    }

    pub fn holds(&self, other: &Points) -> bool {
        self.device == other.device && self.bank == other.bank && self.first <= other.first && other.last <= self.last
    }

    /// The point as far into these as `n` is into a range that starts at `first`.
    pub fn matching(&self, first: u32, n: u32) -> Option<String> {
        let at = self.first.checked_add(n.checked_sub(first)?)?;
        (at <= self.last).then(|| point(self.device, self.bank, at))
    }
}

/// `12` or `1-8`, ascending.
pub(crate) fn read_range(text: &str) -> Option<(u32, u32)> {
    let (first, last) = text.split_once('-').unwrap_or((text, text));
    let (first, last) = (first.parse().ok()?, last.parse().ok()?);
    (first <= last).then_some((first, last))
}

pub(crate) fn point(device: &str, bank: &str, n: u32) -> String {
    format!("{device}.{bank} {n}")
}

/// `foh.portA`, `drum-riser.tail 1-12`: the device and the port or the bank.
pub(crate) fn port_or_bank(end: &str) -> Option<(&str, &str)> {
    end.split_once(' ').map_or(end, |(name, _)| name).rsplit_once('.')
}

/// The same with the numbers of a bank: `drum-riser` and `tail 1-12`.
pub(crate) fn parted(end: &str) -> Option<(&str, &str)> {
    let (device, _) = port_or_bank(end)?;
    Some((device, end.get(device.len() + 1..)?))
}

/// The point of `there` that one cable joins to `at`, where `at` lies on `here`: slot for slot between ports, in order
/// between lines.
pub(crate) fn joined(here: &str, there: &str, at: &Points) -> Option<String> {
    if let (Some(here), Some(there)) = (Points::read(here), Points::read(there)) {
        return here.holds(at).then(|| there.matching(here.first, at.first)).flatten();
    }
    let same = port_or_bank(here) == Some((at.device, at.bank)) && !here.contains(' ');
    let (device, port) = port_or_bank(there)?;
    (same && !there.contains(' ')).then(|| point(device, port, at.first))
}

/// `12`, `1-8`.
pub(crate) fn range(first: u32, last: u32) -> String {
    if first == last { first.to_string() } else { format!("{first}-{last}") }
}

/// `1-8, 12`.
pub(crate) fn ranges(numbers: &BTreeSet<u32>) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for n in numbers {
        match runs.last_mut() {
            Some((_, last)) if last.checked_add(1) == Some(*n) => *last = *n,
            _ => runs.push((*n, *n)),
        }
    }
    runs.iter().map(|(first, last)| range(*first, *last)).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::*;

    #[test]
    fn a_device_of_an_act_keeps_its_dot() {
        let points = Points::read("kestrel.riser-b.tail 1-8").unwrap();
        assert_eq!((points.device, points.bank, points.first, points.last), ("kestrel.riser-b", "tail", 1, 8));
        assert_eq!(points.matching(9, 10).as_deref(), Some("kestrel.riser-b.tail 2"));
        assert_eq!(points.matching(9, 17), None);
        assert_eq!(Points::read("foh.extras"), None);
    }

    #[test]
    fn neighbours_become_a_range() {
        assert_eq!(ranges(&[1, 2, 3, 7, 9, 10].into_iter().collect()), "1-3, 7, 9-10");
    }
}
