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
            None => self.text = change.text,
            Some(range) => {
                let bytes = self.counted(encoding).bytes(range);
                self.text.replace_range(bytes, &change.text);
            }
        }
        self.lines = Lines::of(&self.text);
    }
}
