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
    assert!(text.starts_with("kick, \"Kick\"\nboundary: mic level"), "what is the same stands first: {text}");
    assert_eq!((text.matches("\"Kick\"").count(), text.matches("mic level").count()), (1, 1), "and once: {text}");
    let (hall, yard) =
        text.split_once("In `hall.fantail`:\n\n").unwrap().1.split_once("\nIn `yard.fantail`:\n\n").unwrap();
    assert!(hall.contains("stage.in 3") && !hall.contains("stage.in 4"), "{text}");
    assert!(yard.contains("stage.in 4") && yard.contains("was from stage 3"), "{text}");
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

/// The protocol gives an item's data back to the server, and nobody keeps a client from making some up.
#[test]
fn made_up_items_flow_as_far_as_they_are_true() {
    let (folder, mut client) = (Folder::new("made-up"), Client::ready(&["utf-16"]));
    let uri = folder.uri("show.fantail");
    client.open(&uri, 1, &format!("show \"Night Ferry\"\n{RIG}"));
    let kick = shown(&mut client, "textDocument/prepareCallHierarchy", &uri, (4, 5))[0].clone();
    let mut calls = |way: &str, data: Value| {
        let mut item = kick.clone();
        (item["name"], item["data"]) = (json!("made up"), data);
        client.request(&format!("callHierarchy/{way}Calls"), json!({"item": item}))["result"].clone()
    };
    let show = kick["data"]["show"].clone();
    let of = |of: &str, name: &str| json!({"show": show, "of": of, "name": name});
    let before = calls("incoming", of("kick", "foh.channel 1"));
    assert_eq!(before[0]["from"]["name"], "foh.portA 3", "{before}");
    assert_eq!(calls("outgoing", of("kick", "stage.in 3"))[0]["to"]["name"], "foh.portA 3");
    for (signal, name) in
        [("nobody", "nobody"), ("kick", "stage.in 4"), ("foh.mix 1", "kick"), ("", ""), ("kick", "🎛 1")]
    {
        for way in ["incoming", "outgoing"] {
            assert_eq!(calls(way, of(signal, name)), json!([]), "{way} {signal} {name}");
        }
    }
    for data in
        [Value::Null, json!([]), json!({"show": "/nowhere", "of": "kick", "name": "kick"}), json!({"show": show})]
    {
        assert_eq!(calls("incoming", data.clone()), Value::Null, "{data}");
        assert_eq!(calls("outgoing", data.clone()), Value::Null, "{data}");
    }
}

/// Whoever has nothing open that changed could not know. This client answers none of it, and hears all.
#[test]
fn after_a_change_on_disk_a_client_is_told_to_ask_again() {
    let (folder, mut client) = (Folder::new("again"), Client::start());
    let refresh = json!({"refreshSupport": true});
    let workspace = json!({"semanticTokens": refresh, "inlayHint": refresh, "codeLens": refresh});
    let capabilities = json!({"textDocument": {"diagnostic": {}}, "workspace": workspace});
    client.request("initialize", json!({"capabilities": capabilities}));
    client.notify("initialized", json!({}));
    folder.write("rig.fantail", RIG);
    let uri = folder.uri("hall.fantail");
    client.open(&uri, 1, "include \"rig.fantail\"\nshow \"Night Ferry\"\n");
    let told = |client: &mut Client| -> Vec<Value> {
        let of_file =
            client.request("textDocument/diagnostic", json!({"textDocument": {"uri": folder.uri("rig.fantail")}}));
        of_file["result"]["items"].as_array().unwrap().iter().filter(|one| one["severity"] == 1).cloned().collect()
    };
    assert_eq!(told(&mut client), Vec::<Value>::new());
    folder.write("rig.fantail", &RIG.replace("stage 3", "stage 33"));
    client.notify("workspace/didChangeWatchedFiles", json!({"changes": [{"uri": uri, "type": 2}]}));
    for what in ["diagnostic", "semanticTokens", "inlayHint", "codeLens"] {
        let method = format!("workspace/{what}/refresh");
        if !client.seen.iter().any(|message| message["method"] == *method) {
            client.wait(|message| message["method"] == *method);
        }
    }
    assert!(!told(&mut client).is_empty(), "there is no socket 33");
}
