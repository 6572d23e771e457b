//! What is in use: every point that some signal passes, and the slots of every port, each way.

use crate::plan::data::{Signal, Slots, Wiring};
use crate::plan::point::Points;
use crate::plan::view::View;
use std::collections::{BTreeMap, BTreeSet};

/// The far end of a point, where it is one with another.
type FarEnd<'f> = &'f dyn Fn(&str) -> Option<String>;
/// By device, then by bank or port.
type Numbers = BTreeMap<String, BTreeMap<String, BTreeSet<u32>>>;

#[derive(Default)]
pub(crate) struct Usage {
    passed: Numbers,
    into: Numbers,
    out_of: Numbers,
}

impl Usage {
    pub fn of(view: &View) -> Self {
        Self::along(view.signals.iter().copied(), &|point| view.far_end(point).map(|(far, _)| far))
    }

    /// `far_end` gives the point that a cable makes one with another, which stands at the cable's `from` end.
    pub fn along<'s>(signals: impl Iterator<Item = &'s Signal>, far_end: FarEnd) -> Self {
        let mut usage = Usage::default();
        for path in signals.flat_map(|signal| &signal.ends).map(|end| &end.path) {
            for (at, point) in path.iter().enumerate() {
                add(&mut usage.passed, point);
                let Some(far) = far_end(point) else { continue };
                add(&mut usage.passed, &far);
                let next = path.get(at + 1);
                let previous = at.checked_sub(1).and_then(|at| path.get(at));
                if leads_to_far_end(far_end, point, &far, previous, next) {
                    add(&mut usage.out_of, point);
                    add(&mut usage.into, &far);
                } else {
                    add(&mut usage.into, point);
                    add(&mut usage.out_of, &far);
                }
            }
        }
        usage
    }

    pub fn passed(&self, device: &str, bank: &str) -> BTreeSet<u32> {
        look_up(&self.passed, device, bank)
    }

    /// Slots that bring something into the device.
    pub fn arriving(&self, device: &str, port: &str) -> BTreeSet<u32> {
        look_up(&self.into, device, port)
    }

    pub fn leaving(&self, device: &str, port: &str) -> BTreeSet<u32> {
        look_up(&self.out_of, device, port)
    }
}

/// The slots that a port has at the show's rate: the entry of the lowest rate that is not below it.
pub(crate) fn slots_at(wiring: &Wiring, port: &str, rate_hz: u32) -> Option<Slots> {
    let port = wiring.ports.iter().find(|p| p.port == port)?;
    port.slots.iter().filter(|slots| slots.rate_hz >= rate_hz).min_by_key(|slots| slots.rate_hz).copied()
}

/// A path names a slot once, so the points beside it tell which way the signal goes.
fn leads_to_far_end(far_end: FarEnd, near: &str, far: &str, previous: Option<&String>, next: Option<&String>) -> bool {
    let touches = |point: &String, device: &str| {
        let own = Points::read(point).is_some_and(|p| p.device == device);
        own || far_end(point).is_some_and(|other| Points::read(&other).is_some_and(|p| p.device == device))
    };
    let (Some(near), Some(far)) = (Points::read(near), Points::read(far)) else { return true };
    let only = |point: &String, a: &str, b: &str| touches(point, a) && !touches(point, b);
    let goes_far = next.is_some_and(|next| only(next, far.device, near.device));
    let goes_near = next.is_some_and(|next| only(next, near.device, far.device));
    let came_from_far = previous.is_some_and(|previous| only(previous, far.device, near.device));
    goes_far || !(goes_near || came_from_far)
}

fn add(numbers: &mut Numbers, point: &str) {
    let Some(points) = Points::read(point) else { return };
    let known = numbers.get_mut(points.device).and_then(|of_device| of_device.get_mut(points.bank));
    let bank = match known {
        Some(bank) => bank,
        None => numbers.entry(points.device.to_string()).or_default().entry(points.bank.to_string()).or_default(),
    };
    bank.extend(points.first..=points.last);
}

fn look_up(numbers: &Numbers, device: &str, bank: &str) -> BTreeSet<u32> {
    numbers.get(device).and_then(|of_device| of_device.get(bank)).cloned().unwrap_or_default()
}
