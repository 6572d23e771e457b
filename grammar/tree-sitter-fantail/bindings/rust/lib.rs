//! The tree-sitter grammar of fantail as a crate: the language, and its queries as texts. It knows nothing
//! of the compiler.

use tree_sitter_language::LanguageFn;

unsafe extern "C" {
    fn tree_sitter_fantail() -> *const ();
}

/// The function that a parser takes its language from.
// The parser that tree-sitter generated has this name and signature.
pub const LANGUAGE: LanguageFn = unsafe { LanguageFn::from_raw(tree_sitter_fantail) };

pub const HIGHLIGHTS_QUERY: &str = include_str!("../../queries/highlights.scm");
pub const LOCALS_QUERY: &str = include_str!("../../queries/locals.scm");
pub const FOLDS_QUERY: &str = include_str!("../../queries/folds.scm");
pub const INDENTS_QUERY: &str = include_str!("../../queries/indents.scm");
