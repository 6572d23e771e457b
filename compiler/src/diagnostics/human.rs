//! Diagnostics for a person at a terminal, the offending lines drawn beside the message. The only file
//! that names ariadne; every span that reaches it lies on one line of a text that it can draw.

use super::place::Places;
use super::plain::{plain, plain_lines};
use super::shown::Shown;
use super::{Diagnostic, Rule, Severity, Summary, rule_of};
use crate::source::{FileId, SourceFile, Sources, Span};
use ariadne::{Cache, CharSet, Color, Config, Fmt, Label, Report, ReportKind, Source};
use std::collections::HashMap;
use std::io::{self, Write};
use std::ops::Range;

/// Messages drawn at a time: a file of the wrong kind can give a million, which nobody reads. The rest
/// is counted.
const DRAWN: usize = 2000;
/// Labels drawn with one message; further ones are counted.
const LABELS: usize = 8;
/// A label further from the message's line than this is told in words, since every line between is walked.
const FAR: usize = 400;

/// How to draw.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Look {
    /// With escape codes for colour.
    pub colour: bool,
    /// Frames of plain ASCII, for a terminal that can do no more.
    pub ascii: bool,
}

/// Writes each diagnostic with the lines it speaks of; of very many the errors first. `closing` writes
/// the counts.
///
/// # Errors
/// Only those of `out`.
pub fn write(out: &mut dyn Write, sources: &Sources, diagnostics: &[Diagnostic], look: Look) -> io::Result<()> {
    let shown = most_telling(diagnostics);
    let mut drawing = Drawing::of(sources, &shown);
    for diagnostic in &shown {
        out.write_all(drawing.draw(diagnostic, look)?.as_bytes())?;
    }
    match diagnostics.len() - shown.len() {
        0 => Ok(()),
        more => writeln!(out, "and {more} more, all of which `fantail check --format json` writes"),
    }
}

/// Not more than can be drawn, in their order.
fn most_telling(diagnostics: &[Diagnostic]) -> Vec<&Diagnostic> {
    if diagnostics.len() <= DRAWN {
        return diagnostics.iter().collect();
    }
    let mut worst: Vec<_> = diagnostics.iter().enumerate().collect();
    worst.sort_by_key(|(_, diagnostic)| diagnostic.severity);
    worst.truncate(DRAWN);
    worst.sort_by_key(|(at, _)| *at);
    worst.into_iter().map(|(_, diagnostic)| diagnostic).collect()
}

/// The last line: how many of each, and how to learn more about the first of the worst, where the
/// catalogue has a page for it.
///
/// # Errors
/// Only those of `out`.
pub fn closing(out: &mut dyn Write, diagnostics: &[Diagnostic], notes_hidden: usize, rules: &[Rule]) -> io::Result<()> {
    write!(out, "{}", Summary::of(diagnostics))?;
    match notes_hidden {
        0 => {}
        1 => write!(out, " (1 note more with --notes)")?,
        n => write!(out, " ({n} notes more with --notes)")?,
    }
    writeln!(out)?;
    let worst = diagnostics.iter().min_by_key(|diagnostic| diagnostic.severity);
    match worst.and_then(|worst| rule_of(rules, worst.rule)) {
        Some(rule) => writeln!(out, "`fantail explain {}` says more about the rule.", rule.slug),
        None => Ok(()),
    }
}

/// The texts as ariadne wants them, each made once, when first needed.
struct Drawing<'a> {
    sources: &'a Sources,
    places: Places<'a>,
    /// What all messages point at, in characters.
    spans: HashMap<FileId, Vec<Range<u32>>>,
    texts: HashMap<FileId, (Source<String>, Shown)>,
}

/// A span that can be drawn.
struct Spot<'a> {
    file: &'a SourceFile,
    /// In characters of the file; on one line.
    chars: Range<u32>,
    /// From 0.
    line: usize,
    message: String,
}

impl Spot<'_> {
    /// Have a character in common, or start at one place.
    fn meets(&self, other: &Spot) -> bool {
        let (a, b) = (&self.chars, &other.chars);
        self.file.id == other.file.id && (a.start == b.start || (a.start < b.end && b.start < a.end))
    }
}

type DrawnSpan = (FileId, Range<usize>);

impl<'a> Drawing<'a> {
    fn of(sources: &'a Sources, diagnostics: &[&Diagnostic]) -> Self {
        let mut drawing =
            Drawing { sources, places: Places::of(sources), spans: HashMap::new(), texts: HashMap::new() };
        for diagnostic in diagnostics {
            let labels = diagnostic.labels.iter().take(LABELS).map(|label| label.span);
            for span in std::iter::once(diagnostic.span).chain(labels) {
                if let Some(spot) = drawing.spot(span, "") {
                    drawing.spans.entry(spot.file.id).or_default().push(spot.chars);
                }
            }
        }
        drawing
    }

    /// The span in characters, cut at the end of its first line.
    fn spot(&self, span: Span, message: &str) -> Option<Spot<'a>> {
        let (file, start, end) = self.places.clamp(span)?;
        let (line, _) = file.lines.line_at(u32::try_from(start).unwrap_or(u32::MAX));
        let rest = file.text.get(start..end).unwrap_or("");
        let first = rest.split('\n').next().unwrap_or("");
        let first = first.strip_suffix('\r').filter(|_| first.len() < rest.len()).unwrap_or(first);
        let from = self.places.chars_before(file, start);
        let to = self.places.chars_before(file, start + first.len());
        Some(Spot { file, chars: from..to, line, message: plain(message).into_owned() })
    }

    fn draw(&mut self, diagnostic: &Diagnostic, look: Look) -> io::Result<String> {
        let head = head(diagnostic, look);
        let Some(primary) = self.spot(diagnostic.span, "") else {
            return Ok(format!("{head}\n{}\n", in_words(diagnostic)));
        };
        if primary.file.text.is_empty() && diagnostic.labels.is_empty() {
            return Ok(format!("{head}\n  at {}\n{}\n", self.location(&primary), in_words(diagnostic)));
        }
        let (near, mut notes) = self.labels(diagnostic, &primary);
        let mut spots = vec![primary];
        spots.extend(near);
        if let Some(fix) = diagnostic.fixes.first().filter(|_| diagnostic.help.is_empty()) {
            notes.push(format!("can be mended: {}", plain(&fix.label)));
        }
        let drawn = self.report(diagnostic, &spots, &notes, look)?;
        let body = drawn.split_once('\n').map_or("", |(_, body)| body);
        Ok(format!("{head}\n{body}\n"))
    }

    /// The labels to draw, and those that are only told.
    fn labels(&self, diagnostic: &Diagnostic, primary: &Spot) -> (Vec<Spot<'a>>, Vec<String>) {
        let (mut near, mut notes) = (Vec::new(), Vec::new());
        for label in diagnostic.labels.iter().take(LABELS) {
            match self.spot(label.span, &label.message) {
                Some(spot) if spot.file.id == primary.file.id && spot.line.abs_diff(primary.line) > FAR => {
                    notes.push(format!("{}: {}", self.location(&spot), spot.message));
                }
                Some(spot) => near.push(spot),
                None => notes.push(plain(&label.message).into_owned()),
            }
        }
        let more = diagnostic.labels.len().saturating_sub(LABELS);
        if more > 0 {
            notes.push(format!("and {more} more places"));
        }
        (near, notes)
    }

    fn report(
        &mut self,
        diagnostic: &Diagnostic,
        spots: &[Spot<'a>],
        notes: &[String],
        look: Look,
    ) -> io::Result<String> {
        let charset = if look.ascii { CharSet::Ascii } else { CharSet::Unicode };
        let spans: Vec<DrawnSpan> = spots.iter().map(|spot| self.drawn(spot)).collect();
        let Some(primary) = spans.first().cloned() else { return Ok(String::new()) };
        let primary_file = primary.0;
        let mut report = Report::build(ReportKind::Error, primary)
            .with_config(Config::new().with_color(look.colour).with_char_set(charset));
        report.with_helps(diagnostic.help.iter().map(|help| plain_lines(help).into_owned()));
        report.with_notes(notes);
        // One group of lines a file, the message's own first, and downwards in each: a label above the
        // one before it would open a group with a wrong place in its heading.
        let mut order: Vec<_> = spots.iter().zip(spans).enumerate().collect();
        order.sort_by_key(|(at, (spot, (id, span)))| (*id != primary_file, *id, spot.line, span.start, *at));
        let said = |own: &Spot| spots.iter().skip(1).any(|other| own.meets(other));
        for (at, (spot, span)) in order {
            // its place is in the heading and under a label that has words
            if at == 0 && said(spot) {
                continue;
            }
            let mut label = Label::new(span);
            if look.colour {
                label = label.with_color(if at == 0 { colour(diagnostic.severity) } else { Color::Cyan });
            }
            // an arrow without words is drawn as nothing at all
            let message = if at == 0 && spot.message.is_empty() { "here" } else { spot.message.as_str() };
            report = report.with_label(label.with_message(message));
        }
        let mut drawn = Vec::new();
        report.finish().write(&mut *self, &mut drawn)?;
        Ok(self.mend_columns(String::from_utf8_lossy(&drawn).into_owned(), spots))
    }

    /// A heading's column is counted in the line as drawn; where that was cut down, put the real one.
    fn mend_columns(&self, mut drawn: String, spots: &[Spot]) -> String {
        for spot in spots {
            let Some((source, shown)) = self.texts.get(&spot.file.id) else { continue };
            if !shown.is_cut(spot.chars.start) {
                continue;
            }
            if let Some((_, line, column)) = source.get_offset_line(shown.offset(spot.chars.start) as usize) {
                let said = format!(" {}:{}:{} ", plain(&spot.file.name), line + 1, column + 1);
                drawn = drawn.replacen(&said, &format!(" {} ", self.location(spot)), 1);
            }
        }
        drawn
    }

    /// `rig.fantail:12:5`
    fn location(&self, spot: &Spot) -> String {
        let start = spot.file.lines.start_of(spot.line).unwrap_or(0);
        let column = spot.chars.start - self.places.chars_before(spot.file, start as usize) + 1;
        format!("{}:{}:{column}", plain(&spot.file.name), spot.line + 1)
    }

    fn drawn(&mut self, spot: &Spot) -> DrawnSpan {
        let (_, shown) = self.text(spot.file);
        let (start, end) = (shown.offset(spot.chars.start), shown.offset(spot.chars.end));
        (spot.file.id, start as usize..end.max(start) as usize)
    }

    fn text(&mut self, file: &SourceFile) -> &(Source<String>, Shown) {
        let spans = self.spans.get(&file.id).map_or(&[][..], Vec::as_slice);
        self.texts.entry(file.id).or_insert_with(|| {
            let mut shown = Shown::of(&file.text, spans);
            (Source::from(std::mem::take(&mut shown.text)), shown)
        })
    }
}

impl Cache<FileId> for &mut Drawing<'_> {
    type Storage = String;

    fn fetch(&mut self, id: &FileId) -> Result<&Source<String>, impl std::fmt::Debug> {
        self.texts.get(id).map(|(source, _)| source).ok_or("no such file")
    }

    fn display<'b>(&self, id: &'b FileId) -> Option<impl std::fmt::Display + 'b> {
        self.sources.get(*id).map(|file| plain(&file.name).into_owned())
    }
}

/// What helps, where there is no text to draw.
fn in_words(diagnostic: &Diagnostic) -> String {
    diagnostic.help.iter().map(|help| format!("  help: {}\n", plain_lines(help))).collect()
}

/// `error: message [rule]`
fn head(diagnostic: &Diagnostic, look: Look) -> String {
    let word = format!("{}:", diagnostic.severity.word());
    let rule = format!("[{}]", diagnostic.rule);
    if look.colour {
        let (word, rule) = (word.fg(colour(diagnostic.severity)), rule.fg(Color::Fixed(246)));
        format!("{word} {} {rule}", diagnostic.told())
    } else {
        format!("{word} {} {rule}", diagnostic.told())
    }
}

fn colour(severity: Severity) -> Color {
    match severity {
        Severity::Error => Color::Red,
        Severity::Warning => Color::Yellow,
        Severity::Note => Color::Blue,
    }
}

#[cfg(test)]
mod tests;
