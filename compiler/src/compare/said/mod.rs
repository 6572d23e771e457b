//! The steps of a change as people say them: a plug that goes from one socket to another is one line, points that are
//! routed one by one stand together. Every form writes these lines; none makes its own.

mod desk;
mod stage;

use super::deeds::{Deed, Spot, Step, When, Work};
use crate::plan::range;

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
    /// In order; of a later list what was not done for all acts.
    pub(crate) fn lines(&self) -> Vec<Line> {
        let (mut lines, mut at) = (Vec::new(), 0);
        while let Some(step) = self.steps.get(at) {
            let rest = self.steps.get(at..).unwrap_or_default();
            let (taken, says) = said(step, rest);
            let known = self.later && rest.iter().take(taken).all(|step| step.once);
            for says in says.into_iter().filter(|_| !known) {
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
            let title = match self.steps.get(line.first.saturating_sub(1)).map(|step| step.when) {
                Some(When::First) => format!("{}, before anything else", line.who),
                Some(When::Last) => format!("{}, when everything is plugged", line.who),
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
    pub(crate) fn first(&self) -> Option<String> {
        let told = self.steps.iter().filter(|step| !(self.later && step.once));
        let any = |of: fn(&Deed) -> bool| told.clone().any(|step| of(&step.deed));
        let cautions = [
            (any(is_heard), "Mute mains, wedges, in-ears and personal feeds first."),
            (
                any(|deed| matches!(deed, Deed::Off { .. })),
                "After 48 V off wait about 10 s before anything is unplugged.",
            ),
            (any(is_on_mains), "Follow local codes; mains and rigging are for licensed people."),
        ];
        let again = (self.later, "What holds in every act stands in the first list and is done once.");
        let said: Vec<&str> =
            cautions.into_iter().chain([again]).filter(|(holds, _)| *holds).map(|(_, says)| says).collect();
        (!said.is_empty()).then(|| said.join(" "))
    }
}

/// It can be heard while it is done.
fn is_heard(deed: &Deed) -> bool {
    let lifted = |spot: &Option<Spot>| spot.as_ref().is_some_and(|spot| spot.lifted);
    match deed {
        Deed::Name { .. } | Deed::LeaveOut { .. } | Deed::Relabel { .. } | Deed::HandOver { .. } => false,
        Deed::Stand { was, now, .. } => lifted(was) != lifted(now),
        Deed::Mark { of, .. } => !matches!(of.as_str(), "place" | "label" | "out_of_use" | "kept_for" | "gain_by"),
        _ => true,
    }
}

fn is_on_mains(deed: &Deed) -> bool {
    match deed {
        Deed::Mark { of, .. } => of == "supply",
        deed => matches!(deed, Deed::Bring { .. } | Deed::TakeAway { .. }),
    }
}

/// How many steps are told as one, and how.
fn said(step: &Step, rest: &[Step]) -> (usize, Vec<String>) {
    match &step.deed {
        Deed::Off { .. } | Deed::On { .. } => desk::phantom(&step.deed, rest),
        Deed::Clear { device, set, bank, first, .. } => desk::cleared((device, set, bank, *first), rest),
        Deed::HandOver { setting, from } => desk::handed(setting, from.as_deref(), rest),
        Deed::Set { setting } => desk::dialled(setting, rest),
        Deed::Name { at, was, now } => desk::named(at, was.as_ref(), now.as_ref(), rest),
        Deed::Send { .. } | Deed::LeaveOut { .. } => desk::mixed(rest),
        Deed::Unplug(out) => stage::unplugged(out, rest),
        deed => (1, vec![stage::said(deed)]),
    }
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
