//! A new name, made wherever it is said, and the old one again: then every file is as it was.

use super::{Session, texts};
use serde_json::{Value, json};
use std::fs;
use texts::Place;

/// So many places are tried for so many names that may have another.
const TRIED: u32 = 20;
const NAMES: u32 = 4;

/// Where something is said: file, start and end.
type Said = (String, Value, Value);

impl Session {
    pub fn check_names(&mut self) {
        let (open, mut names): (Vec<String>, u32) = (self.open.keys().cloned().collect(), 0);
        for _ in 0..if open.is_empty() { 0 } else { TRIED } {
            let uri = self.dice.pick(&open);
            let place = texts::any_word(&self.open[&uri].text, self.settings.units, &mut self.dice);
            let name = self.at("textDocument/prepareRename", &uri, place, json!({}));
            if let Some(name) = name["result"]["placeholder"].as_str().filter(|_| names < NAMES) {
                self.there_and_back(&uri, place, name);
                names += 1;
            }
        }
    }

    fn at(&mut self, method: &str, uri: &str, (line, character): Place, mut params: Value) -> Value {
        params["textDocument"] = json!({"uri": uri});
        params["position"] = json!({"line": line, "character": character});
        self.client.request(method, params)
    }

    fn there_and_back(&mut self, uri: &str, place: Place, name: &str) {
        let before = self.texts();
        let new = format!("zz-{name}-\u{592a}");
        let Some((place, said)) = self.renamed(uri, place, &new) else { return };
        let (_, again) = self.renamed(uri, place, name).unwrap_or_else(|| panic!("`{new}` is not `{name}` again"));
        assert_eq!(said, again, "`{name}` and `{new}` are said in other places");
        assert_eq!(self.texts(), before, "`{name}`, `{new}` and back");
    }

    /// Gives a name another; where the name stands then, and how often each file says it. `None` where it may not.
    fn renamed(&mut self, uri: &str, place: Place, new: &str) -> Option<(Place, Vec<String>)> {
        let all = json!({"context": {"includeDeclaration": true}});
        let references = self.at("textDocument/references", uri, place, all);
        let mut places: Vec<Said> =
            references["result"].as_array().unwrap().iter().map(|one| said(&one["uri"], one)).collect();
        let answer = self.at("textDocument/rename", uri, place, json!({"newName": new}));
        let changes = answer["result"]["changes"].as_object()?.clone();
        let edits = changes.iter().flat_map(|(uri, edits)| edits.as_array().unwrap().iter().map(move |one| (uri, one)));
        let mut edited: Vec<Said> = edits.map(|(uri, one)| said(&json!(uri), one)).collect();
        let sort = |one: &Said| (one.0.clone(), one.1["line"].as_u64(), one.1["character"].as_u64());
        places.sort_by_key(sort);
        edited.sort_by_key(sort);
        assert_eq!(edited, places, "what is renamed and what is found");
        // The library's own files are on a shelf, and nobody edits them.
        let files: Vec<String> = changes.keys().cloned().collect();
        let after = self.moved(place, &changes[uri]);
        for (uri, edits) in &changes {
            self.edit_by(uri, edits);
        }
        let on_disk: Vec<String> = files.into_iter().filter(|uri| !self.open.contains_key(uri)).collect();
        if !on_disk.is_empty() {
            self.changed_on_disk(&on_disk);
        }
        Some((after, edited.into_iter().map(|(uri, ..)| uri).collect()))
    }

    /// The edits of one file, the last first: one change of an open text, else of the file.
    fn edit_by(&mut self, uri: &str, edits: &Value) {
        let place = |at: &Value| -> Place {
            let number = |key: &str| at[key].as_u64().unwrap() as u32;
            (number("line"), number("character"))
        };
        if !self.open.contains_key(uri) {
            let path = uri.strip_prefix("file://").unwrap().replace("%20", " ");
            let text = fs::read_to_string(&path).unwrap();
            return fs::write(path, texts::applied(&text, edits, self.settings.units)).unwrap();
        }
        let change = |one: &Value| {
            let range = (place(&one["range"]["start"]), place(&one["range"]["end"]));
            (Some(range), one["newText"].as_str().unwrap().to_string())
        };
        let mut changes: Vec<texts::Change> = edits.as_array().unwrap().iter().map(change).collect();
        changes.sort();
        changes.reverse();
        self.change(uri, &changes);
    }

    /// Where the word at a place begins once these edits of its file are made.
    fn moved(&self, (line, character): Place, edits: &Value) -> Place {
        let number = |at: &Value, key: &str| at[key].as_u64().unwrap() as u32;
        let of_line = edits.as_array().unwrap().iter().filter(|one| number(&one["range"]["start"], "line") == line);
        let moved = of_line.fold(character, |moved, one| {
            let (first, last) =
                (number(&one["range"]["start"], "character"), number(&one["range"]["end"], "character"));
            let new = self.settings.units.of(one["newText"].as_str().unwrap());
            match last < character {
                true => moved + new - (last - first),
                false if first <= character => moved - (character - first),
                false => moved,
            }
        });
        (line, moved)
    }

    /// Every text, open or on disk.
    fn texts(&self) -> Vec<Option<String>> {
        let on_disk = |uri: &str| fs::read_to_string(uri.strip_prefix("file://")?.replace("%20", " ")).ok();
        let text = |uri: &String| self.open.get(uri).map(|doc| doc.text.clone()).or_else(|| on_disk(uri));
        self.files.iter().map(|(uri, _)| text(uri)).collect()
    }
}

fn said(uri: &Value, at: &Value) -> Said {
    (uri.as_str().unwrap().to_string(), at["range"]["start"].clone(), at["range"]["end"].clone())
}
