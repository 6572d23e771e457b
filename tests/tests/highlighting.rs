//! What editors colour by is written from the compiler's one list of words: the list as JSON, the TextMate
//! grammar, the words of the vim files and those of the tree-sitter scanner. With `BLESS=1` it writes them.

use fantail_tests::texts::top;
use fantail_tests::words::{LISTS, units};
use std::collections::BTreeMap;
use std::fs;

const SAID: &str = "Written from compiler/src/syntax/words.rs.";

/// Compares a file with what it should hold, or writes it.
fn is_current(file: &str, wanted: &str) {
    let path = top().join(file);
    if std::env::var_os("BLESS").is_some() {
        fs::write(&path, wanted).unwrap();
    }
    let found = fs::read_to_string(&path).unwrap_or_default();
    assert!(found == wanted, "{file} is out of date: run this test with BLESS=1 and read the diff");
}

fn quoted(words: &[&str]) -> String {
    words.iter().map(|word| format!("{word:?}")).collect::<Vec<_>>().join(", ")
}

#[test]
fn the_list_as_json() {
    let lists = LISTS.iter().map(|(name, words)| (*name, words.to_vec())).chain([("units", units())]);
    let lines: Vec<String> = lists.map(|(name, words)| format!("  \"{name}\": [{}]", quoted(&words))).collect();
    is_current("grammar/words.json", &format!("{{\n{}\n}}\n", lines.join(",\n")));
}

#[test]
fn the_words_of_the_scanner() {
    let words = list("statement_words").iter().map(|word| format!("  {word:?},\n")).collect::<String>();
    let text = format!("// {SAID}\nstatic const char *const STATEMENT_WORDS[] = {{\n{words}}};\n");
    is_current("grammar/tree-sitter-fantail/src/statement_words.h", &text);
}

fn list(name: &str) -> &'static [&'static str] {
    LISTS.iter().find(|(known, _)| *known == name).map(|(_, words)| *words).unwrap()
}

/// Each `{{part}}` of the template is a list of words or one of its own `where`.
#[test]
fn the_textmate_grammar() {
    let template = fs::read_to_string(top().join("grammar/textmate/template.json")).unwrap();
    let parsed: serde_json::Value = serde_json::from_str(&template).unwrap();
    let mut parts: BTreeMap<String, String> = BTreeMap::new();
    for (name, words) in LISTS {
        // The longer first: `side-fill` before `side`.
        let mut words = words.to_vec();
        words.sort_by_key(|word| (std::cmp::Reverse(word.len()), *word));
        parts.insert(name.to_string(), words.join("|"));
    }
    let units = units().iter().map(|unit| unit.replace(' ', r"\s+").replace('/', r"\s*/\s*")).collect::<Vec<_>>();
    parts.insert("units".to_string(), units.join("|"));
    for (name, part) in parsed["where"].as_object().unwrap() {
        parts.insert(name.clone(), part.as_str().unwrap().to_string());
    }
    let (before, after) = template.split_once("  \"where\": {").unwrap();
    let mut text = format!("{before}  \"comment\": \"{SAID}\",{}", after.split_once("  },").unwrap().1);
    while let Some((before, after)) = text.split_once("{{") {
        let (name, after) = after.split_once("}}").unwrap();
        let part = serde_json::to_string(&parts[name]).unwrap();
        text = format!("{before}{}{after}", &part[1..part.len() - 1]);
    }
    serde_json::from_str::<serde_json::Value>(&text).unwrap();
    is_current("grammar/textmate/fantail.tmLanguage.json", &text);
}

/// A group of vim's for each list that its syntax needs, between two comments.
#[test]
fn the_words_of_vim() {
    let file = "grammar/vim/syntax/fantail.vim";
    let text = fs::read_to_string(top().join(file)).unwrap();
    let (before, after) = text.split_once("\" words: begin\n").unwrap();
    let (_, after) = after.split_once("\" words: end\n").unwrap();
    let words: String = LISTS.iter().map(|(name, words)| format!("let s:{name} = '{}'\n", words.join("|"))).collect();
    let units = units().iter().map(|unit| unit.replace(' ', r"\s+").replace('/', r"\s*/\s*")).collect::<Vec<_>>();
    let units = format!("let s:units = '{}'\n", units.join("|"));
    is_current(file, &format!("{before}\" words: begin\n\" {SAID}\n{words}{units}\" words: end\n{after}"));
}
