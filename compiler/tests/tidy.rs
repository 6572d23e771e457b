//! `fantail tidy` as people run it: what it writes, where, and how it ends. How rows are laid out is tested
//! elsewhere.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fs;
use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

const LOOSE: &str = "desk  foh\ninputs foh {\n1 kick   dynamic\n}\n";
const TIDY: &str = "desk foh\ninputs foh {\n  1  kick  dynamic\n}\n";

/// A folder that goes when the test is over.
struct Folder(PathBuf);

impl Folder {
    fn new(test: &str) -> Self {
        let path = std::env::temp_dir().join(format!("fantail-tidy-{test}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Folder(path)
    }

    fn with(self, name: &str, text: impl AsRef<[u8]>) -> Self {
        let path = self.0.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
        self
    }

    fn read(&self, name: &str) -> String {
        String::from_utf8(fs::read(self.0.join(name)).unwrap()).unwrap()
    }

    /// Exit status, standard output and standard error.
    fn tidy(&self, arguments: &[&str], input: &[u8]) -> (i32, String, String) {
        let mut command = Command::new(env!("CARGO_BIN_EXE_fantail"));
        command.arg("tidy").args(arguments).current_dir(&self.0);
        let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        // one that stops early does not read it
        let _ = child.stdin.take().unwrap().write_all(input);
        let Output { status, stdout, stderr } = child.wait_with_output().unwrap();
        let text = |bytes| String::from_utf8(bytes).unwrap();
        (status.code().expect("ended by a signal"), text(stdout), text(stderr))
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn said(status: i32, out: &str, err: &str) -> (i32, String, String) {
    (status, out.to_string(), err.to_string())
}

#[test]
fn files_are_laid_out_in_place_and_named_where_they_changed() {
    let shows = Folder::new("files").with("loose.fantail", LOOSE).with("tidy.fantail", TIDY);
    assert_eq!(shows.tidy(&["loose.fantail", "tidy.fantail"], b""), said(0, "loose.fantail\n", ""));
    assert_eq!(shows.read("loose.fantail"), TIDY);
    assert_eq!(shows.tidy(&["loose.fantail", "tidy.fantail"], b""), said(0, "", ""));
    assert_eq!(fs::read_dir(&shows.0).unwrap().count(), 2, "nothing else is left there");
}

#[test]
fn check_and_diff_write_nothing() {
    let shows = Folder::new("check").with("loose.fantail", LOOSE).with("tidy.fantail", TIDY);
    assert_eq!(shows.tidy(&["--check", "loose.fantail", "tidy.fantail"], b""), said(1, "loose.fantail\n", ""));
    assert_eq!(shows.tidy(&["--check", "tidy.fantail"], b""), said(0, "", ""));
    let (status, diff, err) = shows.tidy(&["--diff", "loose.fantail", "tidy.fantail"], b"");
    assert_eq!((status, err.as_str()), (0, ""));
    let lines = ["--- loose.fantail\n", "+++ loose.fantail (tidy)\n", "-desk  foh\n", "+desk foh\n", " inputs foh {\n"];
    assert!(lines.iter().all(|line| diff.contains(line)), "{diff}");
    assert!(!diff.contains("tidy.fantail (tidy)"), "{diff}");
    assert_eq!(shows.tidy(&["--diff", "--check", "loose.fantail"], b"").0, 1);
    assert_eq!(shows.read("loose.fantail"), LOOSE);
}

#[test]
fn a_dash_is_standard_input_and_output() {
    let shows = Folder::new("input");
    assert_eq!(shows.tidy(&["-"], LOOSE.as_bytes()), said(0, TIDY, ""));
    assert_eq!(shows.tidy(&["-"], TIDY.as_bytes()), said(0, TIDY, ""));
    assert_eq!(shows.tidy(&["--check", "-"], LOOSE.as_bytes()), said(1, "-\n", ""));
    assert_eq!(shows.tidy(&["-", "-"], b"").0, 2);
    let (status, out, err) = shows.tidy(&["-"], b"desk  foh \xff");
    assert_eq!((status, out.as_str()), (2, ""), "{err}");
    assert!(err.contains("from byte 11 on"), "{err}");
}

#[test]
fn a_folder_is_all_that_is_in_it() {
    let shows = Folder::new("folder")
        .with("tour/b.fantail", LOOSE)
        .with("tour/venues/a.fantail", LOOSE)
        .with("tour/readme.md", LOOSE)
        .with("tour/.hidden/a.fantail", LOOSE)
        .with("empty/readme.md", "");
    let names = format!(
        "{}\n{}\n",
        PathBuf::from("tour/b.fantail").display(),
        PathBuf::from("tour/venues/a.fantail").display()
    );
    assert_eq!(shows.tidy(&["--check", "tour"], b""), said(1, &names, ""));
    assert_eq!(shows.tidy(&["tour"], b""), said(0, &names, ""));
    assert_eq!((shows.read("tour/readme.md"), shows.read("tour/.hidden/a.fantail")), (LOOSE.into(), LOOSE.into()));
    let (status, out, err) = shows.tidy(&["empty"], b"");
    assert!(status == 2 && out.is_empty() && err.contains("`empty` has no file"), "{err}");
}

#[test]
fn line_ends_and_the_mark_at_the_start_are_kept() {
    let marked = |text: &str| format!("\u{feff}{}", text.replace('\n', "\r\n"));
    let shows = Folder::new("ends").with("windows.fantail", marked(LOOSE));
    assert_eq!(shows.tidy(&["windows.fantail"], b"").0, 0);
    assert_eq!(shows.read("windows.fantail"), marked(TIDY));
}

#[test]
fn what_cannot_be_read_is_told_and_left_and_the_rest_is_done() {
    let latin = b"desk  foh # caf\xe9\n";
    let shows = Folder::new("unread").with("latin.fantail", latin).with("loose.fantail", LOOSE);
    let (status, out, err) = shows.tidy(&["latin.fantail", "missing.fantail", "loose.fantail"], b"");
    assert_eq!((status, out.as_str()), (2, "loose.fantail\n"));
    assert!(
        err.contains("`latin.fantail` is left as it is: it is no UTF-8") && err.contains("`missing.fantail` is not")
    );
    assert_eq!(fs::read(shows.0.join("latin.fantail")).unwrap(), latin);
    assert_eq!(shows.read("loose.fantail"), TIDY);
    assert_eq!(shows.tidy(&[], b"").0, 2);
}

#[test]
fn rows_that_do_not_read_stay_as_they_stand() {
    let shows = Folder::new("broken").with("broken.fantail", "desk  foh\nimputs   foh\n");
    assert_eq!(shows.tidy(&["broken.fantail"], b"").0, 0);
    assert_eq!(shows.read("broken.fantail"), "desk foh\nimputs   foh\n");
}

#[cfg(unix)]
#[test]
fn permissions_and_links_are_kept() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let shows = Folder::new("links").with("real/show.fantail", LOOSE).with("locked.fantail", LOOSE);
    let mode = |name: &str| fs::metadata(shows.0.join(name)).unwrap().permissions().mode() & 0o777;
    let set = |name: &str, mode| fs::set_permissions(shows.0.join(name), fs::Permissions::from_mode(mode)).unwrap();
    set("real/show.fantail", 0o640);
    set("locked.fantail", 0o444);
    symlink("real/show.fantail", shows.0.join("link.fantail")).unwrap();
    symlink("nowhere", shows.0.join("dead.fantail")).unwrap();

    assert_eq!(shows.tidy(&["link.fantail"], b""), said(0, "link.fantail\n", ""));
    assert!(fs::symlink_metadata(shows.0.join("link.fantail")).unwrap().is_symlink());
    assert_eq!((shows.read("real/show.fantail"), mode("real/show.fantail")), (TIDY.to_string(), 0o640));

    let (status, out, err) = shows.tidy(&["locked.fantail"], b"");
    assert!(
        status == 2 && out.is_empty() && err.contains("`locked.fantail` was left as it is: it may only be read"),
        "{err}"
    );
    assert_eq!((shows.read("locked.fantail"), mode("locked.fantail")), (LOOSE.to_string(), 0o444));
    assert_eq!(shows.tidy(&["dead.fantail"], b"").0, 2);
}
