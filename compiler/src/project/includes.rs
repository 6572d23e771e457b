//! From a root file to all files of a show: includes are followed, each file is read once, and a circle
//! of includes is cut and told. This is the one place of the compiler that reads files.

use super::files::{Files, is_standard_input, normal};
use super::names::nearest;
use super::{Include, Project, std_files, texts};
use crate::diagnostics::{Diagnostic, Edit, Fix};
use crate::source::{FileId, Span};
use crate::syntax::ast::{Statement, StatementKind, Text};
use crate::syntax::parse;
use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Reads `root` (`-` for standard input) and all that it includes. What could not be read is told and
/// left out; the project then says `incomplete`.
pub fn load(root: &Path, files: &dyn Files) -> (Project, Vec<Diagnostic>) {
    let mut project = Project { part: files.is_part(), ..Project::default() };
    for (id, parsed) in std_files::add_to(&mut project.sources) {
        project.std.push(id);
        project.parsed.insert(id, parsed);
    }
    let mut loader = Loader::new(project, files, root);
    loader.read_root(root);
    while let Some(file) = loader.to_scan.pop_front() {
        loader.follow_includes(file);
    }
    let Loader { mut project, mut diagnostics, .. } = loader;
    diagnostics.extend(cut_circles(&mut project));
    (project, diagnostics)
}

struct Loader<'a> {
    files: &'a dyn Files,
    project: Project,
    diagnostics: Vec<Diagnostic>,
    by_path: BTreeMap<PathBuf, FileId>,
    /// What includes of a file are relative to, and the folder of the name it is shown by.
    folders: BTreeMap<FileId, (PathBuf, PathBuf)>,
    to_scan: VecDeque<FileId>,
    /// The folder of the root's folder: what lies outside needs `include outside`.
    fence: PathBuf,
}

impl<'a> Loader<'a> {
    fn new(project: Project, files: &'a dyn Files, root: &Path) -> Self {
        let folder = folder_of(files, root);
        let fence = folder.parent().map(Path::to_path_buf).unwrap_or(folder);
        Loader {
            files,
            project,
            diagnostics: Vec::new(),
            by_path: BTreeMap::new(),
            folders: BTreeMap::new(),
            to_scan: VecDeque::new(),
            fence,
        }
    }

    fn read_root(&mut self, root: &Path) {
        let shown = if is_standard_input(root) { "standard input".to_string() } else { show_path(root) };
        match self.files.read(root) {
            Ok(bytes) => {
                self.project.root = self.add(root, &shown, bytes);
            }
            Err(error) => {
                self.project.root = self.project.sources.add(shown.clone(), None, String::new());
                self.project.parsed.insert(self.project.root, Arc::default());
                self.project.root_unread = true;
                self.project.incomplete = true;
                let (rule, why) = texts::refusal(&error);
                let place = Span::new(self.project.root, 0, 0);
                self.diagnostics.push(Diagnostic::error(rule, place, format!("`{shown}` {why}")));
            }
        }
    }

    /// Takes a file's bytes into the project, parsed.
    fn add(&mut self, path: &Path, shown: &str, bytes: Vec<u8>) -> FileId {
        let canonical = self.files.canonical(path);
        let lives = (!is_standard_input(path)).then(|| canonical.clone());
        let decoded = texts::decode(bytes);
        let file = self.project.sources.add(shown.to_string(), lives, decoded.text.clone());
        let parsed = parse(file, &decoded.text);
        self.diagnostics.extend(decoded.diagnose(file));
        let told = parsed.diagnostics.iter().filter(|told| !decoded.touches_damage(told.span));
        self.diagnostics.extend(told.cloned());
        let shown_folder = match is_standard_input(path) {
            true => PathBuf::new(),
            false => Path::new(shown).parent().map(Path::to_path_buf).unwrap_or_default(),
        };
        self.folders.insert(file, (folder_of(self.files, path), shown_folder));
        self.by_path.insert(canonical, file);
        self.project.parsed.insert(file, Arc::new(parsed));
        self.to_scan.push_back(file);
        file
    }

    fn follow_includes(&mut self, file: FileId) {
        let Some(parsed) = self.project.parsed.get(&file).cloned() else { return };
        for statement in &parsed.statements {
            self.follow(file, statement, None);
            if let StatementKind::Act(act) = &statement.kind {
                for inner in &act.statements {
                    self.follow(file, inner, Some(&act.name.value));
                }
            }
        }
    }

    fn follow(&mut self, from: FileId, statement: &Statement, act: Option<&str>) {
        let StatementKind::Include { path, outside } = &statement.kind else { return };
        match self.target(from, path, *outside) {
            Some(to) => self.project.includes.push(Include {
                from,
                to,
                span: statement.span,
                path: path.span,
                act: act.map(str::to_string),
            }),
            None => self.project.incomplete = true,
        }
    }

    fn target(&mut self, from: FileId, path: &Text, outside: bool) -> Option<FileId> {
        let (folder, shown_folder) = self.folders.get(&from).cloned()?;
        if path.value.trim().is_empty() {
            let told = Diagnostic::error("file-missing", path.span, "this `include` names no file");
            self.diagnostics.push(told.help("write the file's path, as `include \"rig.fantail\"`"));
            return None;
        }
        let target = folder.join(&path.value);
        let canonical = self.files.canonical(&target);
        if !outside && !canonical.starts_with(&self.fence) {
            self.refuse_outside(path);
            return None;
        }
        if let Some(known) = self.by_path.get(&canonical) {
            return Some(*known);
        }
        match self.files.read(&canonical) {
            Ok(bytes) => {
                let shown = self.shown(&shown_folder, path, &canonical);
                Some(self.add(&canonical, &shown, bytes))
            }
            Err(error) => {
                self.refuse_file(path, &canonical, &error);
                None
            }
        }
    }

    /// A file's name as the root was given: relative to where the command runs. Dots are taken out
    /// where the shorter name is the same file.
    fn shown(&self, folder: &Path, path: &Text, canonical: &Path) -> String {
        let joined = folder.join(&path.value);
        let short = normal(&joined);
        if self.files.canonical(&short) == canonical { show_path(&short) } else { show_path(&joined) }
    }

    fn refuse_outside(&mut self, path: &Text) {
        let message = format!("`{}` lies outside the show's folders (above `{}`)", path.value, show_path(&self.fence));
        let fix = Fix {
            label: "include it all the same".into(),
            edits: vec![Edit { span: Span { end: path.span.start, ..path.span }, text: "outside ".into() }],
            safe: false,
        };
        let mut told = Diagnostic::error("include-outside", path.span, message)
            .help(format!("if that file is meant, write `include outside \"{}\"`", path.value));
        told.fixes.push(fix);
        self.diagnostics.push(told);
    }

    fn refuse_file(&mut self, path: &Text, canonical: &Path, error: &std::io::Error) {
        let (rule, why) = texts::refusal(error);
        let mut told = Diagnostic::error(rule, path.span, format!("`{}` {why}", path.value));
        if rule == "file-missing" {
            told = match self.one_folder_up(path, canonical) {
                Some(there) => told.help(format!("it is one folder up: write `include \"{there}\"`")).fix(
                    format!("write `{there}`"),
                    vec![Edit { span: path.span, text: format!("\"{there}\"") }],
                    false,
                ),
                None => told.help(self.help_missing(path, canonical)),
            };
        }
        self.diagnostics.push(told);
    }

    /// The path to a file of that name in the folder above the one that it was looked for in.
    fn one_folder_up(&self, path: &Text, canonical: &Path) -> Option<String> {
        let name = canonical.file_name()?.to_str()?;
        let above = canonical.parent()?.parent()?;
        if !above.starts_with(&self.fence) || !self.files.list(above).iter().any(|there| there == name) {
            return None;
        }
        let folders = path.value.rsplit_once('/').map_or("", |(folders, _)| folders);
        let shorter = match folders.rsplit_once('/').unwrap_or(("", folders)) {
            (_, "" | "." | "..") if folders.is_empty() => "../".to_string(),
            (_, "" | "." | "..") => format!("{folders}/../"),
            ("", _) => String::new(),
            (rest, _) => format!("{rest}/"),
        };
        Some(format!("{shorter}{name}"))
    }

    fn help_missing(&self, path: &Text, canonical: &Path) -> String {
        if path.value.contains('\\') {
            return "put `/` between folders and file".into();
        }
        let folder = canonical.parent().unwrap_or(Path::new("/"));
        let name = canonical.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        let there = self.files.list(folder);
        match nearest(name, there.iter().map(String::as_str)) {
            Some(near) => format!("did you mean `{near}`, which is in that folder?"),
            None => format!("the path counts from the file that includes; looked for `{}`", show_path(canonical)),
        }
    }
}

fn folder_of(files: &dyn Files, path: &Path) -> PathBuf {
    if is_standard_input(path) {
        return files.canonical(Path::new("."));
    }
    let canonical = files.canonical(path);
    canonical.parent().map(Path::to_path_buf).unwrap_or(canonical)
}

fn show_path(path: &Path) -> String {
    path.to_string_lossy().into_owned()
}

/// Orders the files, included ones first, and takes every include that closes a circle out of the graph.
/// Walks without recursion: a chain of includes may be as long as it likes.
fn cut_circles(project: &mut Project) -> Vec<Diagnostic> {
    let mut leaving: BTreeMap<FileId, Vec<Include>> = BTreeMap::new();
    for include in &project.includes {
        leaving.entry(include.from).or_default().push(include.clone());
    }
    let mut walk = Walk { seen: BTreeSet::from([project.root]), order: Vec::new(), cut: BTreeSet::new() };
    let mut diagnostics = Vec::new();
    // The chain of files that is being walked: the include that led to each, and the next one to take.
    let mut chain: Vec<(FileId, Option<Include>, usize)> = vec![(project.root, None, 0)];
    while let Some((file, _, next)) = chain.last_mut() {
        let Some(include) = leaving.get(file).and_then(|all| all.get(*next)).cloned() else {
            walk.order.push(*file);
            chain.pop();
            continue;
        };
        *next += 1;
        if let Some(start) = chain.iter().position(|(on_chain, _, _)| *on_chain == include.to) {
            let links = chain.iter().skip(start + 1).filter_map(|(_, by, _)| by.as_ref());
            diagnostics.push(tell_circle(project, &include, links));
            walk.cut.insert(include.span);
        } else if walk.seen.insert(include.to) {
            chain.push((include.to, Some(include), 0));
        }
    }
    project.includes.retain(|include| !walk.cut.contains(&include.span));
    project.order = walk.order;
    diagnostics
}

struct Walk {
    seen: BTreeSet<FileId>,
    order: Vec<FileId>,
    cut: BTreeSet<Span>,
}

fn tell_circle<'a>(project: &Project, closing: &Include, links: impl Iterator<Item = &'a Include>) -> Diagnostic {
    let name = |file| project.sources.get(file).map_or("?", |file| file.name.as_str());
    let mut message = format!("the includes run in a circle: `{}`", name(closing.to));
    let mut labels = Vec::new();
    for link in links {
        message.push_str(&format!(" includes `{}`, which", name(link.to)));
        labels.push((link.path, format!("`{}` includes `{}`", name(link.from), name(link.to))));
    }
    message.push_str(&format!(" includes `{}`", name(closing.to)));
    let told = Diagnostic::error("include-cycle", closing.path, message)
        .help("take out one of these includes; what both files need belongs in a third that both include");
    labels.into_iter().fold(told, |told, (span, label)| told.label(span, label))
}
