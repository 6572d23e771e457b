//! What the compiler carries inside itself, as files that an editor can open: the library's texts and the
//! rules' pages. Written on first use to the user's cache; where that fails, nothing leads there.

use fantail::project::std_texts;
use fantail::rules;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;
use tower_lsp::lsp_types::Url;

/// The shelf's folder, once everything stands on it.
static SHELF: LazyLock<Option<PathBuf>> = LazyLock::new(|| {
    let folder = dirs::cache_dir()?.join("fantail").join(env!("CARGO_PKG_VERSION"));
    let pages = rules::ALL.iter().map(|rule| (format!("rules/{}.md", rule.slug), rule.page));
    let texts = std_texts().map(|(name, text)| (name.to_string(), text));
    for (name, text) in texts.chain(pages) {
        put(&folder.join(name), text)?;
    }
    folder.canonicalize().ok()
});

/// Writes what does not stand there yet, whole or not at all: several servers may do so at once.
fn put(path: &Path, text: &str) -> Option<()> {
    if fs::read(path).is_ok_and(|there| there == text.as_bytes()) {
        return Some(());
    }
    fs::create_dir_all(path.parent()?).ok()?;
    let draft = path.with_extension(format!("{}.draft", std::process::id()));
    fs::write(&draft, text).ok()?;
    fs::rename(&draft, path).ok()
}

/// A text of the library by the name that the compiler has for it: `std/desks.fantail`.
pub fn library(name: &str) -> Option<Url> {
    Url::from_file_path(SHELF.as_ref()?.join(name)).ok()
}

/// The page of a rule.
pub fn page(slug: &str) -> Option<Url> {
    rules::find(slug)?;
    Url::from_file_path(SHELF.as_ref()?.join(format!("rules/{slug}.md"))).ok()
}

/// Whether a file is one of the shelf's, which is no part of anybody's show.
pub fn holds(path: &Path) -> bool {
    SHELF.as_ref().is_some_and(|shelf| path.starts_with(shelf))
}
