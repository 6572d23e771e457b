//! Sessions that nobody would plan: random edits, files that come and go, and every request that the server
//! announces in between, some cancelled, some that make no sense. Each request gets one answer, and what is
//! said in the end is what a server says that sees only the last texts.
//!
//! `FANTAIL_SESSIONS=500 FANTAIL_SEED=7 cargo test -p fantail-lsp --test session` runs so many from that seed on.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod asks;
#[path = "../client/mod.rs"]
mod client;
mod texts;

use client::{Client, Folder};
use fantail_tests::dice::Dice;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::time::{Duration, Instant};
use texts::Units;

const STEPS: u32 = 45;
/// So many steps until everything is held against a server that has seen nothing of what was before.
const CHECK_EVERY: u32 = 15;
const PATIENCE: Duration = Duration::from_secs(20);

/// The rig, two venues that change it, a part that nobody includes, and names that files may get.
const FILES: &[&str] = &[
    "rig.fantail",
    "venues/quayside-hall.fantail",
    "venues/lantern-shed.fantail",
    "loose.fantail",
    "gear.fantail",
    "venues/new hall.fantail",
];

#[test]
fn sessions_end_as_they_would_have_begun() {
    let number = |name: &str, usual| std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual);
    let (first, sessions) = (number("FANTAIL_SEED", 1), number("FANTAIL_SESSIONS", 4));
    for seed in first..first + sessions {
        eprintln!("session FANTAIL_SEED={seed}");
        Session::new(seed).run();
    }
}

/// An open text.
struct Doc {
    version: i32,
    text: String,
    past: Vec<String>,
}

/// What a server is told when it starts.
#[derive(Clone, Copy)]
struct Settings {
    units: Units,
    /// The client asks for diagnostics; else they are sent.
    pulls: bool,
    notes: bool,
    folder: bool,
}

struct Session {
    dice: Dice,
    settings: Settings,
    folder: Folder,
    client: Client,
    announced: Vec<&'static str>,
    /// All files that there may be, and what they are at first.
    files: Vec<(String, String)>,
    open: BTreeMap<String, Doc>,
}

fn start(folder: &Folder, settings: Settings) -> (Client, Vec<&'static str>) {
    let refresh = json!({"refreshSupport": true});
    let mut text = json!({"completion": {"completionItem": {"snippetSupport": true}}});
    if settings.pulls {
        text["diagnostic"] = json!({});
    }
    let capabilities = json!({
        "general": {"positionEncodings": [settings.units.name()]},
        "textDocument": text,
        "window": {"workDoneProgress": true},
        "workspace": {"didChangeWatchedFiles": {"dynamicRegistration": true}, "semanticTokens": refresh},
    });
    let folders = if settings.folder { vec![workspace(folder)] } else { Vec::new() };
    let options = json!({"notes": settings.notes});
    let params = json!({"capabilities": capabilities, "workspaceFolders": folders, "initializationOptions": options});
    let mut client = Client::start();
    let answer = client.request("initialize", params);
    client.notify("initialized", json!({}));
    (client, asks::announced(&answer["result"]["capabilities"]))
}

fn workspace(folder: &Folder) -> Value {
    json!({"uri": format!("file://{}", folder.0.display()), "name": "tour"})
}

impl Session {
    fn new(seed: u64) -> Session {
        let mut dice = Dice(seed);
        let folder = Folder::new(&format!("session-{seed}"));
        fs::create_dir_all(folder.0.join("venues")).unwrap();
        let tour = fantail_tests::texts::files("examples/tour");
        let mut files = Vec::new();
        for name in FILES {
            let of_tour = tour.iter().find(|(known, _)| known.ends_with(&format!("tour/{name}")));
            let text = of_tour.map_or("inputs foh {\n  1  kick  dynamic\n}\n", |(_, text)| text);
            files.push((folder.uri(&name.replace(' ', "%20")), text.to_string()));
            if of_tour.is_some() || *name == "loose.fantail" {
                folder.write(name, text);
            }
        }
        files.push(("untitled:Untitled-1".to_string(), "show \"Night Ferry\"\ndesk foh is desk-48\n".to_string()));
        let settings =
            Settings { units: dice.pick(&Units::ALL), pulls: !dice.one_in(3), notes: false, folder: !dice.one_in(4) };
        let (client, announced) = start(&folder, settings);
        Session { dice, settings, folder, client, announced, files, open: BTreeMap::new() }
    }

    fn run(mut self) {
        for step in 1..=STEPS {
            match self.dice.below(20) {
                0..=10 => self.edit(),
                11..=15 => self.ask(),
                16 => self.open_or_close(),
                17..=18 => self.disk(),
                _ => self.set(),
            }
            if step % CHECK_EVERY == 0 {
                self.check();
            }
        }
        let answer = self.client.request("shutdown", Value::Null);
        assert!(answer.get("error").is_none(), "{answer}");
        self.client.notify("exit", Value::Null);
        assert_eq!(self.client.status(), Some(0));
        let counts = self.client.answers();
        assert!(counts.iter().all(|answers| *answers == 1), "answers by request: {counts:?}");
    }

    fn any_file(&mut self) -> (String, String) {
        self.dice.pick(&self.files)
    }

    fn edit(&mut self) {
        let open: Vec<String> = self.open.keys().cloned().collect();
        if open.is_empty() {
            return self.open_or_close();
        }
        let uri = self.dice.pick(&open);
        self.edit_file(&uri);
    }

    fn edit_file(&mut self, uri: &str) {
        let original = self.files.iter().find(|(known, _)| known == uri).map(|(_, text)| text).unwrap();
        let (units, doc) = (self.settings.units, self.open.get_mut(uri).unwrap());
        let changes = texts::change(&doc.text, original, &doc.past, units, &mut self.dice);
        doc.past.push(doc.text.clone());
        doc.text = changes.iter().fold(doc.text.clone(), |text, change| texts::changed(&text, change, units));
        doc.version += 1 + self.dice.below(3) as i32;
        let said: Vec<Value> = changes.iter().map(texts::said).collect();
        let document = json!({"uri": uri, "version": doc.version});
        self.client.notify("textDocument/didChange", json!({"textDocument": document, "contentChanges": said}));
    }

    fn ask(&mut self) {
        for _ in 0..self.dice.within(1, 4) {
            let method = self.dice.pick(&self.announced);
            let (uri, text) = self.any_file();
            let text = self.open.get(&uri).map_or(text, |doc| doc.text.clone());
            let mut place = || {
                let (line, character) = texts::place(&text, text.len(), self.settings.units);
                (self.dice.below(line + 2), self.dice.below(character + 30))
            };
            let (from, to) = (place(), place());
            let mut uris = vec![uri];
            uris.extend(self.files.iter().map(|(uri, _)| uri.clone()));
            let params = match self.dice.below(8) {
                0 => asks::bad_params(&mut self.dice),
                _ => asks::params(&uris, from, to, &mut self.dice),
            };
            let id = self.client.ask(method, params);
            if self.dice.one_in(5) {
                self.client.notify("$/cancelRequest", json!({"id": id}));
            }
        }
    }

    fn open_or_close(&mut self) {
        let (uri, text) = self.any_file();
        let version = self.dice.below(9) as i32;
        match self.dice.below(8) {
            // Also what is not open.
            0..=1 => {
                self.client.close(&uri);
                self.open.remove(&uri);
            }
            // A change of what may not be open is a change of nothing.
            2 if !self.open.contains_key(&uri) => self.client.change(&uri, version, (0, 0), (0, 1), "x"),
            // Also what is open already.
            _ => {
                self.client.open(&uri, version, &text);
                self.open.insert(uri, Doc { version, text, past: Vec::new() });
            }
        }
    }

    fn disk(&mut self) {
        let (one, other) = (self.dice.pick(FILES), self.dice.pick(FILES));
        let text = self.dice.pick(&self.files).1;
        match self.dice.below(3) {
            0 => drop(fs::rename(self.folder.0.join(one), self.folder.0.join(other))),
            1 => drop(fs::remove_file(self.folder.0.join(one))),
            _ => self.folder.write(one, &text),
        }
        let changes = [one, other].map(|name| json!({"uri": self.folder.uri(name), "type": 2}));
        self.client.notify("workspace/didChangeWatchedFiles", json!({"changes": changes}));
    }

    fn set(&mut self) {
        match self.dice.below(3) {
            0 => {
                self.settings.notes = self.dice.one_in(2);
                let settings = json!({"fantail": {"notes": self.settings.notes}});
                self.client.notify("workspace/didChangeConfiguration", json!({"settings": settings}));
            }
            1 => {
                self.settings.folder = !self.settings.folder;
                let (one, none) = (json!([workspace(&self.folder)]), json!([]));
                let (added, removed) = if self.settings.folder { (one, none) } else { (none, one) };
                let event = json!({"added": added, "removed": removed});
                self.client.notify("workspace/didChangeWorkspaceFolders", json!({"event": event}));
            }
            _ => {
                let uri = self.any_file().0;
                self.client.notify("textDocument/didSave", json!({"textDocument": {"uri": uri}}));
            }
        }
    }

    /// Everything is answered, and as if nothing had been before.
    fn check(&mut self) {
        let until = Instant::now() + PATIENCE;
        while self.client.answers().contains(&0) {
            assert!(Instant::now() < until, "not answered: {:?}", self.client.answers());
            std::thread::sleep(Duration::from_millis(2));
        }
        for uri in self.open.keys().cloned().collect::<Vec<_>>() {
            self.check_layout(&uri);
            self.check_colours(&uri);
        }
        self.check_diagnostics();
    }

    fn check_layout(&mut self, uri: &str) {
        let options = json!({"tabSize": 2, "insertSpaces": true});
        let params = json!({"textDocument": {"uri": uri}, "options": options});
        let edits = self.client.request("textDocument/formatting", params)["result"].clone();
        let text = &self.open[uri].text;
        assert_eq!(texts::applied(text, &edits, self.settings.units), fantail::syntax::tidy::tidy(text), "{uri}");
    }

    /// What differs, put into what was sent, is what is sent whole.
    fn check_colours(&mut self, uri: &str) {
        let document = json!({"textDocument": {"uri": uri}});
        let before = self.client.request("textDocument/semanticTokens/full", document.clone())["result"].clone();
        self.edit_file(uri);
        let params = json!({"textDocument": {"uri": uri}, "previousResultId": before["resultId"]});
        let delta = self.client.request("textDocument/semanticTokens/full/delta", params)["result"].clone();
        let mut patched = before["data"].as_array().unwrap_or_else(|| panic!("no colours of {uri}")).clone();
        for edit in delta["edits"].as_array().unwrap_or_else(|| panic!("not what differs: {delta}")).iter().rev() {
            let number = |key: &str| edit[key].as_u64().unwrap() as usize;
            let new = edit["data"].as_array().cloned().unwrap_or_default();
            patched.splice(number("start")..number("start") + number("deleteCount"), new);
        }
        let whole = self.client.request("textDocument/semanticTokens/full", document)["result"].clone();
        assert_eq!(json!(patched), whole["data"], "{uri}");
    }

    fn check_diagnostics(&mut self) {
        let (mut fresh, _) = start(&self.folder, self.settings);
        for (uri, doc) in &self.open {
            fresh.open(uri, doc.version, &doc.text);
        }
        let until = Instant::now() + PATIENCE;
        loop {
            // A client asks again when it is told to: the disk is looked through beside everything else.
            let told = refreshes(&mut self.client) + refreshes(&mut fresh);
            let (here, there) = (self.diagnostics(), told_of(&mut fresh, &self.files));
            if here == there && self.shown() {
                return;
            }
            while self.settings.pulls && refreshes(&mut self.client) + refreshes(&mut fresh) == told {
                assert!(Instant::now() < until, "here {here:#?}\nafresh {there:#?}");
                std::thread::sleep(Duration::from_millis(5));
            }
            assert!(Instant::now() < until, "here {here:#?}\nafresh {there:#?}");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    fn diagnostics(&mut self) -> BTreeMap<String, Value> {
        told_of(&mut self.client, &self.files)
    }

    /// To a client that does not ask, the last that was sent is what it would be told.
    fn shown(&mut self) -> bool {
        if self.settings.pulls {
            return true;
        }
        let told = self.diagnostics();
        let published = |uri: &str| {
            let of_file =
                |one: &&Value| one["method"] == "textDocument/publishDiagnostics" && one["params"]["uri"] == uri;
            self.client.seen.iter().rfind(of_file).map_or(json!([]), |one| one["params"]["diagnostics"].clone())
        };
        told.iter().all(|(uri, told)| published(uri) == *told)
    }
}

/// How often the client was told to ask for diagnostics again.
fn refreshes(client: &mut Client) -> usize {
    client.answers();
    client.seen.iter().filter(|message| message["method"] == "workspace/diagnostic/refresh").count()
}

fn told_of(client: &mut Client, files: &[(String, String)]) -> BTreeMap<String, Value> {
    let mut told = BTreeMap::new();
    for (uri, _) in files {
        let params = json!({"textDocument": {"uri": uri}});
        let answer = client.request("textDocument/diagnostic", params);
        told.insert(uri.clone(), answer["result"]["items"].clone());
    }
    told
}
