//! What comes back: which edits, which places, which text.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod client;

use client::{Client, Folder};
use serde_json::{Value, json};

const RIG: &str = "\
desk foh is desk-48
box stage is box-32x16 on foh.portA offset 1
inputs {
  1 kick boundary from stage 1 phantom
  2 hat condenser from stage 2 phantom
}
group drums kick, hat
outputs {
  mix 1 to stage 1 wedge \"Drums\" of drums
}
";
const HALL: &str =
    "fantail 1\nshow \"Night Ferry\" at \"Quayside Hall\"\ninclude \"rig.fantail\"\nchange input kick from stage 3\n";
const PIER: &str = "fantail 1\nshow \"Night Ferry\" at \"Pier Nine\"\ninclude \"rig.fantail\"\nwithout input hat\n";

/// A rig under two venues, on disk, with the rig open.
struct Tour {
    folder: Folder,
    client: Client,
}

impl Tour {
    fn new(name: &str) -> Tour {
        let folder = Folder::new(name);
        for (file, text) in [("rig.fantail", RIG), ("hall.fantail", HALL), ("pier.fantail", PIER)] {
            folder.write(file, text);
        }
        let mut client = Client::start();
        let uri = format!("file://{}", folder.0.display());
        let params = json!({"capabilities": {}, "workspaceFolders": [{"uri": uri, "name": "tour"}]});
        client.request("initialize", params);
        client.notify("initialized", json!({}));
        client.open(&folder.uri("rig.fantail"), 1, RIG);
        Tour { folder, client }
    }

    fn place(&self, file: &str, line: u32, character: u32) -> Value {
        json!({"textDocument": {"uri": self.folder.uri(file)}, "position": {"line": line, "character": character}})
    }

    /// Asks until the shows of the workspace have been found.
    fn ask(&mut self, method: &str, params: Value) -> Value {
        self.client.request(method, params)["result"].clone()
    }

    /// File and line of each place, in order.
    fn lines(&self, places: &Value) -> Vec<(String, u64)> {
        let line = |place: &Value| {
            let uri = place["uri"].as_str().unwrap();
            let file = uri.rsplit('/').next().unwrap().to_string();
            (file, place["range"]["start"]["line"].as_u64().unwrap())
        };
        let mut lines: Vec<_> = places.as_array().unwrap().iter().map(line).collect();
        lines.sort();
        lines
    }

    /// The shows of the folder are looked for beside everything else.
    fn settled(mut self) -> Tour {
        for _ in 0..200 {
            let found = self.ask("workspace/symbol", json!({"query": ""}));
            let shows = self.ask("textDocument/implementation", self.place("rig.fantail", 3, 5));
            if found.as_array().is_some_and(|all| !all.is_empty()) && !shows.is_null() {
                return self;
            }
            std::thread::sleep(std::time::Duration::from_millis(20));
        }
        panic!("the venues are not found: {:#?}", self.client.seen.last());
    }
}

fn tour(name: &str) -> Tour {
    Tour::new(name).settled()
}

#[test]
fn a_name_leads_to_the_base_and_to_the_venues_that_change_it() {
    let mut tour = tour("definition");
    let place = tour.place("rig.fantail", 6, 14);
    let found = tour.ask("textDocument/definition", place.clone());
    assert_eq!(tour.lines(&found), [("rig.fantail".to_string(), 3)]);
    let found = tour.ask("textDocument/implementation", place.clone());
    assert_eq!(tour.lines(&found), [("hall.fantail".to_string(), 3)]);
    let mut params = place;
    params["context"] = json!({"includeDeclaration": true});
    let found = tour.ask("textDocument/references", params);
    let places = [("hall.fantail", 3), ("rig.fantail", 3), ("rig.fantail", 6)];
    assert_eq!(tour.lines(&found), places.map(|(file, line)| (file.to_string(), line)));
}

#[test]
fn a_model_of_the_library_leads_to_a_file_that_can_be_opened() {
    let mut tour = tour("library");
    let place = tour.place("rig.fantail", 0, 13);
    let found = tour.ask("textDocument/definition", place);
    let uri = found[0]["uri"].as_str().unwrap().to_string();
    assert!(uri.ends_with("/std/desks.fantail"), "{found}");
    let text = std::fs::read_to_string(uri.strip_prefix("file://").unwrap()).unwrap();
    let line = found[0]["range"]["start"]["line"].as_u64().unwrap();
    assert!(text.lines().nth(line.try_into().unwrap()).unwrap().contains("desk-48"));
    // It is nobody's show: opening it draws nothing.
    tour.client.open(&uri, 1, &text);
    let told = tour.ask("textDocument/diagnostic", json!({"textDocument": {"uri": uri}}));
    assert_eq!(told["items"], json!([]));
}

#[test]
fn a_rename_reaches_every_venue() {
    let mut tour = tour("rename");
    let place = tour.place("rig.fantail", 6, 14);
    let prepared = tour.ask("textDocument/prepareRename", place.clone());
    assert_eq!(prepared["placeholder"], "kick");
    let mut params = place.clone();
    params["newName"] = json!("kick-in");
    let edit = tour.ask("textDocument/rename", params);
    let changes = edit["changes"].as_object().unwrap();
    let lines = |file: &str| -> Vec<u64> {
        let edits = changes[&tour.folder.uri(file)].as_array().unwrap();
        assert!(edits.iter().all(|edit| edit["newText"] == "kick-in"));
        edits.iter().map(|edit| edit["range"]["start"]["line"].as_u64().unwrap()).collect()
    };
    assert_eq!((lines("rig.fantail"), lines("hall.fantail")), (vec![3, 6], vec![3]));
    assert_eq!(changes.len(), 2);
    let mut params = place;
    params["newName"] = json!("hat");
    let answer = tour.client.request("textDocument/rename", params);
    assert_eq!(answer["error"]["message"], "`hat` is taken already here");
}

#[test]
fn includes_follow_a_file_that_gets_another_name() {
    let mut tour = tour("moved");
    let (old, new) = (tour.folder.uri("rig.fantail"), tour.folder.uri("gear.fantail"));
    let edit = tour.ask("workspace/willRenameFiles", json!({"files": [{"oldUri": old, "newUri": new}]}));
    for file in ["hall.fantail", "pier.fantail"] {
        let edits = &edit["changes"][tour.folder.uri(file)];
        assert_eq!(edits[0]["newText"], "\"gear.fantail\"", "{edit:#}");
        assert_eq!(edits[0]["range"]["start"], json!({"line": 2, "character": 8}));
    }
}

#[test]
fn a_message_that_holds_in_one_venue_says_which() {
    let mut tour = tour("venues");
    let uri = tour.folder.uri("rig.fantail");
    // The hall plugs the kick into 3 as well.
    let text = RIG.replace("from stage 2", "from stage 3");
    let whole = json!([{"text": text}]);
    tour.client
        .notify("textDocument/didChange", json!({"textDocument": {"uri": uri, "version": 2}, "contentChanges": whole}));
    let told = tour.ask("textDocument/diagnostic", json!({"textDocument": {"uri": uri}}));
    let messages: Vec<&str> =
        told["items"].as_array().unwrap().iter().map(|one| one["message"].as_str().unwrap()).collect();
    assert!(messages.iter().any(|message| message.ends_with("in `hall.fantail`")), "{messages:#?}");
    assert!(messages.iter().all(|message| !message.contains("pier.fantail")), "{messages:#?}");
}

#[test]
fn a_diagnostic_has_its_rule_page_and_a_fix_that_mends_it() {
    let mut tour = tour("fix");
    let uri = tour.folder.uri("rig.fantail");
    let broken = RIG.replace("condenser", "condensor");
    tour.client.notify(
        "textDocument/didChange",
        json!({"textDocument": {"uri": uri, "version": 2}, "contentChanges": [{"text": broken}]}),
    );
    let told = tour.ask("textDocument/diagnostic", json!({"textDocument": {"uri": uri}}));
    let one =
        told["items"].as_array().unwrap().iter().find(|one| one["message"].as_str().unwrap().contains("condensor"));
    let one = one.unwrap_or_else(|| panic!("{told:#}")).clone();
    let page = one["codeDescription"]["href"].as_str().unwrap().strip_prefix("file://").unwrap().to_string();
    assert!(std::fs::read_to_string(page).unwrap().starts_with("# "));
    let params = json!({"textDocument": {"uri": uri}, "range": one["range"], "context": {"diagnostics": [one]}});
    let actions = tour.ask("textDocument/codeAction", params);
    let fix = actions.as_array().unwrap().iter().find(|one| one["title"] == "write `condenser`").unwrap();
    let edit = &fix["edit"]["changes"][&uri][0];
    assert_eq!((&edit["newText"], &edit["range"]), (&json!("condenser"), &one["range"]));
    let again = tour
        .ask("textDocument/diagnostic", json!({"textDocument": {"uri": uri}, "previousResultId": told["resultId"]}));
    assert_eq!(again["kind"], "unchanged");
}

#[test]
fn the_whole_workspace_is_told_and_cleared() {
    let mut tour = tour("workspace");
    let found = tour.ask("workspace/diagnostic", json!({"previousResultIds": []}));
    let uri = tour.folder.uri("gone.fantail");
    assert!(found["items"].as_array().unwrap().iter().any(|one| one["uri"] == tour.folder.uri("rig.fantail")));
    let params = json!({"previousResultIds": [{"uri": uri, "value": "1"}]});
    let found = tour.ask("workspace/diagnostic", params);
    let gone = found["items"].as_array().unwrap().iter().find(|one| one["uri"] == uri).unwrap().clone();
    assert_eq!(gone["items"], json!([]));
}

#[test]
fn rows_are_laid_out_whole_in_part_and_as_they_are_typed() {
    let mut tour = tour("format");
    let uri = tour.folder.uri("rig.fantail");
    let options = json!({"tabSize": 2, "insertSpaces": true});
    let edits = tour.ask("textDocument/formatting", json!({"textDocument": {"uri": uri}, "options": options}));
    let tidied = applied(RIG, &edits);
    assert_eq!(tidied, fantail::syntax::tidy::tidy(RIG));
    let range = json!({"start": {"line": 3, "character": 0}, "end": {"line": 3, "character": 9}});
    let params = json!({"textDocument": {"uri": uri}, "range": range, "options": options});
    let edits = tour.ask("textDocument/rangeFormatting", params);
    assert!(edits.as_array().unwrap().iter().all(|edit| edit["range"]["start"]["line"] == 3), "{edits}");
    let mut params = tour.place("rig.fantail", 4, 0);
    params["ch"] = json!("\n");
    params["options"] = options;
    let typed = tour.ask("textDocument/onTypeFormatting", params);
    assert_eq!(typed, edits);
}

/// Edits made in a text of ASCII.
fn applied(text: &str, edits: &Value) -> String {
    let offset = |place: &Value| {
        let (line, character) =
            (place["line"].as_u64().unwrap() as usize, place["character"].as_u64().unwrap() as usize);
        text.split_inclusive('\n').take(line).map(str::len).sum::<usize>() + character
    };
    let mut edits: Vec<(usize, usize, &str)> = edits
        .as_array()
        .unwrap()
        .iter()
        .map(|edit| {
            let range = &edit["range"];
            (offset(&range["start"]), offset(&range["end"]), edit["newText"].as_str().unwrap())
        })
        .collect();
    edits.sort();
    let mut text = text.to_string();
    for (start, end, new) in edits.into_iter().rev() {
        text.replace_range(start..end, new);
    }
    text
}

#[test]
fn colours_are_sent_whole_in_part_and_as_what_differs() {
    let mut tour = tour("colours");
    let uri = tour.folder.uri("rig.fantail");
    let document = json!({"textDocument": {"uri": uri}});
    let full = tour.ask("textDocument/semanticTokens/full", document);
    let data = full["data"].as_array().unwrap().clone();
    // `desk` is a word, `foh` a device that is declared there.
    assert_eq!(data[..10], [0, 0, 4, 0, 0, 0, 5, 3, 4, 1].map(|n| json!(n)));
    tour.client.change(&uri, 2, (6, 6), (6, 11), "beats");
    let params = json!({"textDocument": {"uri": uri}, "previousResultId": full["resultId"]});
    let delta = tour.ask("textDocument/semanticTokens/full/delta", params);
    let edits = delta["edits"].as_array().unwrap().clone();
    assert!(edits.len() <= 1, "{delta}");
    let mut patched = data;
    for edit in edits {
        let (start, gone) = (edit["start"].as_u64().unwrap() as usize, edit["deleteCount"].as_u64().unwrap() as usize);
        let new = edit["data"].as_array().cloned().unwrap_or_default();
        patched.splice(start..start + gone, new);
    }
    let full = tour.ask("textDocument/semanticTokens/full", json!({"textDocument": {"uri": uri}}));
    assert_eq!(json!(patched), full["data"]);
    let range = json!({"start": {"line": 0, "character": 0}, "end": {"line": 0, "character": 19}});
    let part = tour.ask("textDocument/semanticTokens/range", json!({"textDocument": {"uri": uri}, "range": range}));
    assert_eq!(part["data"].as_array().unwrap().len(), 4 * 5, "desk foh is desk-48");
}

#[test]
fn the_shape_of_a_file_comes_back() {
    let mut tour = tour("shape");
    let uri = tour.folder.uri("rig.fantail");
    let document = json!({"textDocument": {"uri": uri}});
    let symbols = tour.ask("textDocument/documentSymbol", document.clone());
    assert_eq!(symbols[2]["children"][1]["name"], "hat");
    let folds = tour.ask("textDocument/foldingRange", document.clone());
    assert_eq!((&folds[0]["startLine"], &folds[0]["endLine"]), (&json!(2), &json!(5)));
    let positions = json!([{"line": 3, "character": 5}]);
    let grown = tour.ask("textDocument/selectionRange", json!({"textDocument": {"uri": uri}, "positions": positions}));
    assert_eq!(grown[0]["range"]["start"], json!({"line": 3, "character": 4}));
    assert_eq!(grown[0]["parent"]["range"]["start"], json!({"line": 3, "character": 2}));
    let hall = tour.folder.uri("hall.fantail");
    tour.client.open(&hall, 1, HALL);
    let links = tour.ask("textDocument/documentLink", json!({"textDocument": {"uri": hall}}));
    assert_eq!(links[0]["target"], json!(uri));
    let highlighted = tour.ask("textDocument/documentHighlight", tour.place("rig.fantail", 3, 5));
    assert_eq!(highlighted.as_array().unwrap().len(), 2);
    let linked = tour.ask("textDocument/linkedEditingRange", tour.place("rig.fantail", 6, 7));
    assert_eq!(linked["ranges"].as_array().unwrap().len(), 2, "the group is said in this file only");
    let linked = tour.ask("textDocument/linkedEditingRange", tour.place("rig.fantail", 3, 5));
    assert!(linked.is_null(), "the hall says the kick as well");
    let found = tour.ask("workspace/symbol", json!({"query": "dr"}));
    assert_eq!(found[0]["name"], "drums");
}

#[test]
fn notes_are_told_once_they_are_asked_for() {
    let mut tour = tour("settings");
    let uri = tour.folder.uri("rig.fantail");
    let document = json!({"textDocument": {"uri": uri}});
    let count = |told: &Value| told["items"].as_array().unwrap().iter().filter(|one| one["severity"] == 3).count();
    let before = tour.ask("textDocument/diagnostic", document.clone());
    assert_eq!(count(&before), 0);
    tour.client.notify("workspace/didChangeConfiguration", json!({"settings": {"fantail": {"notes": true}}}));
    let after = tour.ask("textDocument/diagnostic", document);
    assert!(after["items"].as_array().unwrap().len() >= before["items"].as_array().unwrap().len());
}
