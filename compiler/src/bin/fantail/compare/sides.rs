//! One state of a show: a root file that is compiled, or a plan that was kept.

use crate::output::{Output, Status, Stop};
use crate::report::{Findings, compiled};
use crate::sheets::folder;
use fantail::Compiled;
use fantail::compare::Said;
use fantail::plan::{Origins, Plan};
use std::path::Path;

/// What came of a state. It is read before anything is told, so that several are read at once.
pub enum Side {
    Told(Box<Told>),
    /// It has errors, or could not be read.
    Wrong(Box<Compiled>),
}

/// What is compared.
pub struct Told {
    pub plan: Plan,
    pub origins: Origins,
}

impl Told {
    pub fn said(&self) -> Said<'_> {
        Said { plan: &self.plan, origins: &self.origins }
    }
}

impl Side {
    /// A pack's folder and a `.json` file are plans that were kept; all else is a show.
    ///
    /// # Errors
    /// A message for the user.
    pub fn read(path: &Path) -> Result<Self, String> {
        let kept = path.is_dir() || path.extension().is_some_and(|ext| ext.eq_ignore_ascii_case("json"));
        if kept {
            return folder::plan(path).map(|plan| Side::Told(Box::new(Told { plan, origins: Origins::default() })));
        }
        Ok(Side::of(compiled(path)))
    }

    pub fn of(compiled: Compiled) -> Self {
        if compiled.has_errors() || compiled.root_unread {
            return Side::Wrong(Box::new(compiled));
        }
        let origins = compiled.origins();
        Side::Told(Box::new(Told { plan: compiled.plan, origins }))
    }

    /// Its plan; none where the show has errors, which are then told.
    ///
    /// # Errors
    /// A show that could not be read.
    pub fn told(self, output: &mut Output) -> Result<Option<Told>, Stop> {
        match self {
            Side::Told(told) => Ok(Some(*told)),
            Side::Wrong(compiled) => match Findings::of(vec![*compiled], false).tell(output)? {
                Status::NotRun => Err(Stop::said("what cannot be read cannot be compared")),
                _ => Ok(None),
            },
        }
    }
}
