//! Hovers, hints, lenses and signal flow as an editor gets them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod client;

use client::{Client, Folder};
use serde_json::{Value, json};

const RIG: &str = "desk foh is desk-48\n\
box stage is box-16x8 on foh.portA offset 1\n\
inputs {\n  1 kick boundary from stage 3 phantom\n}\n\
outputs { mix 1 to stage 1 wedge of kick }\n";

fn shown(client: &mut Client, method: &str, uri: &str, place: (u32, u32)) -> Value {
    let position = json!({"line": place.0, "character": place.1});
    let params = json!({"textDocument": {"uri": uri}, "position": position});
    client.request(method, params)["result"].clone()
}

#[test]
fn a_hover_says_it_once_where_shows_agree_and_by_show_where_not() {
    let (folder, mut client) = (Folder::new("hover"), Client::ready(&["utf-16"]));
    let rig = folder.uri("rig.fantail");
    client.open(&rig, 1, RIG);
    client.open(&folder.uri("hall.fantail"), 1, "include \"rig.fantail\"\nshow \"Night Ferry\"\n");
    let alone = shown(&mut client, "textDocument/hover", &rig, (3, 5));
    assert_eq!(alone["contents"]["kind"], "plaintext", "the client did not ask for Markdown");
    let text = alone["contents"]["value"].as_str().unwrap();
    assert!(text.starts_with("kick, \"Kick\"\n") && text.contains("foh.channel 1"), "{text}");
    assert_eq!(alone["range"]["start"], json!({"line": 3, "character": 4}));
    let yard = "include \"rig.fantail\"\nshow \"Night Ferry\"\nchange input kick from stage 4\n";
    client.open(&folder.uri("yard.fantail"), 1, yard);
    let both = shown(&mut client, "textDocument/hover", &rig, (3, 5));
    let text = both["contents"]["value"].as_str().unwrap();
    assert!(text.contains("In `hall.fantail`:") && text.contains("In `yard.fantail`:"), "{text}");
    assert!(text.contains("stage.in 3") && text.contains("stage.in 4"), "{text}");
}

#[test]
fn hints_and_lenses_stand_where_they_belong() {
    let (folder, mut client) = (Folder::new("hints"), Client::ready(&["utf-16"]));
    let uri = folder.uri("show.fantail");
    client.open(&uri, 1, &format!("show \"Night Ferry\"\n{RIG}"));
    let range = json!({"start": {"line": 0, "character": 0}, "end": {"line": 9, "character": 0}});
    let params = json!({"textDocument": {"uri": uri}, "range": range});
    let hints = client.request("textDocument/inlayHint", params)["result"].clone();
    assert_eq!(hints[0]["label"], "→ portA 3 → channel 1");
    assert_eq!(hints[0]["position"], json!({"line": 4, "character": 30}));
    assert_eq!(hints[1]["label"], "→ portA 1");
    let lenses = client.request("textDocument/codeLens", json!({"textDocument": {"uri": uri}}))["result"].clone();
    assert_eq!(lenses[1]["command"]["title"], "inputs 1 of 16 used, 15 spare · outputs 1 of 8 used, 7 spare");
    assert_eq!(lenses[1]["range"]["start"], json!({"line": 2, "character": 0}));
    client.change(&uri, 2, (0, 0), (0, 0), "nonsense foh\n");
    let lenses = client.request("textDocument/codeLens", json!({"textDocument": {"uri": uri}}))["result"].clone();
    assert_eq!(lenses, json!([]), "with errors nothing is proven");
}

#[test]
fn signals_flow_from_caller_to_callee() {
    let (folder, mut client) = (Folder::new("flow"), Client::ready(&["utf-16"]));
    let uri = folder.uri("show.fantail");
    client.open(&uri, 1, &format!("show \"Night Ferry\"\n{RIG}"));
    let kick = shown(&mut client, "textDocument/prepareCallHierarchy", &uri, (4, 5))[0].clone();
    assert_eq!(kick["name"], "kick");
    let names = |calls: &Value, key: &str| -> Vec<String> {
        calls.as_array().unwrap().iter().map(|call| call[key]["name"].as_str().unwrap().to_string()).collect()
    };
    let next = client.request("callHierarchy/outgoingCalls", json!({"item": kick}))["result"].clone();
    assert_eq!(names(&next, "to"), ["stage.in 3", "foh.mix 1"]);
    let mix = next[1]["to"].clone();
    let before = client.request("callHierarchy/incomingCalls", json!({"item": mix}))["result"].clone();
    assert_eq!(names(&before, "from"), ["kick"]);
    assert_eq!(before[0]["from"]["selectionRange"], kick["selectionRange"]);
}
