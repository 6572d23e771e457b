//! Bytes to text, and why a file could not be read, in the reader's words. What can be read of a
//! damaged text is kept: every unreadable run becomes one U+FFFD at its place.

use super::files::LIMIT;
use crate::diagnostics::Diagnostic;
use crate::source::{FileId, Span};
use std::io::{Error, ErrorKind};
use std::ops::Range;

/// A text and the places in it that stand for bytes that are no text.
pub(super) struct Decoded {
    pub text: String,
    pub unreadable: Vec<Range<usize>>,
    pub sixteen_bit: bool,
}

pub(super) fn decode(bytes: Vec<u8>) -> Decoded {
    if let Some(text) = sixteen_bit(&bytes) {
        return Decoded { text, unreadable: Vec::new(), sixteen_bit: true };
    }
    match String::from_utf8(bytes) {
        Ok(text) => Decoded { text, unreadable: Vec::new(), sixteen_bit: false },
        Err(broken) => decode_broken(broken.as_bytes()),
    }
}

fn decode_broken(bytes: &[u8]) -> Decoded {
    let mut text = String::with_capacity(bytes.len());
    let mut unreadable: Vec<Range<usize>> = Vec::new();
    for chunk in bytes.utf8_chunks() {
        text.push_str(chunk.valid());
        if chunk.invalid().is_empty() {
            continue;
        }
        let joins = unreadable.last().is_some_and(|last| last.end == text.len());
        if !joins {
            let start = text.len();
            text.push(char::REPLACEMENT_CHARACTER);
            unreadable.push(start..text.len());
        }
    }
    Decoded { text, unreadable, sixteen_bit: false }
}

/// A text in UTF-16 that says so by its first two bytes.
fn sixteen_bit(bytes: &[u8]) -> Option<String> {
    type Unit = fn([u8; 2]) -> u16;
    let (rest, read): (&[u8], Unit) = match bytes {
        [0xFF, 0xFE, rest @ ..] => (rest, u16::from_le_bytes),
        [0xFE, 0xFF, rest @ ..] => (rest, u16::from_be_bytes),
        _ => return None,
    };
    let pairs = rest.chunks(2).map(|pair| match pair {
        [a, b] => read([*a, *b]),
        _ => 0xFFFD,
    });
    Some(char::decode_utf16(pairs).map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER)).collect())
}

impl Decoded {
    /// One diagnostic for a damaged text, at its first damaged place.
    pub fn diagnose(&self, file: FileId) -> Option<Diagnostic> {
        const SHOWN: usize = 8;
        if self.sixteen_bit {
            let message = "this file is saved as UTF-16, and fantail reads UTF-8";
            let help = "save the file again with the encoding UTF-8";
            return Some(Diagnostic::error("not-utf-8", Span::new(file, 0, 0), message).help(help));
        }
        let (first, others) = self.unreadable.split_first()?;
        let place = |range: &Range<usize>| Span::new(file, range.start, range.end);
        let message = match others.len() {
            0 => "these bytes are no UTF-8 text".to_string(),
            more => format!("these bytes are no UTF-8 text, nor are those in {more} more places"),
        };
        let told = Diagnostic::error("not-utf-8", place(first), message)
            .help("save the file again with the encoding UTF-8, then write the damaged letter anew");
        Some(others.iter().take(SHOWN).fold(told, |told, other| told.label(place(other), "and here")))
    }

    pub fn touches_damage(&self, span: Span) -> bool {
        self.unreadable.iter().any(|range| range.start < span.range().end.max(1) && span.range().start < range.end)
    }
}

/// The rule, and the words after the file's name, for a file that could not be read.
pub(super) fn refusal(error: &Error) -> (&'static str, String) {
    match error.kind() {
        ErrorKind::NotFound | ErrorKind::NotADirectory => ("file-missing", "is not there".into()),
        ErrorKind::IsADirectory => ("folder-in-place-of-file", "is a folder, and a file is needed".into()),
        ErrorKind::PermissionDenied => ("file-unreadable", "may not be read by you".into()),
        ErrorKind::Unsupported => ("no-plain-file", "is a pipe or a device, and a plain file is needed".into()),
        ErrorKind::FileTooLarge => {
            ("file-too-big", format!("is larger than {} MiB, the most that is read", LIMIT / (1024 * 1024)))
        }
        _ => ("file-unreadable", format!("cannot be read: {error}")),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::*;
    use crate::source::{LineCol, Lines};

    #[test]
    fn damage_is_told_at_its_line_and_column() {
        let decoded = decode(b"rate 48 kHz\nbox \xC3\xA4\xFF\xFE x\nclock \xC0foh\n".to_vec());
        assert_eq!(decoded.text, "rate 48 kHz\nbox ä\u{FFFD} x\nclock \u{FFFD}foh\n");
        let told = decoded.diagnose(FileId(3)).unwrap();
        let at = Lines::of(&decoded.text).line_col(&decoded.text, told.span.start);
        assert_eq!(at, LineCol { line: 2, column: 6 });
        assert_eq!(told.labels.len(), 1);
        assert!(decoded.touches_damage(told.span));
        assert!(!decoded.touches_damage(Span::new(FileId(3), 0, 4)));
    }

    #[test]
    fn sixteen_bit_text_is_read_all_the_same() {
        let decoded = decode(vec![0xFF, 0xFE, b'r', 0, b'a', 0]);
        assert_eq!(decoded.text, "ra");
        assert_eq!(decoded.diagnose(FileId(0)).unwrap().rule, "not-utf-8");
        assert_eq!(decode(vec![0xFE, 0xFF, 0, b'r', 0]).text, "r\u{FFFD}");
    }

    #[test]
    fn whole_text_says_nothing() {
        assert!(decode("kräftig".into()).diagnose(FileId(0)).is_none());
    }
}
