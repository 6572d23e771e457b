//! A file's text as it is shown beside a message: plain, and with very long lines cut down to what the
//! messages point at. It has exactly the lines of the file. Knows nothing of how it is drawn.

use super::plain::plain_char;
use std::ops::Range;

/// Characters of a line that is shown whole.
const WHOLE: usize = 200;
/// Characters kept before and after the start of a span, and at the start of a line.
const AROUND: u32 = 40;
/// Places that a cut line keeps; whatever else points at it points at a gap.
const WINDOWS: usize = 4;

/// The text, and where each character of the file went.
pub struct Shown {
    pub text: String,
    /// By place in the file.
    cut: Vec<Cut>,
}

/// A line that was cut. All in characters from the start of the file, without its line end.
struct Cut {
    line: Range<u32>,
    shown: Range<u32>,
    /// What was kept, and where it is shown now.
    kept: Vec<(Range<u32>, u32)>,
}

impl Shown {
    /// `spans`: what the messages point at, in characters, in any order.
    pub fn of(text: &str, spans: &[Range<u32>]) -> Self {
        let mut shown = Shown { text: String::with_capacity(text.len()), cut: Vec::new() };
        let mut spans = spans.to_vec();
        spans.sort_unstable_by_key(|span| (span.start, span.end));
        let (mut at, mut shown_at) = (0, 0);
        for line in text.split_inclusive('\n') {
            let content = line.strip_suffix('\n').unwrap_or(line);
            let content = content.strip_suffix('\r').filter(|_| content.len() < line.len()).unwrap_or(content);
            let ending = line.get(content.len()..).unwrap_or("");
            let length = number(content.chars().count());
            let shown_length = if length as usize <= WHOLE {
                shown.text.extend(content.chars().map(show));
                length
            } else {
                shown.cut_line(content, at..at + length, shown_at, &spans)
            };
            shown.text.push_str(ending);
            at += length + number(ending.len());
            shown_at += shown_length + number(ending.len());
        }
        shown
    }

    /// Appends what is kept of one line and returns its length.
    fn cut_line(&mut self, content: &str, line: Range<u32>, shown_at: u32, spans: &[Range<u32>]) -> u32 {
        let mut kept = Vec::new();
        let mut length = 0;
        for window in windows(&line, spans) {
            let (skip, take) = ((window.start - line.start) as usize, (window.end - window.start) as usize);
            if window.start > line.start {
                self.text.push('…');
                length += 1;
            }
            self.text.extend(content.chars().skip(skip).take(take).map(show));
            kept.push((window.clone(), shown_at + length));
            length += number(take);
        }
        if kept.last().is_some_and(|(window, _)| window.end < line.end) {
            self.text.push('…');
            length += 1;
        }
        self.cut.push(Cut { line, shown: shown_at..shown_at + length, kept });
        length
    }

    /// Where a character of the file is shown; a gap's sign for one that was cut out.
    pub fn offset(&self, at: u32) -> u32 {
        let Some(cut) = self.cut_before(at) else { return at };
        if at >= cut.line.end {
            return cut.shown.end + (at - cut.line.end);
        }
        let before = cut.kept.iter().rev().find(|(window, _)| window.start <= at);
        before.map_or(cut.shown.start, |(window, shown)| shown + (at - window.start).min(window.end - window.start))
    }

    /// The character stands in a line that was cut, so its column is not the one shown.
    pub fn is_cut(&self, at: u32) -> bool {
        self.cut_before(at).is_some_and(|cut| at <= cut.line.end)
    }

    fn cut_before(&self, at: u32) -> Option<&Cut> {
        let next = self.cut.partition_point(|cut| cut.line.start <= at);
        next.checked_sub(1).and_then(|last| self.cut.get(last))
    }
}

/// The parts of a line to keep: its start, and around what is pointed at. In order, apart. The spans
/// are in order.
fn windows(line: &Range<u32>, spans: &[Range<u32>]) -> Vec<Range<u32>> {
    let first = spans.partition_point(|span| span.start < line.start);
    let last = spans.partition_point(|span| span.start <= line.end);
    let on_line = spans.get(first..last).unwrap_or(&[]);
    let around = on_line.iter().map(|span| {
        let end = span.end.min(span.start + AROUND) + AROUND;
        span.start.saturating_sub(AROUND).max(line.start)..end.min(line.end)
    });
    let mut wanted: Vec<_> = around.chain(std::iter::once(line.start..line.start + AROUND)).collect();
    wanted.sort_by_key(|window| (window.start, window.end));
    let mut apart: Vec<Range<u32>> = Vec::new();
    for window in wanted {
        if apart.len() == WINDOWS {
            break;
        }
        match apart.last_mut() {
            Some(last) if window.start <= last.end + 1 && last.end - last.start < number(WHOLE) => {
                last.end = last.end.max(window.end);
            }
            // already as much in one piece as is shown: the rest of what overlaps is left out
            Some(last) if window.start < last.end => {}
            _ => apart.push(window),
        }
    }
    apart
}

fn show(c: char) -> char {
    // a byte order mark has no width, and is no fault of the line it stands in
    if matches!(c, '\t' | '\u{feff}') { c } else { plain_char(c) }
}

fn number(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_lines_keep_every_place() {
        let text = "a\tb\r\nc\rd\u{2028}e\n\u{1b}[0m";
        let shown = Shown::of(text, &[]);
        assert_eq!(shown.text, "a\tb\r\nc␍d\u{fffd}e\n␛[0m");
        assert!((0..16).all(|at| shown.offset(at) == at));
    }

    #[test]
    fn a_long_line_keeps_its_start_and_what_is_pointed_at() {
        let text = format!("{}here{}\nnext", "x".repeat(1000), "y".repeat(1000));
        let shown = Shown::of(&text, std::slice::from_ref(&(1000..1004)));
        let (line, next) = shown.text.split_once('\n').unwrap_or_default();
        assert!(line.chars().count() < 200 && line.contains("xxhereyy") && next == "next", "{line}");
        let at = |offset: u32| shown.text.chars().nth(shown.offset(offset) as usize);
        assert_eq!((at(1000), at(1003), at(2005), at(500)), (Some('h'), Some('e'), Some('n'), Some('…')));
        assert!(shown.is_cut(1000) && !shown.is_cut(2005));
    }

    #[test]
    fn many_places_on_one_line_stay_few_windows() {
        let text = "z".repeat(100_000);
        let spans: Vec<_> = (0..1000).map(|n| n * 100..n * 100 + 3).collect();
        let shown = Shown::of(&text, &spans);
        assert!(shown.text.chars().count() < 1200);
        assert!(spans.iter().all(|span| (shown.offset(span.end) as usize) <= shown.text.chars().count()));
    }
}
