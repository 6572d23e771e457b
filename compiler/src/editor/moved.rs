//! What includes must say once a file, or a folder, has another name.

use crate::Compiled;
use crate::diagnostics::Edit;
use std::ffi::OsStr;
use std::path::{Component, Path, PathBuf};

/// The edits, in files by their paths of before, when what was `from` is now `to`. Paths are absolute.
pub fn moved(compiled: &Compiled, from: &Path, to: &Path) -> Vec<Edit> {
    let now = |path: &Path| match path.strip_prefix(from) {
        Ok(rest) if rest.as_os_str().is_empty() => to.to_path_buf(),
        Ok(rest) => to.join(rest),
        Err(_) => path.to_path_buf(),
    };
    let edit = |include: &crate::project::Include| {
        let path = |id| compiled.sources.get(id)?.path.as_deref();
        let (includer, included) = (path(include.from)?, path(include.to)?);
        if now(includer) == includer && now(included) == included {
            return None;
        }
        let new = relative(now(includer).parent()?, &now(included))?;
        let said = compiled.sources.text_at(include.path);
        let same = said.trim_matches(['"', '\u{201c}', '\u{201d}', '\u{201e}']) == new;
        (!same).then(|| Edit { span: include.path, text: format!("\"{new}\"") })
    };
    compiled.includes.iter().filter_map(edit).collect()
}

/// The way from a folder to a file, with `/`.
fn relative(folder: &Path, file: &Path) -> Option<String> {
    let parts = |path: &Path| path.components().map(|part| part.as_os_str().to_owned()).collect::<Vec<_>>();
    let (folder_parts, file_parts) = (parts(folder), parts(file));
    let shared = folder_parts.iter().zip(&file_parts).take_while(|(a, b)| a == b).count();
    let up = std::iter::repeat_n(OsStr::new("..").to_owned(), folder_parts.len() - shared);
    let way: PathBuf = up.chain(file_parts.into_iter().skip(shared)).collect();
    let named = way.components().map(|part| match part {
        Component::Normal(name) => name.to_str(),
        Component::ParentDir => Some(".."),
        _ => None,
    });
    named.collect::<Option<Vec<_>>>().map(|parts| parts.join("/"))
}

#[cfg(test)]
mod tests {
    use super::relative;
    use std::path::Path;

    #[test]
    fn the_way_goes_up_and_down() {
        let way = |folder, file| relative(Path::new(folder), Path::new(file));
        assert_eq!(way("/a/hall", "/a/rig.fantail").as_deref(), Some("../rig.fantail"));
        assert_eq!(way("/a", "/a/parts/rig.fantail").as_deref(), Some("parts/rig.fantail"));
        assert_eq!(way("/a/hall", "/b/rig.fantail").as_deref(), Some("../../b/rig.fantail"));
    }
}
