//! The whole path of a source or a point, upstream and downstream, a hop a line. A trace retells the
//! plan's signals and names the setting behind each hop; it never works out a signal of its own.

mod names;
mod print;
mod walk;

pub(crate) use print::{acts, rows, title};

use super::data::Plan;
use super::view::View;
use serde::Serialize;

/// The answer to one question.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Trace {
    /// As it was asked.
    pub what: String,
    /// One entry where all acts agree; else one for each set of acts that do, in the order of acts, those in
    /// which there is no way at all last.
    pub traced: Vec<InActs>,
}

/// What holds in some acts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct InActs {
    /// Empty where it holds in every act.
    pub acts: Vec<String>,
    /// One for each source or point that was asked for and each signal on it, in order.
    pub ways: Vec<Way>,
}

/// One signal by way of what was asked for.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Way {
    /// The source or point asked for.
    pub of: String,
    /// A plugged source's name, or an origin's point. Absent where nothing arrives.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
    /// From the source to every end, in order of the path.
    pub hops: Vec<Hop>,
    /// What goes into a mix, where the show says so: `kick-in (foh.channel 1)`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub carries: Vec<String>,
    /// The mixes that the source goes into.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub mixed_into: Vec<String>,
    /// Why there is no more to show.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dead_end: Option<String>,
}

/// A point on the way.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Hop {
    /// One more than the hop before where the signal has parted.
    pub depth: usize,
    pub point: String,
    /// The same point at the cable's other end, with the cable: `stage-left.up 9, 60 m aes50`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub also: Option<String>,
    /// The setting that brings the signal here: `channel 9-16 from portA 9-16`, `offset 1`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// The signal ends here.
    pub end: bool,
    /// A row asks for this end.
    pub asked: bool,
    /// The point that was asked for.
    pub here: bool,
}

/// Why there is no trace. Its `Display` is the message for the user.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TraceError {
    /// No source, device or bank of that name.
    Unknown { what: String, nearest: Option<String> },
    /// More than one bank it could be.
    Ambiguous { what: String, choices: Vec<String> },
    /// The bank has fewer points.
    PastTheEnd { what: String, bank: String, size: u32 },
    /// A device without a point, or numbers that are no numbers.
    NoPoint { what: String, example: String },
}

/// Traces a source (`kick-in`, `kestrel.kick`), an origin (`foh.mix 1`) or points (`foh.channel 1`,
/// `stage-left.out 1-4`, `foh.portA 17`; `stage-left 9` where only one bank can be meant).
///
/// # Errors
/// Where `what` names nothing in the plan, or not one thing.
pub fn trace(plan: &Plan, what: &str) -> Result<Trace, TraceError> {
    let targets = names::read(&View::any(plan), what)?;
    let in_view = |view: &View| targets.iter().flat_map(|target| walk::ways(view, target)).collect::<Vec<_>>();
    let mut traced: Vec<InActs> = Vec::new();
    for act in &plan.acts {
        let ways = in_view(&View::act(plan, act));
        match traced.iter_mut().find(|known| known.ways == ways) {
            Some(known) => known.acts.push(act.act.clone()),
            None => traced.push(InActs { acts: vec![act.act.clone()], ways }),
        }
    }
    if plan.acts.is_empty() {
        traced.push(InActs { acts: Vec::new(), ways: in_view(&View::house(plan)) });
    }
    if let [all] = traced.as_mut_slice() {
        all.acts.clear();
    }
    traced.sort_by_key(InActs::is_dead);
    Ok(Trace { what: what.trim().to_string(), traced })
}

impl InActs {
    /// Nothing is on any way here.
    fn is_dead(&self) -> bool {
        self.ways.iter().all(|way| way.dead_end.is_some())
    }
}

impl Trace {
    /// For a person, ending in a newline.
    pub fn text(&self) -> String {
        print::text(self)
    }

    /// `{what, traced: [{acts, ways: [{of, source, label, hops, carries, mixed_into, dead_end}]}]}`, laid
    /// out as the plan's JSON is.
    pub fn json(&self) -> String {
        let mut out = super::json::lay_out(&serde_json::to_string(self).unwrap_or_default());
        out.push('\n');
        out
    }
}

impl std::fmt::Display for TraceError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            TraceError::Unknown { what, nearest: Some(nearest) } => {
                write!(f, "nothing here is called `{what}`; did you mean `{nearest}`?")
            }
            TraceError::Unknown { what, nearest: None } => write!(f, "nothing here is called `{what}`"),
            TraceError::Ambiguous { what, choices } => {
                let choices: Vec<String> = choices.iter().map(|choice| format!("`{choice}`")).collect();
                write!(f, "`{what}` can be {}: say which", choices.join(" or "))
            }
            TraceError::PastTheEnd { what, bank, size } => {
                write!(f, "there is no `{what}`: `{bank}` has {size}, so it ends at `{bank} {size}`")
            }
            TraceError::NoPoint { what, example } => write!(f, "`{what}` is no point; say one as in `{example}`"),
        }
    }
}

impl std::error::Error for TraceError {}
