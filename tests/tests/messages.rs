//! Every message of the rules' pages in one page, to be read aloud in one sitting: one voice, the user's nouns, one
//! concrete edit. `BLESS=1` writes it. And what a voice never does.
#![allow(clippy::unwrap_used)]

use fantail::diagnostics::Diagnostic;
use fantail::project::InMemory;
use fantail::rules::{ALL, page};
use std::fmt::Write;
use std::path::Path;

fn told(rule: &fantail::rules::Rule) -> Vec<Diagnostic> {
    let example = page::parse(rule.page).unwrap().caught;
    let Some(root) = example.root() else { return Vec::new() };
    let with = |files: InMemory, file: &page::ExampleFile| files.with(&file.name, file.text.as_str());
    let files = example.files.iter().fold(InMemory::default(), with);
    fantail::compile(Path::new(&root.name), &files).diagnostics.into_iter().filter(|d| d.rule == rule.slug).collect()
}

#[test]
fn the_page_of_messages_is_current() {
    let mut text = String::from("# What the rules say\n\nFrom the pages' examples. `BLESS=1` writes it.\n");
    for rule in ALL {
        for diagnostic in told(rule) {
            let _ = writeln!(text, "\n{} {}\n  {}", rule.severity.word(), rule.slug, diagnostic.message);
            for label in &diagnostic.labels {
                let _ = writeln!(text, "  - {}", label.message);
            }
            for help in &diagnostic.help {
                let _ = writeln!(text, "  > {help}");
            }
        }
    }
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("messages.md");
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&path, &text).unwrap();
    }
    assert!(std::fs::read_to_string(&path).unwrap_or_default() == text, "BLESS=1 writes tests/messages.md");
}

/// One sentence without a full stop, no shouting, nothing of the compiler's insides, an edit to make.
#[test]
fn the_voice_is_one() {
    let mut wrong = Vec::new();
    for rule in ALL {
        for diagnostic in told(rule) {
            let mut say = |what: &str, text: &str| wrong.push(format!("{}: {what}: {text}", rule.slug));
            for text in std::iter::once(&diagnostic.message).chain(&diagnostic.help) {
                if text.ends_with(['.', '!', ' ']) || text.is_empty() {
                    say("ends oddly", text);
                }
                if text.matches('`').count() % 2 == 1 {
                    say("a quote is left open", text);
                }
                for inside in
                    ["Some(", "None", "{:?}", "usize", "span", "token", "parse", "invalid", "illegal", "please"]
                {
                    if text.split(|c: char| !c.is_alphanumeric() && !"({:?".contains(c)).any(|word| word == inside) {
                        say("a word of no technician", text);
                    }
                }
            }
            // What was expected is itself what to write.
            let expected = diagnostic.message.starts_with("expected ");
            if diagnostic.help.is_empty() && diagnostic.is_error() && !expected {
                say("no edit is offered", &diagnostic.message);
            }
        }
    }
    assert!(wrong.is_empty(), "{} messages:\n{}", wrong.len(), wrong.join("\n"));
}
