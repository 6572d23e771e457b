//! What must hold whatever was before: everything is answered, layout and colours are those of the text, and all
//! that is said is what a server says that has seen only the last texts.

use super::client::Client;
use super::told::{self, Told};
use super::{Session, Settings, start, texts};
use serde_json::{Value, json};
use std::time::{Duration, Instant};

const PATIENCE: Duration = Duration::from_secs(20);
/// So many requests of any sort are asked of both.
const ASKED: u32 = 40;

impl Session {
    pub fn check(&mut self) {
        let until = Instant::now() + PATIENCE;
        while self.client.answers().contains(&0) {
            assert!(Instant::now() < until, "not answered: {:?}", self.client.answers());
            std::thread::sleep(Duration::from_millis(2));
        }
        for uri in self.open.keys().cloned().collect::<Vec<_>>() {
            self.check_layout(&uri);
            self.check_colours(&uri);
        }
        self.check_afresh();
        self.check_refreshes();
        self.check_names();
    }

    fn check_layout(&mut self, uri: &str) {
        let options = json!({"tabSize": 2, "insertSpaces": true});
        let params = json!({"textDocument": {"uri": uri}, "options": options});
        let edits = self.client.request("textDocument/formatting", params)["result"].clone();
        let text = &self.open[uri].text;
        assert_eq!(texts::applied(text, &edits, self.settings.units), fantail::syntax::tidy::tidy(text), "{uri}");
    }

    /// What differs, put into what was sent, is what is sent whole; by whatever number one asks.
    fn check_colours(&mut self, uri: &str) {
        let document = json!({"textDocument": {"uri": uri}});
        let full = "textDocument/semanticTokens/full";
        let mut sent = vec![self.client.request(full, document.clone())["result"].clone()];
        for _ in 0..2 {
            self.edit_file(uri);
            let last = self.delta(uri, &sent[sent.len() - 1]);
            sent.push(last);
        }
        let early = self.delta(uri, &sent[0]);
        let whole = self.client.request(full, document)["result"]["data"].clone();
        assert_eq!((&sent[2]["data"], &early["data"]), (&whole, &whole), "{uri}");
    }

    /// What was sent, with what differs since.
    fn delta(&mut self, uri: &str, sent: &Value) -> Value {
        let params = json!({"textDocument": {"uri": uri}, "previousResultId": sent["resultId"]});
        let delta = self.client.request("textDocument/semanticTokens/full/delta", params)["result"].clone();
        let Some(edits) = delta["edits"].as_array() else { return delta };
        let mut data = sent["data"].as_array().unwrap_or_else(|| panic!("no colours of {uri}")).clone();
        for edit in edits.iter().rev() {
            let number = |key: &str| edit[key].as_u64().unwrap() as usize;
            let new = edit["data"].as_array().cloned().unwrap_or_default();
            data.splice(number("start")..number("start") + number("deleteCount"), new);
        }
        json!({"resultId": delta["resultId"], "data": data})
    }

    /// A server that sees only the last texts.
    fn afresh(&self, settings: Settings) -> Client {
        let (mut fresh, _) = start(&self.folder, settings);
        for (uri, doc) in &self.open {
            fresh.open(uri, doc.version, &doc.text);
        }
        fresh
    }

    /// Asked until both say the same: the disk is looked through beside everything else. A third checks every
    /// show whole.
    fn check_afresh(&mut self) {
        let mut fresh = self.afresh(self.settings);
        let mut whole = self.afresh(Settings { whole_up_to: u64::MAX, ..self.settings });
        let asked: Vec<(&str, Value)> = (0..ASKED).map(|_| (self.dice.pick(&self.announced), self.params())).collect();
        let until = Instant::now() + PATIENCE;
        loop {
            let here = self.told.of(&mut self.client, &self.files);
            let there = Told::default().of(&mut fresh, &self.files);
            let all = self.told.of_workspace(&mut self.client, &self.files);
            let pulls = self.settings.pulls;
            let shown = || here.iter().all(|(uri, told)| pulls || told::published(&self.client, uri) == *told);
            let by_parts = here == Told::default().of(&mut whole, &self.files);
            let other = match by_parts && here == there && here == all && shown() {
                true => asked.iter().find_map(|(method, params)| {
                    let (mut one, mut other) =
                        (self.client.request(method, params.clone()), fresh.request(method, params.clone()));
                    let (one, other) = (bare(&mut one), bare(&mut other));
                    (one != other).then(|| format!("{method} {params}\nhere {one:?}\nafresh {other:?}"))
                }),
                false => Some(format!("here {here:#?}\nin all {all:#?}\nafresh {there:#?}")),
            };
            let Some(other) = other else { return };
            assert!(Instant::now() < until, "{other}");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// After a change on disk a client that asks is told to, whatever it has to ask for.
    fn check_refreshes(&mut self) {
        let Some(before) = self.heard.take() else { return };
        let wanted = |at: &usize| *at > 0 || self.settings.pulls;
        let until = Instant::now() + PATIENCE;
        loop {
            let now = told::refreshes(&mut self.client);
            if (0..now.len()).filter(wanted).all(|at| now[at] > before[at]) {
                return;
            }
            assert!(Instant::now() < until, "told to ask again {before:?} times, then {now:?}");
            std::thread::sleep(Duration::from_millis(5));
        }
    }
}

/// Without the numbers that an answer goes by.
fn bare(answer: &mut Value) -> (Value, Value) {
    let mut result = answer["result"].take();
    if let Some(result) = result.as_object_mut() {
        result.remove("resultId");
    }
    (result, answer["error"].take())
}
