//! Shows in real git repositories: what git shows of a change, and what it merges, with the drivers on, off
//! and broken. It wants git.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../src/merge/rig.rs"]
mod rig;

use rig::{RIG, with};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A repository in a folder whose name has a blank and a quote; it goes when the test is over.
struct Repository(PathBuf);

impl Repository {
    fn new(test: &str) -> Self {
        let path = std::env::temp_dir().join(format!("fantail git's {test} {}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        let new = Repository(path);
        new.git(&["init", "-q", "-b", "main"]);
        new
    }

    /// With the drivers on, and a first commit.
    fn on(test: &str) -> Self {
        let new = Repository::new(test);
        assert!(new.fantail(&["git", "on"]).status.success());
        new.commit("show.fantail", RIG);
        new
    }

    fn run(&self, program: &str, arguments: &[&str]) -> Output {
        let mut command = Command::new(program);
        for name in ["GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_PREFIX"] {
            command.env_remove(name);
        }
        for (role, name) in [("AUTHOR", "A"), ("COMMITTER", "C")] {
            command.env(format!("GIT_{role}_NAME"), name).env(format!("GIT_{role}_EMAIL"), "nobody@example.com");
        }
        command.env("GIT_CONFIG_GLOBAL", "/dev/null").env("GIT_CONFIG_NOSYSTEM", "1").env("GIT_EDITOR", "true");
        command.args(arguments).current_dir(&self.0).output().unwrap()
    }

    fn fantail(&self, arguments: &[&str]) -> Output {
        self.run(env!("CARGO_BIN_EXE_fantail"), arguments)
    }

    fn try_git(&self, arguments: &[&str]) -> Output {
        self.run("git", arguments)
    }

    fn git(&self, arguments: &[&str]) -> String {
        let output = self.try_git(arguments);
        assert!(output.status.success(), "git {arguments:?}\n{}{}", text(&output.stdout), text(&output.stderr));
        text(&output.stdout)
    }

    fn write(&self, name: &str, content: &str) {
        let path = self.0.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, content).unwrap();
    }

    fn read(&self, name: &str) -> String {
        fs::read_to_string(self.0.join(name)).unwrap()
    }

    fn commit(&self, name: &str, content: &str) {
        self.write(name, content);
        self.git(&["add", name]);
        self.git(&["commit", "-q", "-m", &format!("Change {name}")]);
    }

    /// `side` has the show changed in one way, `main` in the other.
    fn apart(&self, side: &[(&str, &str)], main: &[(&str, &str)]) {
        self.git(&["checkout", "-q", "-b", "side"]);
        self.commit("show.fantail", &with(side));
        self.git(&["checkout", "-q", "main"]);
        self.commit("show.fantail", &with(main));
    }
}

impl Drop for Repository {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

const LOUDER: (&str, &str) = ("gain 20 dB", "gain 26 dB");
const MOVED: (&str, &str) = ("from stage 3", "from stage 5");

#[test]
fn a_diff_says_what_changed_and_nothing_of_layout() {
    let repository = Repository::on("diff");
    repository
        .write("show.fantail", &with(&[("  2  snare   dynamic    from", "2 snare dynamic from"), ("# Drums\n", "")]));
    assert_eq!(repository.git(&["diff"]).matches("\n@@").count(), 0);
    repository.commit("show.fantail", &with(&[LOUDER, ("wedge", "in-ears")]));
    for shown in [repository.git(&["diff", "HEAD~"]), repository.git(&["log", "-p", "-1"])] {
        assert!(shown.contains("\n-  gain      20 dB\n+  gain      26 dB\n"), "{shown}");
        assert!(shown.contains("@@ inputs foh: ") || shown.contains("\n inputs foh: guitar\n"), "{shown}");
        assert!(shown.contains("\n-  use       wedge\n+  use       in-ears\n"), "{shown}");
    }
}

#[test]
fn both_sides_changes_of_one_row_are_merged() {
    let repository = Repository::on("merge");
    repository.apart(&[LOUDER], &[MOVED]);
    repository.git(&["merge", "-q", "side", "-m", "Merge"]);
    assert_eq!(repository.read("show.fantail"), with(&[LOUDER, MOVED]));
}

#[test]
fn rebase_and_cherry_pick_merge_alike() {
    let repository = Repository::on("rebase");
    repository.apart(&[LOUDER], &[MOVED]);
    repository.git(&["cherry-pick", "side"]);
    assert_eq!(repository.read("show.fantail"), with(&[LOUDER, MOVED]));
    repository.git(&["reset", "-q", "--hard", "HEAD~"]);
    repository.git(&["checkout", "-q", "side"]);
    repository.git(&["rebase", "-q", "main"]);
    assert_eq!(repository.read("show.fantail"), with(&[LOUDER, MOVED]));
}

#[test]
fn one_attribute_changed_twice_is_marked_and_can_be_resolved() {
    let repository = Repository::on("conflict");
    repository.git(&["config", "merge.conflictStyle", "diff3"]);
    repository.apart(&[LOUDER], &[("gain 20 dB", "gain 30 dB"), ("wedge", "in-ears")]);
    let merge = repository.try_git(&["merge", "side"]);
    assert_eq!(merge.status.code(), Some(1), "{}", text(&merge.stderr));
    let marked = repository.read("show.fantail");
    let row = |gain: u8| format!("  3  guitar  dynamic    from stage 3  gain {gain} dB\n");
    let (start, rest) = marked.split_once("<<<<<<< HEAD\n").expect("marked with git's labels");
    assert!(start.ends_with("# the loud one\n"), "{marked}");
    assert!(rest.starts_with(&row(30)) && rest.contains("\n||||||| "), "{marked}");
    assert!(rest.contains(&format!("{}=======\n{}>>>>>>> side\n}}\n", row(20), row(26))), "{marked}");
    assert!(repository.git(&["status", "--porcelain"]).contains("UU show.fantail"));
    repository.write("show.fantail", &with(&[LOUDER, ("wedge", "in-ears")]));
    repository.git(&["add", "show.fantail"]);
    repository.git(&["commit", "-q", "-m", "Resolve"]);
    assert!(repository.fantail(&["check", "show.fantail"]).status.success());
}

#[test]
fn one_socket_given_away_twice_is_no_clean_merge() {
    let repository = Repository::on("socket");
    let added = |row: &str| format!("gain 20 dB\n{row}");
    let (bass, hat) =
        (added("  7  bass    di-active  from stage 8  phantom\n"), added("  9  hat     dynamic    from stage 8\n"));
    repository.apart(&[("gain 20 dB\n", &bass)], &[("# Drums\n", "# Drums, new\n"), ("gain 20 dB\n", &hat)]);
    let merge = repository.try_git(&["merge", "side"]);
    let said = text(&merge.stderr);
    assert_eq!(merge.status.code(), Some(1), "{said}");
    assert!(said.contains("stage") && said.contains("show.fantail"), "{said}");
    let marked = repository.read("show.fantail");
    let hunk = "<<<<<<< HEAD\n  9  hat     dynamic    from stage 8\n=======\n  7  bass    di-active  from stage 8  phantom\n>>>>>>> side\n";
    assert!(marked.contains(hunk), "{marked}\n{said}");
}

#[test]
fn what_only_warns_is_told_once_and_stops_nothing() {
    let repository = Repository::on("warned");
    repository.commit("venues/yard.fantail", "include \"../show.fantail\"\nshow \"Yard\"\n");
    repository.apart(
        &[("gain 20 dB\n", "gain 20 dB\n  5  fiddle    dynamic  from stage 5\n")],
        &[("gain 20 dB\n", "gain 20 dB\n  6  fiddle-2  dynamic  from stage 6\n")],
    );
    let merge = repository.try_git(&["merge", "side", "-m", "Merge"]);
    let said = text(&merge.stderr);
    assert!(merge.status.success(), "{said}");
    assert!(said.starts_with("fantail: `show.fantail`: merged; what follows comes of both sides together"), "{said}");
    assert_eq!(said.matches("[names-alike]").count(), 1, "{said}");
}

#[test]
fn new_48_v_on_what_it_can_hurt_stops_a_rebase() {
    let repository = Repository::on("hurt");
    let acts = "show \"Night Ferry\"\ndesk foh\nbox stage is box-8x8 on foh.portA\n\
                act duo from 19:30 to 20:00 {\n  inputs foh { 1 fiddle condenser from stage 2 phantom }\n}\n\
                act band from 20:30 to 22:00 {\n  inputs foh { 1 tape playback from stage 1 pad }\n}\n";
    repository.commit("acts.fantail", acts);
    repository.git(&["checkout", "-q", "-b", "side"]);
    repository.commit("acts.fantail", &acts.replace("stage 2", "stage 4"));
    repository.git(&["checkout", "-q", "main"]);
    repository.commit("acts.fantail", &acts.replace("stage 1", "stage 4"));
    repository.git(&["checkout", "-q", "side"]);
    let rebase = repository.try_git(&["rebase", "main"]);
    assert!(!rebase.status.success() && text(&rebase.stderr).contains("48 V"), "{}", text(&rebase.stderr));
    assert_eq!(repository.read("acts.fantail").matches("<<<<<<<").count(), 2);
    // Whoever has seen it may keep both.
    let both = acts.replace("stage 2", "stage 4").replace("stage 1", "stage 4");
    repository.write("acts.fantail", &both);
    repository.git(&["add", "acts.fantail"]);
    repository.git(&["rebase", "--continue"]);
    assert_eq!(repository.read("acts.fantail"), both);
}

/// Each branch merges the other's start, and decides there: what both began with is itself a merge at odds.
#[test]
fn what_criss_crossed_branches_began_with_is_merged_in_silence() {
    let repository = Repository::on("criss-cross");
    repository.apart(&[LOUDER, ("from stage 2", "from stage 8")], &[("gain 20 dB", "gain 30 dB"), ("kick ", "drum ")]);
    repository.git(&["branch", "side-start", "side"]);
    repository.git(&["branch", "main-start", "main"]);
    let decided = [LOUDER, ("from stage 2", "from stage 8"), ("kick ", "drum ")];
    let (moved, worn) = (("from stage 1", "from stage 9"), ("wedge", "in-ears"));
    for (branch, other, more) in [("side", "main-start", moved), ("main", "side-start", worn)] {
        repository.git(&["checkout", "-q", branch]);
        assert_eq!(repository.try_git(&["merge", other]).status.code(), Some(1));
        repository.write("show.fantail", &with(&decided));
        repository.git(&["commit", "-qam", "Decide"]);
        repository.commit("show.fantail", &with(&[&decided[..], &[more]].concat()));
    }
    let merge = repository.try_git(&["merge", "side", "-m", "Merge"]);
    assert_eq!(text(&merge.stderr), "");
    assert!(merge.status.success(), "{}", text(&merge.stdout));
    assert_eq!(repository.read("show.fantail"), with(&[&decided[..], &[moved, worn]].concat()));
}

#[test]
fn a_clash_under_the_show_that_includes_the_file_is_one_too() {
    let repository = Repository::on("including");
    let part = "inputs foh {\n  11  vocal  dynamic  from stage 11\n}\n";
    repository.commit("part.fantail", part);
    repository
        .commit("venues/yard.fantail", "include \"../show.fantail\"\ninclude \"../part.fantail\"\nshow \"Yard\"\n");
    repository.git(&["checkout", "-q", "-b", "side"]);
    repository.commit("part.fantail", &part.replace("stage 11", "stage 12"));
    repository.git(&["checkout", "-q", "main"]);
    repository.commit("part.fantail", &part.replace("}\n", "  12  choir  dynamic  from stage 12\n}\n"));
    let merge = repository.try_git(&["merge", "side"]);
    assert_eq!(merge.status.code(), Some(1), "{}", text(&merge.stderr));
    assert!(repository.read("part.fantail").contains("<<<<<<< HEAD\n"));
}

#[test]
fn a_file_renamed_on_one_side_is_merged_under_its_new_name() {
    let repository = Repository::on("rename");
    repository.git(&["checkout", "-q", "-b", "side"]);
    repository.git(&["mv", "show.fantail", "ferry show.fantail"]);
    repository.commit("ferry show.fantail", &with(&[LOUDER]));
    repository.git(&["checkout", "-q", "main"]);
    repository.commit("show.fantail", &with(&[MOVED]));
    repository.git(&["merge", "-q", "side", "-m", "Merge"]);
    assert_eq!(repository.read("ferry show.fantail"), with(&[LOUDER, MOVED]));
}

#[test]
fn without_the_driver_git_merges_lines_and_loses_nothing() {
    // the settings gone, and the program gone
    for (test, broken) in [("unset", true), ("gone", false)] {
        let repository = Repository::on(test);
        let config = repository.read(".git/config");
        let without = match broken {
            true => config.split("# put in by").next().unwrap().to_string(),
            false => config.replace("/fantail'", "/no fantail'"),
        };
        assert_ne!(without, config);
        repository.write(".git/config", &without);
        repository.apart(&[LOUDER], &[("wedge", "in-ears")]);
        assert!(repository.git(&["diff", "side"]).contains("\n-  mix 1  to stage 1  wedge\n"));
        repository.git(&["merge", "-q", "side", "-m", "Merge"]);
        assert_eq!(repository.read("show.fantail"), with(&[LOUDER, ("wedge", "in-ears")]));
        repository.git(&["reset", "-q", "--hard", "HEAD~"]);
        repository.commit("show.fantail", &with(&[MOVED]));
        assert_eq!(repository.try_git(&["merge", "side"]).status.code(), Some(1));
        let marked = repository.read("show.fantail");
        assert!(marked.contains("<<<<<<< HEAD\n") && marked.contains(">>>>>>> side\n"), "{marked}");
        assert!(marked.contains("gain 26 dB") && marked.contains("from stage 5"), "{marked}");
    }
}

#[test]
fn what_is_no_text_is_left_to_git() {
    let repository = Repository::on("bytes");
    let path = repository.0.join("odd.fantail");
    let commit = |bytes: &[u8]| {
        fs::write(&path, bytes).unwrap();
        repository.git(&["add", "odd.fantail"]);
        repository.git(&["commit", "-q", "-m", "Odd"]);
    };
    commit(b"# one\n# \xff\n# two\n# three\n# four\n");
    repository.git(&["checkout", "-q", "-b", "side"]);
    commit(b"# one!\n# \xff\n# two\n# three\n# four\n");
    repository.git(&["checkout", "-q", "main"]);
    commit(b"# one\n# \xff\n# two\n# three\n# four!\n");
    repository.git(&["merge", "-q", "side", "-m", "Merge"]);
    assert_eq!(fs::read(&path).unwrap(), b"# one!\n# \xff\n# two\n# three\n# four!\n");
}

#[test]
fn off_takes_out_what_on_put_in() {
    let repository = Repository::new("off");
    repository.write(".git/info/attributes", "*.txt text");
    repository.write(".gitattributes", "*.md text\n");
    let files = [".git/config", ".git/info/attributes", ".gitattributes"];
    let before = files.map(|name| repository.read(name));
    assert!(text(&repository.fantail(&["git"]).stdout).starts_with("off\n"));
    for on in [&["git", "on"][..], &["git", "on"], &["git", "on", "--shared"]] {
        assert!(repository.fantail(on).status.success());
    }
    assert!(text(&repository.fantail(&["git"]).stdout).starts_with("on\n"));
    assert!(repository.read(".git/info/attributes").starts_with("*.txt text\n"));
    assert!(repository.git(&["check-attr", "text", "--", "a.md"]).ends_with(": set\n"));
    assert!(text(&repository.fantail(&["git", "on"]).stdout).starts_with("on already"));
    assert!(repository.fantail(&["git", "off"]).status.success());
    assert_eq!(files.map(|name| repository.read(name)), before);
    assert!(text(&repository.fantail(&["git", "off"]).stdout).starts_with("off already"));
}

#[test]
fn on_and_off_in_a_linked_work_tree_and_in_a_submodule() {
    let repository = Repository::new("linked");
    repository.commit("show.fantail", RIG);
    repository.git(&["worktree", "add", "-q", "other tree", "-b", "other"]);
    let before = repository.read(".git/config");
    let linked = Repository(repository.0.join("other tree"));
    assert!(linked.fantail(&["git", "on"]).status.success());
    assert!(text(&repository.fantail(&["git"]).stdout).starts_with("on\n"), "one repository has one state");
    assert!(linked.fantail(&["git", "off"]).status.success());
    assert_eq!(repository.read(".git/config"), before);
    let outer = Repository::new("outer");
    let source = repository.0.to_string_lossy().into_owned();
    outer.git(&["-c", "protocol.file.allow=always", "submodule", "--quiet", "add", &source, "inner"]);
    let before = outer.read(".git/modules/inner/config");
    let inner = Repository(outer.0.join("inner"));
    assert!(inner.fantail(&["git", "on"]).status.success());
    assert!(text(&inner.fantail(&["git"]).stdout).starts_with("on\n"));
    assert!(text(&outer.fantail(&["git"]).stdout).starts_with("off\n"));
    assert!(inner.fantail(&["git", "off"]).status.success());
    assert_eq!(outer.read(".git/modules/inner/config"), before);
}

#[test]
fn outside_a_repository_it_says_so() {
    let folder = Repository::new("outside");
    fs::remove_dir_all(folder.0.join(".git")).unwrap();
    let output = folder.fantail(&["git", "on"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("git repository"), "{}", text(&output.stderr));
}

#[test]
fn the_command_writes_whole_or_not_at_all() {
    let folder = Repository::new("command");
    for (name, content) in [("base", RIG), ("ours", &with(&[LOUDER])), ("theirs", &with(&[MOVED]))] {
        folder.write(name, content);
    }
    assert_eq!(folder.fantail(&["merge", "base", "ours", "nothing"]).status.code(), Some(2));
    assert_eq!(folder.read("ours"), with(&[LOUDER]));
    assert_eq!(folder.fantail(&["merge", "base", "ours", "theirs"]).status.code(), Some(0));
    assert_eq!(folder.read("ours"), with(&[LOUDER, MOVED]));
    folder.write("theirs", &with(&[("gain 20 dB", "gain 1 dB")]));
    let merge = ["merge", "base", "ours", "theirs", "--marker-size", "9", "--labels", "mine", "first", "yours"];
    assert_eq!(folder.fantail(&merge).status.code(), Some(1));
    assert!(folder.read("ours").contains("<<<<<<<<< mine\n") && folder.read("ours").contains(">>>>>>>>> yours\n"));
}

#[test]
fn the_programs_own_path_may_have_any_letters() {
    let repository = Repository::new("path");
    let program = Path::new(env!("CARGO_BIN_EXE_fantail"));
    let folder = program.with_file_name(format!("50% \"fan's\" $HOME \\ {}", std::process::id()));
    fs::create_dir_all(&folder).unwrap();
    let linked = folder.join("fantail");
    fs::hard_link(program, &linked).unwrap();
    repository.commit("show.fantail", RIG);
    assert!(repository.run(linked.to_str().unwrap(), &["git", "on"]).status.success());
    repository.apart(&[LOUDER], &[MOVED]);
    let diff = repository.git(&["diff", "side"]);
    repository.git(&["merge", "-q", "side", "-m", "Merge"]);
    fs::remove_dir_all(&folder).unwrap();
    assert!(diff.contains("\n+  from      stage 5\n"), "{diff}");
    assert_eq!(repository.read("show.fantail"), with(&[LOUDER, MOVED]));
}

/// The hook as it is printed, put where git looks for it.
fn hooked(repository: &Repository) {
    let hook = repository.fantail(&["git", "hook"]).stdout;
    let path = repository.0.join(".git/hooks/pre-commit");
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(&path, hook).unwrap();
    executable(&path);
}

#[cfg(unix)]
fn executable(path: &Path) {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(path, fs::Permissions::from_mode(0o755)).unwrap();
}

#[test]
fn the_hook_checks_what_is_staged() {
    let repository = Repository::new("hook");
    hooked(&repository);
    repository.commit("show.fantail", RIG);
    repository.write("show.fantail", &with(&[("from stage 3", "from stege 3")]));
    repository.git(&["add", "show.fantail"]);
    repository.write("show.fantail", RIG);
    let refused = repository.try_git(&["commit", "-q", "-m", "Wrong as staged"]);
    assert!(!refused.status.success() && text(&refused.stderr).contains("stege"), "{}", text(&refused.stderr));
    repository.git(&["add", "show.fantail"]);
    repository.write("show.fantail", "nonsense");
    repository.commit("notes.txt", "right as staged");
}

/// What the page says, run as it stands with this program on the path.
#[test]
fn the_lines_of_the_page_work() {
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("../grammar/git.md");
    let page = fs::read_to_string(page).unwrap();
    let blocks = |of: &str| -> Vec<String> {
        let start = format!("```{of}\n");
        let after = page.split(start.as_str()).skip(1);
        after.map(|block| block.split("```").next().unwrap().to_string()).collect()
    };
    let repository = Repository::new("page");
    repository.commit("show.fantail", RIG);
    let folder = Path::new(env!("CARGO_BIN_EXE_fantail")).parent().unwrap().to_string_lossy().into_owned();
    let shell = |script: &str| repository.run("sh", &["-c", &format!("PATH='{folder}':$PATH\n{script}")]);
    let sh = blocks("sh");
    assert_eq!(sh.len(), 3);
    for script in &sh {
        assert!(shell(script).status.success(), "{script}");
    }
    assert!(text(&repository.fantail(&["git"]).stdout).starts_with("on\n"));
    one_socket_in_two_files(&repository);
    repository.write("show.fantail", &with(&[("from stage 3", "from stege 3")]));
    assert!(!repository.try_git(&["commit", "-aqm", "Wrong"]).status.success(), "the hook refuses it");
    let yaml = blocks("yaml").concat();
    let steps: Vec<&str> = yaml.lines().filter_map(|line| line.trim().strip_prefix("run: ")).collect();
    let [step, summary] = steps.as_slice() else { panic!("{steps:?}") };
    let told = shell(step);
    assert!(!told.status.success());
    assert!(text(&told.stdout).starts_with("::error file=show.fantail,line=10,"), "{}", text(&told.stdout));
    repository.write("show.fantail", RIG);
    assert!(shell(step).status.success());
    repository.write("show.fantail", &with(&[("gain 20 dB", "gain 26 dB")]));
    let summary = summary.replace("origin/main", "HEAD");
    assert!(shell(&format!("GITHUB_STEP_SUMMARY=summary.md\n{summary}")).status.success());
    assert!(repository.read("summary.md").contains("| gain |"), "{}", repository.read("summary.md"));
}

/// Each side changes a file of its own: git merges them without the driver, and the hook stops it.
fn one_socket_in_two_files(repository: &Repository) {
    let row = |channel: u8, socket: u8| format!("inputs foh {{ {channel} s{channel} dynamic from stage {socket} }}\n");
    repository.write("a.fantail", &row(11, 11));
    repository.write("b.fantail", &row(12, 12));
    repository.git(&["add", "."]);
    let all = "include \"show.fantail\"\ninclude \"a.fantail\"\ninclude \"b.fantail\"\nshow \"All\"\n";
    repository.commit("all.fantail", all);
    repository.git(&["checkout", "-q", "-b", "side"]);
    repository.commit("a.fantail", &row(11, 13));
    repository.git(&["checkout", "-q", "main"]);
    repository.commit("b.fantail", &row(12, 13));
    let merge = repository.try_git(&["merge", "side", "-m", "Merge"]);
    assert!(!merge.status.success() && text(&merge.stderr).contains("stage"), "{}", text(&merge.stderr));
    repository.git(&["merge", "--abort"]);
}
