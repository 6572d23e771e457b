//! Sessions that nobody would plan: random edits, files that come and go, and every request that the server
//! announces in between, some cancelled, some that make no sense. Each request gets one answer, and what is
//! said in the end is what a server says that sees only the last texts.
//!
//! `FANTAIL_SESSIONS=500 FANTAIL_SEED=7 cargo test -p fantail-lsp --test session` runs so many from that seed on.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod asks;
mod checks;
#[path = "../client/mod.rs"]
mod client;
mod names;
mod texts;
mod told;

use client::{Client, Folder};
use fantail_tests::dice::Dice;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use texts::Units;
use told::Told;

const STEPS: u32 = 45;
/// So many steps until everything is held against a server that has seen nothing of what was before.
const CHECK_EVERY: u32 = 15;

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
    let (first, sessions) = (number("FANTAIL_SEED", 1), number("FANTAIL_SESSIONS", 6));
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
    /// A show of no more lines is checked whole.
    whole_up_to: u64,
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
    told: Told,
    /// How often the client had been told to ask again when something last changed on disk.
    heard: Option<[usize; REFRESHES.len()]>,
}

/// What the server asks a client for that asks for everything anew. This client answers none of it.
const REFRESHES: [&str; 4] = [
    "workspace/diagnostic/refresh",
    "workspace/semanticTokens/refresh",
    "workspace/inlayHint/refresh",
    "workspace/codeLens/refresh",
];

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
        "workspace": {
            "didChangeWatchedFiles": {"dynamicRegistration": true},
            "semanticTokens": refresh,
            "inlayHint": refresh,
            "codeLens": refresh,
        },
    });
    let folders = if settings.folder { vec![workspace(folder)] } else { Vec::new() };
    let options = json!({"notes": settings.notes, "wholeUpTo": settings.whole_up_to});
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
            let text = texts::far_from_ascii(text, &mut dice);
            if of_tour.is_some() || *name == "loose.fantail" {
                folder.write(name, &text);
            }
            files.push((folder.uri(&name.replace(' ', "%20")), text));
        }
        files.push(("untitled:Untitled-1".to_string(), "show \"Night Ferry\"\ndesk foh is desk-48\n".to_string()));
        // Each way to count with each way to be told, in any six sessions in a row.
        let units = Units::ALL[(seed % 3) as usize];
        // Desks that have nothing to do with each other: such a show is told by its parts.
        files.push(("untitled:Untitled-2".to_string(), fantail_tests::sized::show(70)));
        let whole_up_to = if dice.one_in(4) { u64::MAX } else { 0 };
        let settings = Settings { units, pulls: seed % 2 == 0, notes: false, folder: !dice.one_in(4), whole_up_to };
        let (client, announced) = start(&folder, settings);
        let (open, told) = (BTreeMap::new(), Told::default());
        Session { dice, settings, folder, client, announced, files, open, told, heard: None }
    }

    fn run(mut self) {
        for step in 1..=STEPS {
            match self.dice.below(20) {
                0..=9 => self.edit(),
                10..=14 => self.ask(),
                15..=16 => self.open_or_close(),
                17..=18 => self.disk(),
                _ => self.set(),
            }
            if step % CHECK_EVERY == 0 {
                // What nobody has changed since.
                match self.dice.below(3) {
                    0 => self.open_or_close(),
                    1 => self.disk(),
                    _ => {}
                }
                self.check();
            }
        }
        // Nothing of what was open is left.
        for uri in std::mem::take(&mut self.open).into_keys() {
            self.client.close(&uri);
        }
        self.check();
        for _ in 0..3 {
            self.disk();
        }
        self.check();
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
        let doc = self.open.get_mut(uri).unwrap();
        let changes = texts::change(&doc.text, original, &doc.past, self.settings.units, &mut self.dice);
        self.change(uri, &changes);
    }

    fn change(&mut self, uri: &str, changes: &[texts::Change]) {
        let (units, doc) = (self.settings.units, self.open.get_mut(uri).unwrap());
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
            let params = match self.dice.below(8) {
                0 => asks::bad_params(&mut self.dice),
                _ => self.params(),
            };
            let id = self.client.ask(method, params);
            if self.dice.one_in(5) {
                self.client.notify("$/cancelRequest", json!({"id": id}));
            }
        }
    }

    /// For any request, about any file.
    fn params(&mut self) -> Value {
        let (uri, text) = self.any_file();
        let text = self.open.get(&uri).map_or(text, |doc| doc.text.clone());
        let mut place = || match self.dice.one_in(4) {
            true => {
                let (line, character) = texts::place(&text, text.len(), self.settings.units);
                (self.dice.below(line + 2), self.dice.below(character + 30))
            }
            false => texts::any_word(&text, self.settings.units, &mut self.dice),
        };
        let (from, to) = (place(), place());
        let uris: Vec<String> = [uri].into_iter().chain(self.files.iter().map(|(uri, _)| uri.clone())).collect();
        asks::params(&uris, from, to, &mut self.dice)
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
        let mut text = self.dice.pick(&self.files).1;
        if self.dice.one_in(2) {
            let changes = texts::change(&text, &text, &[], self.settings.units, &mut self.dice);
            text = changes.iter().fold(text, |text, change| texts::changed(&text, change, self.settings.units));
        }
        match self.dice.below(4) {
            0 => drop(fs::rename(self.folder.0.join(one), self.folder.0.join(other))),
            1 => drop(fs::remove_file(self.folder.0.join(one))),
            _ => self.folder.write(one, &text),
        }
        self.changed_on_disk(&[one, other].map(|name| self.folder.uri(name)));
    }

    fn changed_on_disk(&mut self, uris: &[String]) {
        self.heard = Some(told::refreshes(&mut self.client));
        let changes: Vec<Value> = uris.iter().map(|uri| json!({"uri": uri, "type": 2})).collect();
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
}
