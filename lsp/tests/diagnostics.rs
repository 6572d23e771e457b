//! Diagnostics as an editor sees them: at the right place, of the right version, gone when mended.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod client;

use client::{Client, Folder};
use serde_json::{Value, json};

/// `nonsense` starts no statement, whatever else the language learns.
const BROKEN: &str = "show \"Night Ferry\"\nnonsense foh\n";

fn start(diagnostic: &Value) -> (u64, u64) {
    let start = &diagnostic["range"]["start"];
    (start["line"].as_u64().unwrap(), start["character"].as_u64().unwrap())
}

fn starts_at(found: &[Value], place: (u64, u64)) -> bool {
    found.iter().any(|one| start(one) == place)
}

#[test]
fn a_mistake_is_shown_and_goes_when_it_is_mended() {
    let (folder, mut client) = (Folder::new("mend"), Client::ready(&["utf-16"]));
    let uri = folder.uri("a.fantail");
    client.open(&uri, 1, BROKEN);
    let found = client.diagnostics(&uri, json!(1));
    assert!(starts_at(&found, (1, 0)), "{found:#?}");
    assert_eq!(found[0]["severity"], 1);
    assert_eq!(found[0]["source"], "fantail");
    assert!(found[0]["code"].is_string());
    client.change(&uri, 7, (1, 0), (1, 12), "");
    let found = client.diagnostics(&uri, json!(7));
    assert!(!found.iter().any(|one| start(one).0 == 1), "{found:#?}");
}

#[test]
fn places_are_counted_as_the_client_counts() {
    for (encoding, column) in [("utf-16", 16), ("utf-8", 20)] {
        let (folder, mut client) = (Folder::new(encoding), Client::ready(&[encoding]));
        let uri = folder.uri("a.fantail");
        // Two emoji: two units each in UTF-16, four bytes each in UTF-8.
        client.open(&uri, 1, "show \"🎛 🎛\"  ; nonsense foh\r\n");
        let found = client.diagnostics(&uri, json!(1));
        assert!(starts_at(&found, (0, column)), "{encoding}: {found:#?}");
        // The same count the other way: the edit takes out exactly the statement.
        client.change(&uri, 2, (0, column as u32), (0, 99), "");
        let found = client.diagnostics(&uri, json!(2));
        assert!(!starts_at(&found, (0, column)), "{found:#?}");
    }
}

#[test]
fn an_included_file_is_checked_with_its_root_and_cleared_with_it() {
    let (folder, mut client) = (Folder::new("include"), Client::ready(&[]));
    folder.write("rig.fantail", "nonsense foh\n");
    let (root, rig) = (folder.uri("root.fantail"), folder.uri("rig.fantail"));
    client.open(&root, 1, "show \"Night Ferry\"\ninclude \"rig.fantail\"\n");
    assert!(starts_at(&client.diagnostics(&rig, Value::Null), (0, 0)));
    client.open(&rig, 1, "# nothing yet\nnonsense foh\n");
    assert!(starts_at(&client.diagnostics(&rig, json!(1)), (1, 0)), "the open text counts, not the disk's");
    client.change(&root, 2, (1, 0), (1, 21), "");
    assert!(starts_at(&client.diagnostics(&rig, json!(1)), (1, 0)), "as it stands, without a root");
    client.close(&rig);
    assert_eq!(client.diagnostics(&rig, Value::Null), Vec::<Value>::new());
}

#[test]
fn a_text_that_was_never_saved_is_checked() {
    let mut client = Client::ready(&[]);
    client.open("untitled:Untitled-1", 1, BROKEN);
    assert!(starts_at(&client.diagnostics("untitled:Untitled-1", json!(1)), (1, 0)));
}

#[test]
fn two_thousand_quick_changes_end_in_the_last_version() {
    const LAST: i32 = 2001;
    let (folder, mut client) = (Folder::new("quick"), Client::ready(&["utf-16"]));
    let uri = folder.uri("a.fantail");
    client.open(&uri, 1, BROKEN);
    // A line is put in before the mistake each time, but for the last, which puts in two.
    for version in 2..=LAST {
        let text = if version == LAST { "# 🎛\n# two\n" } else { "# one\n" };
        client.change(&uri, version, (1, 0), (1, 0), text);
    }
    let found = client.diagnostics(&uri, json!(LAST));
    assert!(starts_at(&found, (2002, 0)), "{found:#?}");
    let of_file = client.seen.iter().filter(|message| message["params"]["uri"] == uri);
    let versions: Vec<i64> = of_file.filter_map(|message| message["params"]["version"].as_i64()).collect();
    assert!(versions.is_sorted(), "{versions:?}");
    for message in client.seen.iter().filter(|message| message["params"]["uri"] == uri) {
        // Each set was found in the version that it names: the mistake is as far down as there are edits.
        let version = message["params"]["version"].as_u64().unwrap();
        let line = if version == LAST as u64 { 2002 } else { version };
        let found = message["params"]["diagnostics"].as_array().unwrap();
        assert!(starts_at(found, (line, 0)), "version {version}: {found:#?}");
    }
}
