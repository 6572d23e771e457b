//! The house rules that a compiler cannot check: which room imports which, who touches files, what stands
//! at the top. Sources are read as text, without their tests.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Data runs this way. A room imports from those before it.
const ROOMS: &[&str] = &[
    "source",
    "diagnostics",
    "quantity",
    "at_once",
    "syntax",
    "project",
    "rig",
    "wants",
    "route",
    "draft",
    "rules",
    "advice",
    "parts",
    "editor",
    "merge",
];

/// Beside the way: `plan` knows only what it is told in, `verify` only the plan; `compare` holds plans side by side, and
/// `sheets` prints.
const PLAN: &[&str] = &["plan", "diagnostics"];
const VERIFY: &[&str] = &["verify", "plan"];
const COMPARE: &[&str] = &["compare", "verify", "plan", "diagnostics"];
const SHEETS: &[&str] = &["sheets", "compare", "plan", "diagnostics", "at_once"];

const TOP: &[&str] = &[
    "Cargo.toml",
    "Cargo.lock",
    "README.md",
    "DEVELOPERS.md",
    "LICENSE-MIT",
    "LICENSE-APACHE",
    "compiler",
    "lsp",
    "grammar",
    "tests",
    "examples",
    // what building leaves
    "target",
];

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_path_buf()
}

/// The Rust files below a folder, with their paths from there, and their text up to the tests inside.
fn sources(folder: &Path) -> Vec<(String, String)> {
    let (mut out, mut open) = (Vec::new(), vec![folder.to_path_buf()]);
    while let Some(at) = open.pop() {
        for entry in fs::read_dir(at).unwrap().map(|entry| entry.unwrap().path()) {
            if entry.is_dir() {
                open.push(entry);
            } else if entry.extension().is_some_and(|ext| ext == "rs") {
                let text = fs::read_to_string(&entry).unwrap();
                let name = entry.strip_prefix(folder).unwrap().to_string_lossy().into_owned();
                let is_test = name.contains("/tests/") || name.ends_with("tests.rs");
                let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or("");
                if !is_test {
                    out.push((name, code.to_string()));
                }
            }
        }
    }
    out.sort();
    out
}

fn compiler() -> Vec<(String, String)> {
    sources(&top().join("compiler/src"))
}

/// Lines of code, without comments.
fn code(text: &str) -> impl Iterator<Item = &str> {
    text.lines().map(|line| line.split("//").next().unwrap_or("")).filter(|line| !line.trim().is_empty())
}

/// The rooms named after `crate::`, also in a braced list over several lines.
fn imports(text: &str) -> BTreeSet<String> {
    let text: String = code(text).map(str::trim).collect::<Vec<_>>().join(" ");
    let mut found = BTreeSet::new();
    for after in text.split("crate::").skip(1) {
        let word = |text: &str| text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
        match after.strip_prefix('{') {
            Some(list) => {
                let list = list.split(';').next().unwrap_or("");
                found.extend(list.split(',').map(|item| word(item.trim_start())));
            }
            None => found.extend([word(after)]),
        }
    }
    found.retain(|word| word.starts_with(|c: char| c.is_lowercase()));
    found
}

/// No file climbs out of its room by `super`, where the tests of imports would not see it.
#[test]
fn nobody_climbs_out_of_a_room() {
    for (name, text) in compiler() {
        let depth = name.split('/').count() - usize::from(name.ends_with("/mod.rs"));
        let out = "super::".repeat(depth);
        let climbs = depth > 1 && code(&text).any(|line| line.contains(&out));
        assert!(!climbs, "{name} climbs out of its room with `{out}`");
    }
}

#[test]
fn imports_go_one_way() {
    let (mut wrong, mut seen) = (Vec::new(), 0);
    for (name, text) in compiler() {
        let room = name.split(['/', '.']).next().unwrap_or("");
        let Some(place) = ROOMS.iter().position(|known| *known == room) else { continue };
        for import in imports(&text) {
            seen += 1;
            let above = ROOMS.iter().position(|known| *known == import);
            if above.is_some_and(|above| above > place) {
                wrong.push(format!("{name} imports `{import}`, which stands after `{room}`"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(seen > 200, "{seen} imports are too few: this test no longer finds them");
}

#[test]
fn the_evaluator_the_paper_and_the_plan_stand_apart() {
    for (name, text) in compiler() {
        let allowed = match name.split('/').next() {
            Some("verify") => VERIFY,
            Some("plan") => PLAN,
            Some("compare") => COMPARE,
            Some("sheets") => SHEETS,
            _ => continue,
        };
        let others: Vec<_> = imports(&text).into_iter().filter(|room| !allowed.contains(&room.as_str())).collect();
        assert!(others.is_empty(), "{name} imports {others:?}");
    }
}

/// Of these, only those may say that. Paths are those below `compiler/src`.
#[test]
fn some_things_have_one_place() {
    let places: &[(&str, &[&str])] = &[
        ("std::fs", &["project/", "bin/"]),
        ("fs::read", &["project/", "bin/"]),
        ("File::open", &["project/", "bin/"]),
        ("stdin(", &["project/", "bin/"]),
        ("ariadne", &["diagnostics/human"]),
        ("tower_lsp", &[]),
        ("tokio", &[]),
        ("chumsky", &["syntax/parser/"]),
        ("Logos", &["syntax/tokens.rs"]),
        ("Instant::now", &[]),
        ("SystemTime", &[]),
        ("rand::", &[]),
    ];
    for (name, text) in compiler() {
        for (what, allowed) in places {
            let said = code(&text).any(|line| line.contains(what));
            assert!(!said || allowed.iter().any(|start| name.starts_with(start)), "{name} names {what}");
        }
    }
}

/// Who joins, sorts or quiets messages asks the data of a diagnostic: a message may be worded anew at any time.
#[test]
fn no_code_decides_by_the_words_of_a_message() {
    let asks = ["contains", "starts_with", "ends_with", "strip_prefix", "split", "split_once", "find"];
    for (name, text) in compiler() {
        for line in code(&text) {
            let read = |of: &str| ["message", "help"].iter().any(|text| line.contains(&format!("{text}.{of}(")));
            assert!(!asks.iter().any(|of| read(of)), "{name} reads what is said: {line}");
        }
    }
}

#[test]
fn files_open_with_what_they_are_and_stay_short() {
    let mut lengths = Vec::new();
    for (name, text) in compiler().into_iter().chain(sources(&top().join("lsp/src"))) {
        assert!(text.starts_with("//!"), "{name} does not say what it is");
        let lines = text.lines().count();
        assert!(lines <= 800, "{name} has {lines} lines");
        lengths.push(lines);
    }
    lengths.sort();
    let median = lengths[lengths.len() / 2];
    println!("{} files, half of them under {median} lines", lengths.len());
    assert!(median < 200);
}

#[test]
fn the_top_has_nothing_else() {
    for entry in fs::read_dir(top()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(name.starts_with('.') || TOP.contains(&name.as_str()), "`{name}` does not belong at the top");
    }
}

/// Paths in back ticks and in links.
fn named(text: &str) -> Vec<String> {
    let ticks = text.split('`').skip(1).step_by(2).flat_map(|piece| piece.split([' ', ',']));
    let links = text.split("](").skip(1).filter_map(|after| after.split(')').next());
    let folders = ["compiler/", "lsp/", "grammar/", "tests/", "examples/", ".ci/"];
    let paths = ticks.chain(links).map(str::trim).filter(|path| folders.iter().any(|start| path.starts_with(start)));
    paths.map(str::to_string).collect()
}

#[test]
fn paths_that_people_are_sent_to_exist() {
    let mut pages = vec!["README.md".to_string(), "DEVELOPERS.md".to_string()];
    pages.extend(["tour", "festival", "small-desk", "theatre"].map(|name| format!("examples/{name}/README.md")));
    for page in pages {
        let text = fs::read_to_string(top().join(&page)).unwrap();
        for path in named(&text) {
            let made_up = path.contains('<') || path.contains('…') || path.contains('*');
            assert!(made_up || top().join(&path).exists(), "{page} names {path}, which is not there");
        }
    }
    assert!(named(&fs::read_to_string(top().join("DEVELOPERS.md")).unwrap()).len() > 8);
}

#[test]
fn the_readme_says_the_job_first() {
    let text = fs::read_to_string(top().join("README.md")).unwrap();
    let mut parts = text.split("\n\n");
    assert!(parts.next().unwrap().starts_with("# "));
    let first = parts.next().unwrap();
    assert!(first.lines().count() > 2 && parts.next().unwrap().starts_with("## "));
    for word in ["source", "channel", "mix"] {
        assert!(first.contains(word), "the README's first paragraph has no word of {word}: {first}");
    }
    assert!(text.contains("cargo run -q --bin fantail -- plan examples/"));
    assert!(text.contains("cargo test --workspace"));
}
