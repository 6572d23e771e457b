//! The command as people and programs run it: streams, forms and exit status. What a show means is
//! tested elsewhere; the shows here are small.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

const CLEAN: &str = "show \"Night Ferry\"\ndesk foh\ninputs foh { 1 kick dynamic from foh.local 1 }\n";
const WRONG: &str = "show \"Night Ferry\"\ndesk foh\ninputs foh { 1 kick dynamic from fho.local 1 }\n";
const WARNED: &str = "show \"Night Ferry\"\ndesk foh\ninputs foh { 1 kick dynamic from foh.local 1 }\n\
    change input kick from foh.local 1\n";

/// A folder that goes when the test is over.
struct Folder(PathBuf);

impl Folder {
    fn new(test: &str) -> Self {
        let path = std::env::temp_dir().join(format!("fantail-{test}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Folder(path)
    }

    fn with(self, name: &str, text: impl AsRef<[u8]>) -> Self {
        fs::write(self.0.join(name), text).unwrap();
        self
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_fantail"));
        command.args(arguments).current_dir(&self.0).env_remove("NO_COLOR").env("TERM", "xterm");
        command
    }

    fn run(&self, arguments: &[&str]) -> Output {
        self.command(arguments).stdin(Stdio::null()).output().unwrap()
    }

    fn run_with_input(&self, arguments: &[&str], input: &[u8]) -> Output {
        let mut command = self.command(arguments);
        let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        child.stdin.take().unwrap().write_all(input).unwrap();
        child.wait_with_output().unwrap()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn shows(test: &str) -> Folder {
    Folder::new(test).with("clean.fantail", CLEAN).with("wrong.fantail", WRONG).with("warned.fantail", WARNED)
}

fn status(output: &Output) -> i32 {
    output.status.code().unwrap_or_else(|| panic!("ended by a signal: {output:?}"))
}

fn out(output: &Output) -> &str {
    std::str::from_utf8(&output.stdout).unwrap()
}

fn err(output: &Output) -> &str {
    std::str::from_utf8(&output.stderr).unwrap()
}

#[test]
fn the_exit_status_says_how_it_went() {
    let shows = shows("status");
    for (arguments, expected) in [
        (&["check", "clean.fantail"][..], 0),
        (&["check", "warned.fantail"], 0),
        (&["check", "warned.fantail", "--deny", "warnings"], 1),
        (&["check", "wrong.fantail"], 1),
        (&["check", "clean.fantail", "wrong.fantail"], 1),
        (&["check", "wrong.fantail", "missing.fantail"], 2),
        (&["check", "missing.fantail"], 2),
        (&["check", "."], 2),
        (&["check"], 2),
        (&["check", "clean.fantail", "--format", "smoke-signals"], 2),
        (&["plan", "clean.fantail"], 0),
        (&["plan", "wrong.fantail"], 1),
        (&["plan", "missing.fantail"], 2),
        (&["plan", "clean.fantail", "--device", "nowhere"], 2),
        (&["plan", "clean.fantail", "--act", "nobody"], 2),
        (&["trace", "clean.fantail", "kick"], 0),
        (&["trace", "clean.fantail", "nothing"], 2),
        (&["trace", "clean.fantail", "foh.channel", "1"], 0),
        (&["trace", "wrong.fantail", "kick"], 1),
        (&["explain"], 0),
        (&["explain", "no-such-rule"], 2),
        (&["juggle"], 2),
        (&["help"], 0),
        (&["help", "plan"], 0),
        (&[], 2),
        (&["--version"], 0),
        (&["--help"], 0),
    ] {
        let output = shows.run(arguments);
        assert_eq!(status(&output), expected, "{arguments:?}\n{}\n{}", out(&output), err(&output));
    }
}

#[test]
fn a_file_that_another_one_includes_is_checked_there() {
    let part = "inputs foh { 2 snare dynamic from foh.local 2; 3 hat condenser from riser 3 }\n";
    let root = format!("include \"part.fantail\"\n{CLEAN}snake riser to foh.local 1-12\n");
    let shows = Folder::new("parts").with("part.fantail", part).with("root.fantail", root);
    let alone = shows.run(&["check", "part.fantail"]);
    assert_eq!(status(&alone), 1);
    assert_eq!(err(&alone).matches("error").count(), 2, "one, and the count: {}", err(&alone));
    assert!(err(&alone).contains("part-of-a-show"), "{}", err(&alone));
    let both = shows.run(&["check", "part.fantail", "root.fantail"]);
    assert!(!err(&both).contains("part-of-a-show"), "{}", err(&both));
    assert!(err(&both).contains("phantom-missing"), "what is wrong in it is told: {}", err(&both));
}

#[test]
fn messages_go_to_standard_error_and_results_to_standard_output() {
    let shows = shows("streams");
    let wrong = shows.run(&["check", "wrong.fantail"]);
    assert_eq!(out(&wrong), "");
    assert!(
        err(&wrong).contains("wrong.fantail:3:34") && err(&wrong).contains("1 error, no warnings"),
        "{}",
        err(&wrong)
    );
    assert!(err(&wrong).contains("[unknown-name]") && err(&wrong).contains("fantail explain unknown-name"));

    let clean = shows.run(&["check", "clean.fantail"]);
    assert_eq!((out(&clean), err(&clean)), ("", "no errors, no warnings\n"));

    let planned = shows.run(&["plan", "clean.fantail"]);
    assert!(!out(&planned).is_empty() && err(&planned).is_empty(), "{}", err(&planned));
    let not_planned = shows.run(&["plan", "wrong.fantail"]);
    assert!(out(&not_planned).is_empty() && err(&not_planned).contains("[unknown-name]"));
}

#[test]
fn every_form_of_check_is_what_it_says() {
    let shows = shows("forms");
    for format in ["json", "sarif", "github"] {
        let output = shows.run(&["check", "wrong.fantail", "warned.fantail", "clean.fantail", "--format", format]);
        assert_eq!((status(&output), err(&output)), (1, ""), "{format}");
        let text = out(&output);
        let both = ["wrong.fantail", "warned.fantail"].iter().all(|name| text.contains(name));
        assert!(both && text.ends_with('\n') && !text.contains('\u{1b}'), "{format}: {text}");
        match format {
            "github" => assert!(text.starts_with("::error file=wrong.fantail,line=3,endLine=3,col=34,"), "{text}"),
            _ => assert!(serde_json::from_str::<serde_json::Value>(text).unwrap().is_object()),
        }
    }
    let twice = shows.run(&["check", "wrong.fantail", "wrong.fantail", "--format", "json"]);
    let object: serde_json::Value = serde_json::from_str(out(&twice)).unwrap();
    assert_eq!(object["summary"]["errors"], 1, "one place is told once");
    let none: serde_json::Value =
        serde_json::from_str(out(&shows.run(&["check", "clean.fantail", "--format", "json"]))).unwrap();
    assert_eq!(none["diagnostics"], serde_json::json!([]));
}

#[test]
fn a_plan_as_data_has_its_diagnostics_inside() {
    let shows = shows("data");
    for (file, severity) in [("wrong.fantail", "error"), ("warned.fantail", "warning")] {
        let output = shows.run(&["plan", file, "--format", "json"]);
        let plan: serde_json::Value = serde_json::from_str(out(&output)).unwrap();
        assert_eq!(plan["diagnostics"][0]["severity"], severity, "{plan}");
        let whole = shows.run(&["plan", file, "--format", "json", "--device", "foh"]);
        assert_eq!((status(&whole), out(&whole)), (2, ""));
    }
}

#[test]
fn colour_is_for_terminals_and_who_asks_for_it() {
    let shows = shows("colour");
    let plain = |output: &Output| !err(output).contains('\u{1b}');
    assert!(plain(&shows.run(&["check", "wrong.fantail"])));
    assert!(!plain(&shows.run(&["check", "wrong.fantail", "--colour", "always"])));
    assert!(!plain(&shows.run(&["check", "wrong.fantail", "--color=always"])));
    let dumb = shows.command(&["check", "wrong.fantail"]).env("TERM", "dumb").output().unwrap();
    assert!(plain(&dumb) && err(&dumb).is_ascii(), "{}", err(&dumb));
}

/// `script` gives the command a terminal; where there is none the test has nothing to say.
#[cfg(target_os = "linux")]
#[test]
fn no_color_holds_on_a_terminal() {
    let shows = shows("terminal");
    let line = format!("{} check wrong.fantail", env!("CARGO_BIN_EXE_fantail"));
    let on_terminal = |no_color: Option<&str>| {
        let mut command = Command::new("script");
        command.args(["-qec", &line, "/dev/null"]).current_dir(&shows.0).stdin(Stdio::null()).env("TERM", "xterm");
        command.env_remove("NO_COLOR").envs(no_color.map(|value| ("NO_COLOR", value)));
        command.output().ok().map(|output| output.stdout)
    };
    if let (Some(with), Some(without)) = (on_terminal(None), on_terminal(Some("1"))) {
        assert!(with.contains(&0x1b), "{}", String::from_utf8_lossy(&with));
        assert!(!without.contains(&0x1b), "{}", String::from_utf8_lossy(&without));
    }
}

#[test]
fn a_dash_is_standard_input() {
    let shows = shows("input");
    assert_eq!(status(&shows.run_with_input(&["check", "-"], CLEAN.as_bytes())), 0);
    let wrong = shows.run_with_input(&["check", "-", "clean.fantail"], WRONG.as_bytes());
    assert_eq!(status(&wrong), 1, "{}", err(&wrong));
    assert!(err(&wrong).contains(":3:34"), "{}", err(&wrong));
    assert_eq!(status(&shows.run(&["check", "-", "-"])), 2);

    // no way there: the search for a change that helps reads the show again
    let blocked = "show \"Night Ferry\"\ndesk foh is desk-40-eights\nbox stage on foh.portA\n\
        inputs foh { 1 kick dynamic from stage 1; 2 talkback dynamic from foh.local 2 }\n";
    fs::write(shows.0.join("blocked.fantail"), blocked).unwrap();
    let (from_file, from_input) = (
        shows.run(&["check", "blocked.fantail", "--format", "json"]),
        shows.run_with_input(&["check", "-", "--format", "json"], blocked.as_bytes()),
    );
    let helps = |output: &Output| {
        let object: serde_json::Value = serde_json::from_str(out(output)).unwrap();
        object["diagnostics"].as_array().unwrap().iter().map(|one| one["help"].to_string()).collect::<Vec<_>>()
    };
    assert_eq!((status(&from_input), helps(&from_input)), (1, helps(&from_file)));
}

#[test]
fn what_cannot_be_read_is_said_by_name() {
    let shows = shows("unread").with("latin1.fantail", b"show \"Caf\xe9\"\n");
    for (file, name) in [("missing.fantail", "missing.fantail"), (".", "."), ("clean.fantail/x", "clean.fantail/x")] {
        let output = shows.run(&["check", file]);
        assert!(status(&output) == 2 && err(&output).contains(name), "{file}: {}", err(&output));
        let json = shows.run(&["check", file, "--format", "json"]);
        let object: serde_json::Value = serde_json::from_str(out(&json)).unwrap();
        assert_eq!((status(&json), object["summary"]["errors"].as_u64()), (2, Some(1)), "{file}");
    }
    assert!(status(&shows.run(&["check", "latin1.fantail"])) > 0);
}

/// Both ends of a pipe that nobody reads: no message, no crash.
#[test]
fn a_reader_that_went_away_is_no_failure() {
    let many: String = (1..=20_000).map(|n| format!("nonsense {n} WARN ERR here\n")).collect();
    let shows = shows("pipe").with("many.fantail", many);
    for arguments in [
        &["check", "many.fantail", "--format", "json"][..],
        &["explain"],
        &["plan", "clean.fantail", "--format", "json"],
    ] {
        let mut child = shows
            .command(arguments)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!((status(&output) < 2, err(&output)), (true, ""), "{arguments:?}");
    }
    let mut child =
        shows.command(&["check", "many.fantail"]).stdin(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stderr.take());
    assert_eq!(child.wait().unwrap().code(), Some(1));
}

#[test]
fn start_makes_a_show_that_checks_clean() {
    let shows = Folder::new("start");
    let started = shows.run(&["start", "new/tour"]);
    assert_eq!(status(&started), 0, "{}", err(&started));
    assert!(out(&started).contains("fantail plan new/tour/show.fantail"));
    let mut files: Vec<_> =
        fs::read_dir(shows.0.join("new/tour")).unwrap().map(|file| file.unwrap().file_name()).collect();
    files.sort();
    assert_eq!(files, ["rig.fantail", "show.fantail"], "nothing else is left there");
    for file in ["new/tour/show.fantail", "new/tour/rig.fantail"] {
        let checked = shows.run(&["check", file, "--deny", "warnings"]);
        assert_eq!(status(&checked), 0, "{file}");
        assert!(err(&checked).starts_with("no errors, no warnings"), "{file}: {}", err(&checked));
    }
    assert_eq!(status(&shows.run(&["plan", "new/tour/show.fantail"])), 0);
}

#[test]
fn start_writes_over_nothing_and_all_or_none() {
    let shows = Folder::new("refuse").with("show.fantail", "mine\n").with("file", "");
    for folder in [".", "file", "file/below"] {
        let refused = shows.run(&["start", folder]);
        assert_eq!((status(&refused), out(&refused)), (2, ""), "{folder}");
        assert!(err(&refused).starts_with("fantail: "), "{}", err(&refused));
    }
    assert_eq!(fs::read_to_string(shows.0.join("show.fantail")).unwrap(), "mine\n");
    let left = |folder: &Path| fs::read_dir(folder).unwrap().count();
    assert_eq!(left(&shows.0), 2, "nothing is left behind");
    let beside = shows.run(&["start", "empty-or-new"]);
    assert_eq!(status(&beside), 0);
    assert_eq!(status(&shows.run(&["start", "empty-or-new"])), 2);
}

#[test]
fn explain_shows_a_page_by_either_name() {
    let shows = Folder::new("explain");
    let by_name = shows.run(&["explain", "phantom-missing"]);
    assert!(out(&by_name).starts_with("# phantom-missing\n"), "{}", out(&by_name));
    let code =
        out(&by_name).lines().find_map(|line| line.strip_prefix("code ")).and_then(|line| line.get(..4)).unwrap();
    assert_eq!(out(&shows.run(&["explain", &code.to_lowercase()])), out(&by_name));
    let slip = shows.run(&["explain", "phantom-misisng"]);
    assert!(err(&slip).contains("did you mean `phantom-missing`?"), "{}", err(&slip));
    let all = shows.run(&["explain"]);
    assert!(out(&all).contains(code) && out(&all).contains("unknown-name"));
}

#[test]
fn explain_lists_the_rules_that_hold_a_word() {
    let shows = Folder::new("word");
    let listed = shows.run(&["explain", "Phantom"]);
    let has = |slug: &str| out(&listed).contains(slug);
    assert!(status(&listed) == 0 && has("phantom-missing") && has("phantom-shared-switch"), "{}", out(&listed));
    assert!(!has("cable-loop"), "{}", out(&listed));
    // a word of the first sentence counts too
    assert!(out(&shows.run(&["explain", "plugs"])).contains("socket-used-twice"));
    assert_eq!(status(&shows.run(&["explain", "zz"])), 2);
}

#[test]
fn help_is_a_command_too() {
    let shows = Folder::new("help");
    assert!(out(&shows.run(&["help"])).contains("explain"));
    let of_plan = shows.run(&["help", "plan"]);
    assert!(out(&of_plan).contains("--device") && !out(&of_plan).contains("MORE"), "{}", out(&of_plan));
}

#[test]
fn a_plan_is_of_one_file() {
    let shows = shows("one");
    let two = shows.run(&["plan", "clean.fantail", "warned.fantail"]);
    assert_eq!((status(&two), out(&two)), (2, ""));
    assert!(err(&two).contains("a plan is of one file"), "{}", err(&two));
}

/// Gear alone, or nothing at all, is no mistake to check; a plan of it is rarely what was meant.
#[test]
fn a_plan_of_nothing_says_so() {
    let shows = shows("nothing").with("rig.fantail", "desk foh\nbox stage on foh.portA\n").with("empty.fantail", "");
    for (file, why) in [("rig.fantail", "no row asks for anything"), ("empty.fantail", "no gear and no rows")] {
        let planned = shows.run(&["plan", file]);
        assert!(status(&planned) == 0 && err(&planned).contains(why), "{file}: {}", err(&planned));
        assert!(err(&shows.run(&["check", file])).starts_with("no errors, no warnings"), "{file}");
    }
}
