//! Completion and signature help over the wire: what edits come back, and what they make of the text.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod client;

use client::{Client, Folder};
use serde_json::{Value, json};

const SHOW: &str = "show \"Night Ferry\"
desk foh is desk-48
box left is box-16x8 on foh.portA offset 1
inputs foh {
  1 kick dynamic from left 1
  
}
";

/// Asks at a position: line and character from 0.
fn ask(client: &mut Client, method: &str, uri: &str, line: u32, character: u32) -> Value {
    let params = json!({"textDocument": {"uri": uri}, "position": {"line": line, "character": character}});
    client.request(&format!("textDocument/{method}"), params)["result"].clone()
}

fn labels(items: &Value) -> Vec<String> {
    items.as_array().unwrap().iter().map(|item| item["label"].as_str().unwrap().to_string()).collect()
}

/// The text with an item's edit, which stands in one line of ASCII.
fn applied(text: &str, item: &Value) -> String {
    let edit = &item["textEdit"];
    let place = |end: &str| {
        let position = &edit["range"][end];
        let line = position["line"].as_u64().unwrap() as usize;
        let start: usize = text.split_inclusive('\n').take(line).map(str::len).sum();
        start + position["character"].as_u64().unwrap() as usize
    };
    format!("{}{}{}", &text[..place("start")], edit["newText"].as_str().unwrap(), &text[place("end")..])
}

fn opened(folder: &Folder, text: &str) -> (Client, String) {
    let mut client = Client::ready(&[]);
    let uri = folder.uri("show.fantail");
    client.open(&uri, 1, text);
    client.diagnostics(&uri, json!(1));
    (client, uri)
}

#[test]
fn the_next_channel_stands_first_and_fits() {
    let folder = Folder::new("complete");
    let (mut client, uri) = opened(&folder, SHOW);
    let items = ask(&mut client, "completion", &uri, 5, 2);
    assert_eq!(labels(&items)[..2], ["2", "2-3"]);
    assert!(items.as_array().unwrap().iter().all(|item| item["insertTextFormat"] == 1), "no snippets were asked for");
    let text = applied(SHOW, &items[0]);
    assert!(text.contains("\n  2\n"), "{text}");
}

#[test]
fn a_row_is_completed_while_it_is_written() {
    let folder = Folder::new("complete-row");
    let (mut client, uri) = opened(&folder, SHOW);
    // The answer is for the text as it is now, whatever is compiled.
    client.change(&uri, 2, (5, 2), (5, 2), "2 snare dynamic from left ");
    let items = ask(&mut client, "completion", &uri, 5, 28);
    assert_eq!(labels(&items)[0], "2");
    let text = SHOW.replace("\n  \n", "\n  2 snare dynamic from left \n");
    let whole = applied(&text, &items[0]);
    client.change(&uri, 3, (0, 0), (99, 0), &whole);
    assert!(client.diagnostics(&uri, json!(3)).iter().all(|one| one["severity"] != 1), "{whole}");
}

#[test]
fn includes_are_completed_with_the_files_there() {
    let folder = Folder::new("complete-files");
    folder.write("rig.fantail", "desk foh is desk-48\n");
    let (mut client, uri) = opened(&folder, "show \"A\"\ninclude \"r\"\n");
    let items = ask(&mut client, "completion", &uri, 1, 10);
    assert!(labels(&items).contains(&"rig.fantail".to_string()));
    let rig = items.as_array().unwrap().iter().find(|item| item["label"] == "rig.fantail").unwrap();
    assert_eq!(applied("show \"A\"\ninclude \"r\"\n", rig), "show \"A\"\ninclude \"rig.fantail\"\n");
}

#[test]
fn folders_are_steps_to_files_further_up_and_down() {
    let folder = Folder::new("complete-steps");
    for inner in ["shared/mics/old", "tour/venues/.hidden"] {
        std::fs::create_dir_all(folder.0.join(inner)).unwrap();
    }
    for file in ["rig.fantail", "shared/mics/ours.fantail", "tour/list.fantail", "tour/venues/hall.fantail"] {
        folder.write(file, "\n");
    }
    let mut client = Client::ready(&[]);
    let uri = folder.uri("tour/venues/hall.fantail");
    let mut offered = |said: &str| {
        client.open(&uri, 1, &format!("include outside \"{said}\"\n"));
        labels(&ask(&mut client, "completion", &uri, 0, 17 + said.len() as u32))
    };
    assert_eq!(offered(""), ["../list.fantail", "../"], "not itself, and nothing hidden");
    assert_eq!(offered("../"), ["../list.fantail", "../../rig.fantail", "../../", "../venues/"]);
    let up = ["../../rig.fantail", "../../tour/list.fantail", "../../../", "../../shared/", "../../tour/"];
    let ours: Vec<String> =
        offered("../../").into_iter().filter(|name| !name.starts_with("../../../") || name.len() == 9).collect();
    assert_eq!(ours, up);
    assert_eq!(offered("../../shared/"), ["../../shared/mics/ours.fantail", "../../shared/mics/"]);
    assert_eq!(offered("../../shared/mics/o"), ["../../shared/mics/ours.fantail", "../../shared/mics/old/"]);
}

#[test]
fn a_client_that_fills_snippets_in_gets_blocks_and_rows() {
    let folder = Folder::new("complete-snippets");
    let mut client = Client::start();
    let item = json!({"completionItem": {"snippetSupport": true}});
    client.request("initialize", json!({"capabilities": {"textDocument": {"completion": item}}}));
    client.notify("initialized", json!({}));
    let uri = folder.uri("show.fantail");
    client.open(&uri, 1, SHOW);
    client.diagnostics(&uri, json!(1));
    let items = ask(&mut client, "completion", &uri, 5, 2);
    let row = items.as_array().unwrap().iter().find(|item| item["insertTextFormat"] == 2).unwrap();
    assert_eq!(row["textEdit"]["newText"], "2 ${1:name} ${2:dynamic} from ${3:left 2}$0");
}

#[test]
fn a_row_says_its_columns() {
    let folder = Folder::new("signature");
    let (mut client, uri) = opened(&folder, SHOW);
    let help = ask(&mut client, "signatureHelp", &uri, 4, 9);
    let row = &help["signatures"][0];
    assert!(row["label"].as_str().unwrap().starts_with("channel name kind [from]"), "{help}");
    assert_eq!(help["activeParameter"], 2);
    assert_eq!(row["parameters"][2]["label"], json!([13, 17]));
    assert_eq!(ask(&mut client, "signatureHelp", &uri, 0, 0), Value::Null);
}
