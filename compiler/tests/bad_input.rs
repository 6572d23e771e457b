//! Bad input at the command: what is no file, what is no text, and how the command ends.
#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Stdio};

struct Folder(PathBuf);

impl Folder {
    fn new(test: &str) -> Self {
        let path = std::env::temp_dir().join(format!("fantail-bad-{test}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Folder(path)
    }

    /// Exit status and standard error of `check`; nothing is ever on standard output.
    fn check(&self, file: &str) -> (i32, String) {
        let mut command = Command::new(env!("CARGO_BIN_EXE_fantail"));
        command.args(["check", file]).current_dir(&self.0).stdin(Stdio::null());
        let output = command.output().unwrap();
        let errors = String::from_utf8(output.stderr).unwrap();
        assert!(output.stdout.is_empty());
        (output.status.code().unwrap_or_else(|| panic!("ended by a signal: {errors}")), errors)
    }

    fn check_text(&self, text: impl AsRef<[u8]>) -> (i32, String) {
        fs::write(self.0.join("show.fantail"), text).unwrap();
        self.check("show.fantail")
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

#[test]
fn what_is_no_file_ends_with_2() {
    let folder = Folder::new("files");
    fs::create_dir(folder.0.join("venues")).unwrap();
    std::os::unix::fs::symlink("ring", folder.0.join("ring")).unwrap();
    for (file, word) in [("none.fantail", "file-missing"), ("venues", "folder-in-place-of-file"), ("ring", "[")] {
        let (status, said) = folder.check(file);
        assert_eq!(status, 2, "{file}: {said}");
        assert!(said.contains(word) && said.contains(file), "{file}: {said}");
    }
    assert_eq!(folder.check("/dev/zero").0, 2);
}

#[test]
fn an_include_that_cannot_be_read_ends_with_1() {
    let folder = Folder::new("includes");
    fs::create_dir(folder.0.join("venues")).unwrap();
    let text =
        "include \"venues\"\ninclude \"none\"\nshow \"x\"\ndesk foh\ninputs foh { 1 kick dynamic from foh.local 99 }\n";
    let (status, said) = folder.check_text(text);
    assert_eq!(status, 1);
    for place in ["show.fantail:1:9", "show.fantail:2:9", "show.fantail:5:"] {
        assert!(said.contains(place), "{place}: {said}");
    }
}

#[test]
fn no_text_ends_with_1_and_is_short() {
    let folder = Folder::new("texts");
    let bytes: Vec<u8> = (0..1_000_000u32).map(|n| (n.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    for text in [bytes, "{".repeat(100_000).into_bytes(), "é".repeat(5_000_000).into_bytes(), vec![0; 1_000_000]] {
        let (status, said) = folder.check_text(text);
        assert_eq!(status, 1, "{said}");
        assert!(said.len() < 4_000_000, "{} bytes", said.len());
        assert!(!said.contains(['\0', '\u{1b}', '\u{7}']));
    }
    assert_eq!(folder.check_text("").0, 0);
}
