//! How many of each there are.

use super::{Diagnostic, Severity};
use std::fmt;

/// Counts by severity; prints as `2 errors, 1 warning`.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, serde::Serialize)]
pub struct Summary {
    pub errors: usize,
    pub warnings: usize,
    pub notes: usize,
}

impl Summary {
    pub fn of(diagnostics: &[Diagnostic]) -> Self {
        let count = |severity| diagnostics.iter().filter(|d| d.severity == severity).count();
        Summary { errors: count(Severity::Error), warnings: count(Severity::Warning), notes: count(Severity::Note) }
    }
}

impl fmt::Display for Summary {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, {}", counted(self.errors, "error"), counted(self.warnings, "warning"))?;
        if self.notes > 0 {
            write!(f, ", {}", counted(self.notes, "note"))?;
        }
        Ok(())
    }
}

/// `no channels`, `1 channel`, `3 channels`.
pub fn counted(n: usize, what: &str) -> String {
    match n {
        0 => format!("no {what}s"),
        1 => format!("1 {what}"),
        n => format!("{n} {what}s"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_as_people_count() {
        assert_eq!(Summary::default().to_string(), "no errors, no warnings");
        assert_eq!(Summary { errors: 1, warnings: 2, notes: 1 }.to_string(), "1 error, 2 warnings, 1 note");
    }
}
