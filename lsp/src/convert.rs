//! Bytes of a text to lines and characters of the protocol, and diagnostics to the protocol's. The only
//! file that counts in the client's units; everything behind it counts bytes.

use crate::shelf;
use fantail::diagnostics::{self, Severity};
use fantail::source::{Lines, Span};
use tower_lsp::lsp_types::{
    CodeDescription, Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, DiagnosticTag, InitializeParams,
    Location, NumberOrString, Position, PositionEncodingKind, Range,
};

/// What a position counts within a line.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Encoding {
    Utf8,
    #[default]
    Utf16,
    Utf32,
}

impl Encoding {
    /// Bytes where the client offers them, else the first that it offers, else what every client can.
    pub fn negotiate(params: &InitializeParams) -> Self {
        let general = params.capabilities.general.as_ref();
        let offered = general.and_then(|general| general.position_encodings.as_deref()).unwrap_or_default();
        let known = |kind: &PositionEncodingKind| {
            [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32].into_iter().find(|one| one.kind() == *kind)
        };
        let mut offered: Vec<Encoding> = offered.iter().filter_map(known).collect();
        offered.sort_by_key(|one| *one != Encoding::Utf8);
        offered.first().copied().unwrap_or_default()
    }

    pub fn kind(self) -> PositionEncodingKind {
        match self {
            Encoding::Utf8 => PositionEncodingKind::UTF8,
            Encoding::Utf16 => PositionEncodingKind::UTF16,
            Encoding::Utf32 => PositionEncodingKind::UTF32,
        }
    }

    fn units(self, c: char) -> usize {
        match self {
            Encoding::Utf8 => c.len_utf8(),
            Encoding::Utf16 => c.len_utf16(),
            Encoding::Utf32 => 1,
        }
    }
}

/// A text with its lines, and how the client counts in it.
#[derive(Clone, Copy)]
pub struct Counted<'t> {
    pub text: &'t str,
    pub lines: &'t Lines,
    pub encoding: Encoding,
}

impl Counted<'_> {
    /// The byte at a position. One past its line's end is the line's end; one past the last line the end
    /// of the text; one inside a character that character's start.
    pub fn offset(&self, position: Position) -> usize {
        let line = position.line as usize;
        let Some(start) = self.lines.start_of(line).map(|start| start as usize) else { return self.text.len() };
        let rest = self.text.get(start..).unwrap_or_default();
        let line = rest.split(['\r', '\n']).next().unwrap_or_default();
        let mut units = 0;
        for (at, c) in line.char_indices() {
            units += self.encoding.units(c);
            if units > position.character as usize {
                return start + at;
            }
        }
        start + line.len()
    }

    /// The position of a byte; one inside a character counts as that character, one past the end as
    /// the end.
    pub fn position(&self, offset: usize) -> Position {
        let mut offset = offset.min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        let (line, start) = self.lines.line_at(u32::try_from(offset).unwrap_or(u32::MAX));
        let before = self.text.get(start as usize..offset).unwrap_or_default();
        let character: usize = before.chars().map(|c| self.encoding.units(c)).sum();
        let clamp = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Position { line: clamp(line), character: clamp(character) }
    }

    pub fn range(&self, span: Span) -> Range {
        let bytes = span.range();
        Range { start: self.position(bytes.start), end: self.position(bytes.end) }
    }

    /// The bytes of a range, turned round where its end stands before its start.
    pub fn bytes(&self, range: Range) -> std::ops::Range<usize> {
        let (start, end) = (self.offset(range.start), self.offset(range.end));
        start.min(end)..start.max(end)
    }
}

/// What these find could go, and nothing would be different: editors show it faded.
const NOTHING_WORSE: &[&str] = &["allow-without-effect", "change-without-effect", "said-twice", "device-unused"];

/// A diagnostic as the client shows it, its help below the message. `place` finds a span's location.
pub fn diagnostic(one: &diagnostics::Diagnostic, range: Range, place: impl Fn(Span) -> Option<Location>) -> Diagnostic {
    let mut message = one.message.clone();
    for help in &one.help {
        message.push('\n');
        message.push_str(help);
    }
    let related = one.labels.iter().filter_map(|label| {
        Some(DiagnosticRelatedInformation { location: place(label.span)?, message: label.message.clone() })
    });
    let related: Vec<_> = related.collect();
    Diagnostic {
        range,
        severity: Some(match one.severity {
            Severity::Error => DiagnosticSeverity::ERROR,
            Severity::Warning => DiagnosticSeverity::WARNING,
            Severity::Note => DiagnosticSeverity::INFORMATION,
        }),
        code: Some(NumberOrString::String(one.rule.to_string())),
        code_description: shelf::page(one.rule).map(|href| CodeDescription { href }),
        tags: NOTHING_WORSE.contains(&one.rule).then(|| vec![DiagnosticTag::UNNECESSARY]),
        source: Some("fantail".to_string()),
        message,
        related_information: Some(related).filter(|related| !related.is_empty()),
        ..Diagnostic::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn counted<'t>(text: &'t str, lines: &'t Lines, encoding: Encoding) -> Counted<'t> {
        Counted { text, lines, encoding }
    }

    #[test]
    fn an_emoji_is_two_units_or_four_bytes() {
        let text = "ab\r\n🎛x";
        let lines = Lines::of(text);
        let wide = counted(text, &lines, Encoding::Utf16);
        assert_eq!(wide.position(8), Position::new(1, 2));
        assert_eq!(wide.offset(Position::new(1, 2)), 8);
        assert_eq!(wide.offset(Position::new(1, 1)), 4, "inside the emoji");
        let bytes = counted(text, &lines, Encoding::Utf8);
        assert_eq!(bytes.position(8), Position::new(1, 4));
        assert_eq!(bytes.position(6), Position::new(1, 0));
    }

    #[test]
    fn what_lies_past_an_end_is_that_end() {
        let text = "ab\r\ncd";
        let lines = Lines::of(text);
        let counted = counted(text, &lines, Encoding::Utf16);
        assert_eq!(counted.offset(Position::new(0, 99)), 2, "before the line end");
        assert_eq!(counted.offset(Position::new(9, 0)), 6);
        assert_eq!(counted.position(99), Position::new(1, 2));
        let turned = Range::new(Position::new(1, 1), Position::new(0, 1));
        assert_eq!(counted.bytes(turned), 1..5);
    }

    #[test]
    fn a_lone_carriage_return_ends_a_line() {
        let text = "ab\rcd\r\ne";
        let lines = Lines::of(text);
        let counted = counted(text, &lines, Encoding::Utf16);
        assert_eq!(counted.offset(Position::new(0, 9)), 2);
        assert_eq!(counted.offset(Position::new(1, 1)), 4);
        assert_eq!(counted.position(7), Position::new(2, 0));
    }
}
