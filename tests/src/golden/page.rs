//! A golden page: a Markdown file, a heading of the second level a case, its sources and what is
//! expected of them in fences. Reads and rewrites text; it runs nothing.

use std::ops::Range;
use std::path::{Path, PathBuf};

pub struct Page {
    pub path: PathBuf,
    pub text: String,
    pub cases: Vec<Case>,
}

pub struct Case {
    pub name: String,
    /// File names and texts.
    pub sources: Vec<(String, String)>,
    /// `show.fantail`, or else the last source.
    pub root: String,
    pub expected: Vec<Fence>,
    /// Where another fence would go, in bytes of the page.
    pub end: usize,
}

/// What is expected: the words after the back ticks, and the lines between them.
#[derive(Clone)]
pub struct Fence {
    pub info: String,
    pub text: String,
    pub body: Range<usize>,
}

impl Case {
    pub fn fence(&self, kind: &str) -> Option<&Fence> {
        self.expected.iter().find(|fence| fence.info.split(' ').next() == Some(kind))
    }
}

/// All pages of a folder, by name.
pub fn pages(folder: &Path) -> Vec<Page> {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|ext| ext == "md"));
    paths.sort();
    paths.into_iter().map(|path| read(path.clone(), std::fs::read_to_string(&path).unwrap())).collect()
}

fn read(path: PathBuf, text: String) -> Page {
    let mut cases: Vec<Case> = Vec::new();
    let mut open: Option<(String, usize)> = None;
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let (start, end) = (at, at + line.len());
        at = end;
        let bare = line.trim_end();
        if let Some((info, body)) = &open {
            if bare == "```" {
                let fence = Fence { info: info.clone(), text: text[*body..start].to_string(), body: *body..start };
                let case = cases.last_mut().unwrap_or_else(|| panic!("{}: a fence before any case", path.display()));
                take(case, fence, end);
                open = None;
            }
        } else if let Some(info) = bare.strip_prefix("```") {
            open = Some((info.to_string(), end));
        } else if let Some(name) = bare.strip_prefix("## ") {
            cases.push(Case {
                name: name.to_string(),
                sources: Vec::new(),
                root: String::new(),
                expected: Vec::new(),
                end,
            });
        }
    }
    assert!(open.is_none(), "{}: a fence is not closed", path.display());
    Page { path, text, cases }
}

fn take(case: &mut Case, fence: Fence, end: usize) {
    case.end = end;
    if fence.info != "fantail" {
        case.expected.push(fence);
        return;
    }
    let first = fence.text.lines().next().unwrap_or_default();
    let name = first.strip_prefix("# file: ").unwrap_or("show.fantail").trim().to_string();
    assert!(case.sources.iter().all(|(known, _)| *known != name), "{}: two files are called {name}", case.name);
    if case.root != "show.fantail" {
        case.root.clone_from(&name);
    }
    case.sources.push((name, fence.text));
}

/// The page with other bodies in its fences; a body that has no fence gets one at the end of its case.
pub fn rewrite(page: &Page, bodies: &[Vec<(String, String)>]) -> String {
    let mut edits: Vec<(Range<usize>, String)> = Vec::new();
    for (case, bodies) in page.cases.iter().zip(bodies) {
        for (info, body) in bodies {
            match case.expected.iter().find(|fence| fence.info == *info) {
                Some(fence) => edits.push((fence.body.clone(), body.clone())),
                None => edits.push((case.end..case.end, format!("\n```{info}\n{body}```\n"))),
            }
        }
    }
    let mut text = page.text.clone();
    edits.sort_by_key(|(range, _)| range.start);
    for (range, body) in edits.into_iter().rev() {
        text.replace_range(range, &body);
    }
    text
}

/// What is missing (`-`) and what is too much (`+`), line by line, with a line around it.
pub fn diff(expected: &str, found: &str) -> String {
    let (old, new): (Vec<&str>, Vec<&str>) = (expected.lines().collect(), found.lines().collect());
    let mut common = vec![vec![0usize; new.len() + 1]; old.len() + 1];
    for i in (0..old.len()).rev() {
        for j in (0..new.len()).rev() {
            common[i][j] = match old[i] == new[j] {
                true => common[i + 1][j + 1] + 1,
                false => common[i + 1][j].max(common[i][j + 1]),
            };
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut lines: Vec<(char, &str)> = Vec::new();
    while i < old.len() || j < new.len() {
        if i < old.len() && j < new.len() && old[i] == new[j] {
            lines.push((' ', old[i]));
            (i, j) = (i + 1, j + 1);
        } else if j == new.len() || (i < old.len() && common[i + 1][j] >= common[i][j + 1]) {
            lines.push(('-', old[i]));
            i += 1;
        } else {
            lines.push(('+', new[j]));
            j += 1;
        }
    }
    let near = |at: usize| (at.saturating_sub(1)..=at + 1).any(|n| lines.get(n).is_some_and(|line| line.0 != ' '));
    let shown = (0..lines.len()).filter(|at| near(*at)).map(|at| format!("  {} {}\n", lines[at].0, lines[at].1));
    shown.collect()
}
