//! What is dialled and written at desks and recorders, as it is said.

use super::super::deeds::{Deed, Named, Step, Strip};
use super::super::rows::together;
use super::in_a_row;
use crate::plan::{Points, Run, Setting, plain, point, preamp, range, runs};

pub(super) fn phantom(deed: &Deed, rest: &[Step]) -> (usize, Vec<String>) {
    let (told, word) = match deed {
        Deed::Off { .. } => (in_a_row(rest, off), "OFF"),
        _ => (in_a_row(rest, on), "ON"),
    };
    told.map_or((1, Vec::new()), |(taken, at)| (taken, vec![format!("48 V {word}: {at}")]))
}

pub(super) fn cleared(
    (device, set, bank, first): (&str, &str, &str, Option<u32>),
    rest: &[Step],
) -> (usize, Vec<String>) {
    if let Some((taken, at)) = in_a_row(rest, unrouted) {
        return (taken, vec![format!("{at}: from nothing")]);
    }
    let at = first.map_or_else(|| format!("{device}.{bank}"), |first| point(device, bank, first));
    let is = if set == "pad" { "pad off".to_string() } else { format!("{set} no longer stated") };
    (1, vec![format!("{at}: {is}")])
}

/// Neighbours that go from the same desk to the same are one line.
pub(super) fn handed(setting: &Setting, from: Option<&str>, rest: &[Step]) -> (usize, Vec<String>) {
    let alike = |deed: &Deed| match deed {
        Deed::HandOver { setting: next, from: whose } if next.set == setting.set && whose.as_deref() == from => {
            let first = next.first.unwrap_or(1);
            Some((format!("{}.{}", next.device, next.bank), first, next.last.unwrap_or(first)))
        }
        _ => None,
    };
    let what = if setting.set == "phantom" { "48 V" } else { setting.set.as_str() };
    let whose = from.map(|from| format!(", no longer at {from}")).unwrap_or_default();
    let told = in_a_row(rest, alike);
    told.map_or((1, Vec::new()), |(taken, at)| (taken, vec![format!("{at}: {what} is set from here{whose}")]))
}

/// Routes of one device that follow each other are told run by run.
pub(super) fn dialled(setting: &Setting, rest: &[Step]) -> (usize, Vec<String>) {
    if setting.set != "route" {
        let at = match setting.first {
            Some(first) => point(&setting.device, &setting.bank, first),
            None => format!("{}.{}", setting.device, setting.bank),
        };
        let says = match setting.set.as_str() {
            "gain" | "pad" => preamp(setting),
            "slot" => format!("rides from slot {}", plain(setting.value.as_ref())),
            set => format!("{set} {}", plain(setting.value.as_ref())),
        };
        return (1, vec![format!("{at}: {says}")]);
    }
    // Enough for any run; a longer one takes two lines.
    let routes: Vec<&Setting> = rest
        .iter()
        .take(128)
        .map_while(|step| match &step.deed {
            Deed::Set { setting: next } if next.set == "route" && next.device == setting.device => Some(next),
            _ => None,
        })
        .collect();
    let said = |run: &Run| {
        let from = run.from.strip_prefix(&setting.device).and_then(|rest| rest.strip_prefix('.')).unwrap_or(&run.from);
        format!("{}.{} {}: from {from}", setting.device, run.bank, range(run.first, run.last))
    };
    // One run at a time, so that each line has the numbers of its own steps.
    let runs = runs(&routes);
    runs.first().map_or((1, Vec::new()), |run| (run.of.len(), vec![said(run)]))
}

/// So many names stand in one line.
const NAMES: usize = 8;

/// `foh.ch 5: name it Hat, was Ride; invert its polarity`; where nothing stood yet, several in a line.
pub(super) fn named(at: &str, was: Option<&Strip>, now: Option<&Strip>, rest: &[Step]) -> (usize, Vec<String>) {
    let Some(now) = now else {
        return match in_a_row(rest, unnamed) {
            Some((taken, at)) => {
                let disarm = if at.contains(".track ") { "disarm, " } else { "" };
                (taken, vec![format!("{at}: not used any more, {disarm}clear the name")])
            }
            None => (1, Vec::new()),
        };
    };
    if let Some((taken, at)) = in_a_row(rest.get(..NAMES).unwrap_or(rest), fresh).filter(|(taken, _)| *taken > 1) {
        let names = rest.iter().take(taken).filter_map(|step| match &step.deed {
            Deed::Name { now: Some(now), .. } => Some(now.label.as_str()),
            _ => None,
        });
        return (taken, vec![format!("{at}: name them {}", names.collect::<Vec<_>>().join(", "))]);
    }
    let nothing = Strip::default();
    let before = was.unwrap_or(&nothing);
    let name = (before.label != now.label).then(|| match before.label.as_str() {
        was if now.label.is_empty() => format!("take the name {was} off"),
        "" => format!("name it {}", now.label),
        was => format!("name it {}, was {was}", now.label),
    });
    let polarity = match (before.inverted, now.inverted) {
        (false, true) => Some("invert its polarity"),
        (true, false) => Some("polarity no longer inverted"),
        _ => None,
    };
    let called = if name.is_none() { format!("{at} ({})", now.label) } else { at.to_string() };
    let parts: Vec<String> = name.into_iter().chain(polarity.map(String::from)).collect();
    (1, vec![format!("{called}: {}", parts.join("; "))])
}

/// The contents of mixes: neighbours of which the same is said, both sides of a stereo mix, in one line.
pub(super) fn mixed(rest: &[Step]) -> (usize, Vec<String>) {
    let Some((first, mix, called, says)) =
        rest.first().and_then(|step| contents(step).map(|(m, c, s)| (step, m, c, s)))
    else {
        return (1, Vec::new());
    };
    let mut called = vec![called];
    let Some(at) = Points::read(mix) else { return (1, Vec::new()) };
    let mut last = at.first;
    for step in rest.iter().skip(1) {
        let next = contents(step).filter(|(_, _, same)| *same == says && step.who == first.who);
        let Some((to, name)) = next.and_then(|(mix, name, _)| Some((Points::read(mix)?, name))) else { break };
        if (to.device, to.bank, Some(to.first)) != (at.device, at.bank, last.checked_add(1)) {
            break;
        }
        last = to.first;
        called.push(name);
    }
    let taken = called.len();
    called.retain(|name| Points::read(name).is_none());
    called.dedup();
    let at = format!("{}.{} {}", at.device, at.bank, range(at.first, last));
    let at = if called.is_empty() { at } else { format!("{} ({at})", together(called.into_iter().map(String::from))) };
    (taken, if says.is_empty() { Vec::new() } else { vec![format!("{at}: {says}")] })
}

/// Of a step about what a mix carries: which mix, how it is called, what is to be done.
fn contents(step: &Step) -> Option<(&str, &str, String)> {
    match &step.deed {
        Deed::Send { mix, called, add, out, stereo, of, used } => {
            let sends = match of {
                // Nothing hangs on it any more: whatever it carries, nobody hears it.
                None if !used => String::new(),
                None => "no row says any more what it carries: ask who mixes".to_string(),
                Some(of) if of.of.is_empty() => "carries nothing".to_string(),
                Some(of) if out.is_empty() && of.of.iter().all(|name| add.iter().any(|one| one.what == *name)) => {
                    part("carries", add)
                }
                Some(_) => joined([part("add", add), part("take out", out)]),
            };
            let stereo = stereo.map(|is| if is { "a side of a stereo mix now" } else { "mono now" });
            Some((mix, called, joined([stereo.unwrap_or_default().to_string(), sends])))
        }
        Deed::LeaveOut { mix, called, out, free, used } => {
            let says = match used {
                true => joined([part("by hand keep out", out), part("may carry again", free)]),
                false => String::new(),
            };
            Some((mix, called, says))
        }
        _ => None,
    }
}

/// `add Hat (channel 5), Ride (channel 8)`
fn part(word: &str, names: &[Named]) -> String {
    let place = |at: &str| Points::read(at).map(|at| format!(" ({} {})", at.bank, at.first)).unwrap_or_default();
    let name = |one: &Named| format!("{}{}", one.called, one.at.as_deref().map(place).unwrap_or_default());
    if names.is_empty() {
        return String::new();
    }
    format!("{word} {}", names.iter().map(name).collect::<Vec<_>>().join(", "))
}

fn joined(parts: [String; 2]) -> String {
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("; ")
}

fn off(deed: &Deed) -> Option<(String, u32, u32)> {
    match deed {
        Deed::Off { device, bank, first, last } => Some((format!("{device}.{bank}"), *first, *last)),
        _ => None,
    }
}

fn on(deed: &Deed) -> Option<(String, u32, u32)> {
    let Deed::On { setting } = deed else { return None };
    let first = setting.first.unwrap_or(1);
    Some((format!("{}.{}", setting.device, setting.bank), first, setting.last.unwrap_or(first)))
}

fn unrouted(deed: &Deed) -> Option<(String, u32, u32)> {
    match deed {
        Deed::Clear { device, set, bank, first: Some(first), last } if set == "route" => {
            Some((format!("{device}.{bank}"), *first, last.unwrap_or(*first)))
        }
        _ => None,
    }
}

/// A name where nothing stood, and nothing else to do there.
fn fresh(deed: &Deed) -> Option<(String, u32, u32)> {
    let Deed::Name { at, was: None, now: Some(Strip { inverted: false, .. }) } = deed else { return None };
    let at = Points::read(at)?;
    Some((format!("{}.{}", at.device, at.bank), at.first, at.last))
}

fn unnamed(deed: &Deed) -> Option<(String, u32, u32)> {
    let Deed::Name { at, now: None, .. } = deed else { return None };
    let at = Points::read(at)?;
    Some((format!("{}.{}", at.device, at.bank), at.first, at.last))
}
