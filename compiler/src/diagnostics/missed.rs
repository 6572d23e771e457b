//! A name that nobody declares, as data: who joins, quiets or gathers such messages asks this, never their
//! text.

use super::{Diagnostic, Edit};
use crate::source::Span;

/// The rule under which a name that is not there is told.
const RULE: &str = "unknown-name";

/// What a name that is missed would have been. Gear is missed alike whatever a row calls it: a desk, a device.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Sort {
    Gear,
    Source,
    /// A source that is an act's own, named with who else names it.
    OfAnAct,
    Model,
    Mic,
    Signal,
    Carrier,
    /// Whatever a `change` or a `without` names.
    Changed,
    /// A bank, a port or a mode of gear that is known.
    Part,
    /// A word of the language where the user may write several, as the use of an output.
    Word,
}

impl Sort {
    /// Whether another file may declare it.
    pub fn declarable(self) -> bool {
        !matches!(self, Sort::Part | Sort::Word | Sort::OfAnAct)
    }
}

#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Missed {
    pub sort: Sort,
    /// `None` where any of its sort would do.
    pub name: Option<String>,
}

impl Diagnostic {
    /// A name that nobody declares. A part is named with what it would be a part of.
    pub fn unknown(sort: Sort, name: impl Into<String>, span: Span, message: impl Into<String>) -> Self {
        Diagnostic::error(RULE, span, message).missing(sort, Some(name.into()))
    }

    pub fn missing(mut self, sort: Sort, name: Option<String>) -> Self {
        self.missed = Some(Missed { sort, name });
        self
    }

    /// Asks whether a near name is meant, where there is one, and offers to write it.
    pub fn near(self, span: Span, near: Option<&str>) -> Self {
        match near {
            Some(near) => self.meant(span, near),
            None => self,
        }
    }

    /// The same, or where no name is near, this help.
    pub fn near_or(self, span: Span, near: Option<&str>, help: impl Into<String>) -> Self {
        match near {
            Some(near) => self.meant(span, near),
            None => self.help(help),
        }
    }

    fn meant(mut self, span: Span, near: &str) -> Self {
        self.slip = true;
        let edit = Edit { span, text: near.to_string() };
        self.help(format!("did you mean `{near}`?")).fix(format!("write `{near}`"), vec![edit], false)
    }

    /// Whether what it misses may stand in a file that is not read.
    pub fn may_stand_elsewhere(&self) -> bool {
        self.missed.as_ref().is_some_and(|missed| missed.sort.declarable())
    }
}
