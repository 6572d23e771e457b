//! The steps of a change as people say them: a plug that goes from one socket to another is one line, points that are
//! routed one by one stand together. Every form writes these lines; none makes its own.

use super::data::{Deed, Side, Step, Work};
use crate::plan::{Cable, Run, Setting, cable_kind, length, plain, point, preamp, range, runs};

/// What to mind before the first step. Common practice; the paper says more where it is about 48 V.
pub(crate) const FIRST: &str =
    "Mute mains, wedges and in-ears first. After 48 V off wait about 10 s before anything is unplugged.";

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

    /// Who has something to do, in the order in which they begin; the lines of each.
    pub(crate) fn by_crew(&self) -> Vec<(String, Vec<Line>)> {
        let mut crews: Vec<(String, Vec<Line>)> = Vec::new();
        for line in self.lines() {
            match crews.iter_mut().find(|(who, _)| *who == line.who) {
                Some((_, lines)) => lines.push(line),
                None => crews.push((line.who.clone(), vec![line])),
            }
        }
        crews
    }
}

/// How many steps are told as one, and how.
fn said(step: &Step, rest: &[Step]) -> (usize, Vec<String>) {
    let one = |says: String| (1, vec![says]);
    match &step.deed {
        Deed::Off { device, bank, first, last } => one(format!("48 V OFF: {device}.{bank} {}", range(*first, *last))),
        Deed::On { setting } => one(format!("48 V ON: {}", sockets(setting))),
        Deed::Unplug { what, called, at, side } => match rest.get(1).map(|next| &next.deed) {
            Some(Deed::Plug { what: next, at: to, side: there, mic, .. }) if next == what && there == side => {
                let mic = mic.as_ref().filter(|_| at == to).map(|mic| format!(", now {mic}")).unwrap_or_default();
                match at == to {
                    true => (2, vec![format!("{called} at {at}: unplug, plug in again{mic}")]),
                    false => (2, vec![format!("move {called} from {at} to {to}")]),
                }
            }
            _ => one(format!("unplug {called} {} {at}", if *side == Side::In { "from" } else { "at" })),
        },
        Deed::Plug { called, at, mic, .. } => {
            let mic = mic.as_ref().map(|mic| format!(" ({mic})")).unwrap_or_default();
            one(format!("plug {called}{mic} into {at}"))
        }
        Deed::Relabel { at, was, now } => one(format!("label at {at}: {now}, was {was}")),
        Deed::Pull { cable } => one(format!("pull {}", run(cable))),
        Deed::Lay { cable } => one(format!("lay {}", run(cable))),
        Deed::TakeAway { device } => one(format!("take {device} out")),
        Deed::Bring { device } => one(format!("set {} up: {}", device.name, device.model)),
        Deed::Clear { device, set, bank, first } => {
            let bank = first.map_or_else(|| bank.clone(), |first| format!("{bank} {first}"));
            one(match set.as_str() {
                "route" => format!("{device}.{bank}: from nothing"),
                "pad" => format!("{device}.{bank}: pad off"),
                set => format!("{device}.{bank}: {set} no longer stated"),
            })
        }
        Deed::Send { mix, add, out, of } => one(sent(mix, add, out, of.is_some())),
        Deed::Set { setting } => dialled(setting, rest),
    }
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
    let routes: Vec<&Setting> = rest
        .iter()
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

fn sockets(setting: &Setting) -> String {
    let first = setting.first.unwrap_or(1);
    format!("{}.{} {}", setting.device, setting.bank, range(first, setting.last.unwrap_or(first)))
}

/// `foh.portA to stage-left.up (60 m, aes50)`
fn run(cable: &Cable) -> String {
    let facts = [length(cable.length_m), cable_kind(cable)];
    let facts: Vec<String> = facts.into_iter().filter(|fact| !fact.is_empty()).collect();
    format!("{} to {} ({})", cable.from, cable.to, facts.join(", "))
}
