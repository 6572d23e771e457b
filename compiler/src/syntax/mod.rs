//! Text to tokens to rows to statements. Parsing cannot fail: a row that does not read costs one
//! diagnostic, and every other row is read.

pub mod ast;
mod braces;
mod cut;
mod parser;
mod place;
mod rows;
mod significant;
pub mod tidy;
pub mod tokens;
pub mod words;

#[cfg(test)]
mod tests;

pub use cut::{Cut, cut};
pub use parser::{bank_meant, mic_meant, word_of};
pub use place::{Place, place};
pub(crate) use significant::nfc;
pub use tokens::{Token, TokenKind};

use crate::diagnostics::Diagnostic;
use crate::source::FileId;
use std::collections::BTreeSet;

/// What could be made of one file.
#[derive(Clone, Debug, Default)]
pub struct Parsed {
    /// Every token, spaces and comments too: their texts put together are the file's text.
    pub tokens: Vec<Token>,
    pub statements: Vec<ast::Statement>,
    pub diagnostics: Vec<Diagnostic>,
    /// Every word of the rows that could not be read whole, in NFC: a name missed elsewhere may have
    /// been declared there.
    pub broken: BTreeSet<String>,
}

pub fn parse(file: FileId, text: &str) -> Parsed {
    parse_rows(file, text).parsed
}

/// A file read, and the rows that its significant tokens make.
struct ParsedRows<'t> {
    parsed: Parsed,
    sigs: Vec<significant::Spanned<'t>>,
    items: Vec<rows::Item>,
}

fn parse_rows(file: FileId, text: &str) -> ParsedRows<'_> {
    let tokens = tokens::tokens(text);
    let strange = significant::strange_places(file, text, &tokens);
    let mut diagnostics = significant::report_strange(text, &strange);
    let mut significant = significant::significant(file, text, &tokens);
    diagnostics.extend(braces::read_as_braces(&mut significant.sigs));
    let (items, split) = rows::items(&significant.sigs, &significant.cuts);
    let mut read = parser::read(text, &significant.sigs, &strange, &items);
    diagnostics.extend(significant.diagnostics);
    diagnostics.extend(split);
    diagnostics.append(&mut read.diagnostics);
    crate::diagnostics::sort(&mut diagnostics);
    let mut broken = read.broken;
    broken.extend(significant.passed_over);
    let parsed = Parsed { tokens, statements: read.statements, diagnostics, broken };
    ParsedRows { parsed, sigs: significant.sigs, items }
}
