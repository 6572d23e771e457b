//! The steps of a change as people say them: a plug that goes from one socket to another is one line, points that are
//! routed one by one stand together. Every form writes these lines; none makes its own.

use super::data::{Deed, Plugging, Side, Step, Work};
use crate::plan::{Cable, Run, Setting, cable_kind, length, plain, point, preamp, range, runs};

/// One thing to do, with the numbers of the steps that it stands for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Line {
    pub who: String,
    pub first: usize,
    pub last: usize,
    pub says: String,
}

impl Line {
    /// `3`, `3-4`
    pub fn numbers(&self) -> String {
        if self.first == self.last { self.first.to_string() } else { format!("{}-{}", self.first, self.last) }
    }
}

impl Work {
    /// In order.
    pub(crate) fn lines(&self) -> Vec<Line> {
        let (mut lines, mut at) = (Vec::new(), 0);
        while let Some(step) = self.steps.get(at) {
            let rest = self.steps.get(at..).unwrap_or_default();
            let (taken, says) = said(step, rest);
            for says in says {
                lines.push(Line { who: step.who.clone(), first: at + 1, last: at + taken, says });
            }
            at += taken;
        }
        lines
    }

    /// Who has something to do, in the order in which they begin; the lines of each. What goes off first and what goes on
    /// last stand apart, so that whoever works down a list of their own does it when it is safe.
    pub(crate) fn by_crew(&self) -> Vec<(String, Vec<Line>)> {
        let mut crews: Vec<(String, Vec<Line>)> = Vec::new();
        for line in self.lines() {
            let title = match &self.steps.get(line.first.saturating_sub(1)).map(|step| &step.deed) {
                Some(Deed::Off { .. }) => format!("{}, before anything else", line.who),
                Some(Deed::On { .. }) => format!("{}, when everything is plugged", line.who),
                _ => line.who.clone(),
            };
            match crews.iter_mut().find(|(known, _)| *known == title) {
                Some((_, lines)) => lines.push(line),
                None => crews.push((title, vec![line])),
            }
        }
        crews
    }

    /// What to mind before the first step. Common practice; the paper says more where it is about 48 V.
    pub(crate) fn first(&self) -> Option<&'static str> {
        let any = |of: fn(&Deed) -> bool| self.steps.iter().any(|step| of(&step.deed));
        if any(|deed| matches!(deed, Deed::Off { .. })) {
            return Some(
                "Mute mains, wedges and in-ears first. After 48 V off wait about 10 s before anything is unplugged.",
            );
        }
        any(|deed| !matches!(deed, Deed::Send { .. } | Deed::Relabel { .. }))
            .then_some("Mute mains, wedges and in-ears first.")
    }
}

/// How many steps are told as one, and how.
fn said(step: &Step, rest: &[Step]) -> (usize, Vec<String>) {
    let one = |says: String| (1, vec![says]);
    match &step.deed {
        Deed::Off { .. } => match in_a_row(rest, off) {
            Some((taken, at)) => (taken, vec![format!("48 V OFF: {at}")]),
            None => (1, Vec::new()),
        },
        Deed::On { .. } => match in_a_row(rest, on) {
            Some((taken, at)) => (taken, vec![format!("48 V ON: {at}")]),
            None => (1, Vec::new()),
        },
        Deed::Unplug(out) => match rest.get(1).map(|next| &next.deed) {
            Some(Deed::Plug(into)) if into.what == out.what && into.side == out.side => {
                match (out.at == into.at, out.is == into.is) {
                    (true, same) => {
                        let is = into.is.as_ref().filter(|_| !same).map(|is| format!(", now {is}")).unwrap_or_default();
                        (2, vec![format!("{} at {}: unplug, plug in again{is}", out.called, out.at)])
                    }
                    (false, true) => (2, vec![format!("move {} from {} to {}", out.called, out.at, into.at)]),
                    (false, false) => one(unplug(out)),
                }
            }
            _ => one(unplug(out)),
        },
        Deed::Plug(into) => {
            let is = into.is.as_ref().map(|is| format!(" ({is})")).unwrap_or_default();
            one(format!("plug {}{is} into {}", into.called, into.at))
        }
        Deed::Relabel { at, was, now } => one(format!("label at {at}: {now}, was {was}")),
        Deed::Pull { cable } => one(format!("pull {}", run(cable))),
        Deed::Lay { cable } => one(format!("lay {}", run(cable))),
        Deed::TakeAway { device } => one(format!("take {device} out")),
        Deed::Bring { device } => one(format!("set {} up: {}", device.name, device.model)),
        Deed::Clear { device, set, bank, first } => match in_a_row(rest, unrouted) {
            Some((taken, at)) => (taken, vec![format!("{at}: from nothing")]),
            None => {
                let at = first.map_or_else(|| format!("{device}.{bank}"), |first| point(device, bank, first));
                let is = if set == "pad" { "pad off".to_string() } else { format!("{set} no longer stated") };
                one(format!("{at}: {is}"))
            }
        },
        Deed::Send { mix, add, out, of } => one(sent(mix, add, out, of.is_some())),
        Deed::Set { setting } => dialled(setting, rest),
    }
}

fn unplug(out: &Plugging) -> String {
    let is = out.is.as_ref().map(|is| format!(" ({is})")).unwrap_or_default();
    format!("unplug {}{is} {} {}", out.called, if out.side == Side::In { "from" } else { "at" }, out.at)
}

/// Neighbours of one bank that one deed after another touches, as one line.
fn in_a_row(rest: &[Step], of: impl Fn(&Deed) -> Option<(String, u32, u32)>) -> Option<(usize, String)> {
    let who = &rest.first()?.who;
    let (bank, first, mut last) = of(&rest.first()?.deed)?;
    let mut taken = 1;
    for step in rest.iter().skip(1) {
        match of(&step.deed) {
            Some((next, from, to)) if next == bank && last.checked_add(1) == Some(from) && step.who == *who => {
                last = to
            }
            _ => break,
        }
        taken += 1;
    }
    Some((taken, format!("{bank} {}", range(first, last))))
}

fn sent(mix: &str, add: &[String], out: &[String], is_said: bool) -> String {
    let part = |word: &str, names: &[String]| (!names.is_empty()).then(|| format!("{word} {}", names.join(", ")));
    let parts: Vec<String> = [part("add", add), part("take out", out)].into_iter().flatten().collect();
    match (is_said, parts.is_empty()) {
        (false, _) => format!("{mix}: no row says any more what it carries"),
        (true, true) => format!("{mix}: carries nothing"),
        (true, false) => format!("{mix}: {}", parts.join("; ")),
    }
}

/// Routes of one device that follow each other are told run by run.
fn dialled(setting: &Setting, rest: &[Step]) -> (usize, Vec<String>) {
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
        Deed::Clear { device, set, bank, first: Some(first) } if set == "route" => {
            Some((format!("{device}.{bank}"), *first, *first))
        }
        _ => None,
    }
}

/// `foh.portA to stage-left.up (60 m, aes50, screened)`
fn run(cable: &Cable) -> String {
    let word = |is: bool, word: &str| if is { word.to_string() } else { String::new() };
    let kinds = [word(cable.screened, "screened"), word(cable.locking, "locking")];
    let facts = [length(cable.length_m), cable_kind(cable)].into_iter().chain(kinds);
    let facts: Vec<String> = facts.filter(|fact| !fact.is_empty()).collect();
    format!("{} to {} ({})", cable.from, cable.to, facts.join(", "))
}
