//! Annotations for a workflow on a code host: one line a diagnostic, `::error file=…,line=…::message`.
//! Everything of ours is escaped, so that no text of a show can give the runner a command of its own.

use super::place::Places;
use super::plain::{plain, plain_lines};
use super::{Diagnostic, Severity};
use crate::source::Sources;
use std::io::{self, Write};

/// Lines and columns from 1. Columns are given only where the span stays on one line.
///
/// # Errors
/// Only those of `out`.
pub fn write(out: &mut dyn Write, sources: &Sources, diagnostics: &[Diagnostic]) -> io::Result<()> {
    let places = Places::of(sources);
    for diagnostic in diagnostics {
        let command = match diagnostic.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "notice",
        };
        write!(out, "::{command} ")?;
        if let Some((file, stretch)) = places.stretch(diagnostic.span) {
            let (start, end) = (stretch.start, stretch.end);
            write!(out, "file={},line={},endLine={},", property(&file.name), start.line, end.line)?;
            if start.line == end.line {
                // the last column is inside the span
                let last = end.column.saturating_sub(1).max(start.column);
                write!(out, "col={},endColumn={last},", start.column)?;
            }
        }
        writeln!(out, "title={}::{}", property(diagnostic.rule), data(&message(&places, diagnostic)))?;
    }
    Ok(())
}

/// The message, then each further place and each help on a line of its own.
fn message(places: &Places, diagnostic: &Diagnostic) -> String {
    let mut lines = vec![diagnostic.told()];
    for label in &diagnostic.labels {
        let place = places.stretch(label.span).map(|(file, stretch)| format!("{}:{}: ", file.name, stretch.start.line));
        lines.push(format!("{}{}", place.unwrap_or_default(), plain(&label.message)));
    }
    lines.extend(diagnostic.help.iter().map(|help| format!("help: {help}")));
    lines.join("\n")
}

fn data(text: &str) -> String {
    plain_lines(text).replace('%', "%25").replace('\r', "%0D").replace('\n', "%0A")
}

fn property(text: &str) -> String {
    data(text).replace(':', "%3A").replace(',', "%2C")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::source::Span;

    // The escapes are those that the runner's own documentation of workflow commands gives, from memory.
    #[test]
    fn nothing_of_a_show_reaches_the_runner_unescaped() {
        let mut sources = Sources::default();
        let id = sources.add("a,b:c.fantail".into(), None, "one\ntwo\n".into());
        let diagnostic = Diagnostic::error("unknown-name", Span::new(id, 4, 7), "100 % of\n::warning::`two`")
            .label(Span::new(id, 0, 3), "declared here")
            .help("write `one`");
        let mut out = Vec::new();
        write(&mut out, &sources, &[diagnostic]).unwrap();
        assert_eq!(
            String::from_utf8(out).unwrap(),
            "::error file=a%2Cb%3Ac.fantail,line=2,endLine=2,col=1,endColumn=3,title=unknown-name::\
             100 %25 of ::warning::`two`%0Aa,b:c.fantail:1: declared here%0Ahelp: write `one`\n"
        );
    }
}
