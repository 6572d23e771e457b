//! One open text: what the client says it holds, and the lines in it.

use crate::convert::{Counted, Encoding};
use fantail::source::Lines;
use std::path::PathBuf;
use tower_lsp::lsp_types::{TextDocumentContentChangeEvent, Url};

#[derive(Clone, Debug)]
pub struct Text {
    /// How the client names it.
    pub uri: Url,
    pub path: PathBuf,
    /// The client's count, which may skip.
    pub version: i32,
    /// Ours, over all texts. Unlike the version it is never the client's to choose.
    pub revision: u64,
    pub text: String,
    pub lines: Lines,
}

impl Text {
    pub fn counted(&self, encoding: Encoding) -> Counted<'_> {
        Counted { text: &self.text, lines: &self.lines, encoding }
    }

    pub fn edit(&mut self, change: TextDocumentContentChangeEvent, encoding: Encoding) {
        match change.range {
            None => {
                self.lines = Lines::of(&change.text);
                self.text = change.text;
            }
            Some(range) => {
                let bytes = self.counted(encoding).bytes(range);
                self.text.replace_range(bytes.clone(), &change.text);
                self.lines.edited(&self.text, bytes, change.text.len());
            }
        }
    }

    /// The same, leaving this one as it is.
    pub fn edited(&self, change: TextDocumentContentChangeEvent, encoding: Encoding) -> Text {
        let bytes = change.range.map(|range| self.counted(encoding).bytes(range));
        let bytes = bytes.unwrap_or(0..self.text.len());
        let around = (self.text.get(..bytes.start), self.text.get(bytes.end..));
        let (before, after) = (around.0.unwrap_or_default(), around.1.unwrap_or_default());
        let text = [before, change.text.as_str(), after].concat();
        let mut lines = self.lines.clone();
        lines.edited(&text, bytes, change.text.len());
        Text { uri: self.uri.clone(), path: self.path.clone(), text, lines, ..*self }
    }
}
