//! The independent evaluator. It knows plugs, settings, cables and the models' wiring, walks every
//! end point back to its source, and compares with what the plan claims and with what was wanted.
//! It imports `plan` and nothing else of the compiler, so that a mistake made there cannot be
//! repeated here; and it never panics, whatever the plan says.

mod compare;
mod inside;
mod phantom;
mod point;
mod power;
mod settings;
mod state;
mod turns;
mod walk;

use crate::plan::{Plan, Wanted};
use state::State;
use std::collections::BTreeMap;
use std::fmt;

/// What arrives at one end point.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Arrival {
    /// `foh.channel 3`
    pub end: String,
    /// A plugged source's name, or the origin's point.
    pub source: String,
    /// As in [`crate::plan::End`].
    pub path: Vec<String>,
}

/// One thing in which the plan is not what it says, or not what was asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// The point, setting or cable.
    pub place: String,
    pub expected: String,
    pub found: String,
    /// `None` where it holds in every act, or where the show has none.
    pub act: Option<String>,
}

impl fmt::Display for Difference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(act) = &self.act {
            write!(f, "in {act}, ")?;
        }
        write!(f, "{}: expected {}, found {}", self.place, self.expected, self.found)
    }
}

/// Everything that arrives anywhere while `act` plays; `None` takes the lists of every act alone.
/// In the order of devices (by name), banks (as in the model) and numbers; silent ends are left out.
///
/// # Errors
/// Whatever in the plan cannot be read, loops, or lets two sources meet.
pub fn evaluate(plan: &Plan, act: Option<&str>) -> Result<Vec<Arrival>, Vec<Difference>> {
    let (state, mut differences) = State::new(plan, act);
    let mut arrivals = Vec::new();
    let mut path = Vec::new();
    for end in state.ends() {
        match state.walk(end, &mut path) {
            walk::Found::Silent => {}
            walk::Found::Source(source) => arrivals.push(Arrival {
                end: state.name(end),
                source: state.source_name(source),
                path: state.path_names(&path),
            }),
            fault => differences.extend(state.fault(end, &fault)),
        }
    }
    if differences.is_empty() { Ok(arrivals) } else { Err(differences) }
}

/// Every 48 V switch, by device, bank and first socket, with all that copper joins to its sockets: point by point, and
/// the sources plugged in there. On or off is not asked.
#[must_use]
pub fn joined_by_copper(plan: &Plan, act: Option<&str>) -> BTreeMap<(String, String, u32), Vec<String>> {
    phantom::joined(&State::new(plan, act).0)
}

/// Recomputes the whole plan, in every act, and compares it with its own `signals` and with the
/// wants. An empty list proves the plan.
#[must_use]
pub fn verify(plan: &Plan, wanted: &[Wanted]) -> Vec<Difference> {
    let acts: Vec<Option<&str>> = match plan.acts.as_slice() {
        [] => vec![None],
        acts => acts.iter().map(|act| Some(act.act.as_str())).collect(),
    };
    let mut differences = Vec::new();
    if plan.fantail != 1 {
        differences.push(Difference {
            place: "fantail".into(),
            expected: "format 1".into(),
            found: plan.fantail.to_string(),
            act: None,
        });
    }
    for want in wanted.iter().filter(|want| want.act.is_some() && !acts.contains(&want.act.as_deref())) {
        differences.push(Difference {
            place: want.at.clone(),
            expected: "an act of the plan".into(),
            found: format!("a want of `{}`", want.act.as_deref().unwrap_or_default()),
            act: None,
        });
    }
    let mut power = power::Power::default();
    for act in acts {
        let (state, faults) = State::new(plan, act);
        differences.extend(faults);
        phantom::check(&state, &mut differences);
        phantom::check_gains(&state, &mut differences);
        compare::check(&state, plan, wanted, &mut differences);
        power.read(&state, plan);
    }
    turns::check(&power, plan, &mut differences);
    differences
}
