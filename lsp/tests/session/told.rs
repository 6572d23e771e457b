//! What a client has been told of each file: what it asked for and got whole, or as what it had.

use super::REFRESHES;
use super::client::Client;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// By file, what it went by and what it was.
type Known = BTreeMap<String, (String, Value)>;

/// What one client knows.
#[derive(Default)]
pub struct Told {
    files: Known,
    workspace: Known,
}

impl Told {
    /// The diagnostics of each file, asked for with what is known.
    pub fn of(&mut self, client: &mut Client, files: &[(String, String)]) -> BTreeMap<String, Value> {
        let mut told = BTreeMap::new();
        for (uri, _) in files {
            let before = self.files.get(uri).map(|(id, _)| id);
            let params = json!({"textDocument": {"uri": uri}, "previousResultId": before});
            let answer = client.request("textDocument/diagnostic", params);
            take(&mut self.files, uri, &answer["result"]);
            told.insert(uri.clone(), self.files[uri].1.clone());
        }
        told
    }

    /// The same, asked for all at once.
    pub fn of_workspace(&mut self, client: &mut Client, files: &[(String, String)]) -> BTreeMap<String, Value> {
        let known = self.workspace.iter().map(|(uri, (id, _))| json!({"uri": uri, "value": id}));
        let params = json!({"previousResultIds": known.collect::<Vec<_>>()});
        let answer = client.request("workspace/diagnostic", params);
        for report in answer["result"]["items"].as_array().unwrap() {
            take(&mut self.workspace, report["uri"].as_str().unwrap(), report);
        }
        let of_file = |uri: &String| self.workspace.get(uri).map_or(json!([]), |(_, items)| items.clone());
        files.iter().map(|(uri, _)| (uri.clone(), of_file(uri))).collect()
    }
}

fn take(known: &mut Known, uri: &str, report: &Value) {
    let id = report["resultId"].as_str().unwrap().to_string();
    if report["kind"] == "unchanged" {
        assert_eq!(known.get(uri).map(|(id, _)| id), Some(&id), "{uri}");
        return;
    }
    known.insert(uri.to_string(), (id, report["items"].clone()));
}

/// What a client that does not ask was sent last.
pub fn published(client: &Client, uri: &str) -> Value {
    let of_file = |one: &&Value| one["method"] == "textDocument/publishDiagnostics" && one["params"]["uri"] == uri;
    client.seen.iter().rfind(of_file).map_or(json!([]), |one| one["params"]["diagnostics"].clone())
}

/// How often the client was told to ask again, for each of what it can ask for.
pub fn refreshes(client: &mut Client) -> [usize; REFRESHES.len()] {
    client.answers();
    REFRESHES.map(|method| client.seen.iter().filter(|message| message["method"] == method).count())
}
