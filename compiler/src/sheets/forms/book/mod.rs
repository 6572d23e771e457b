//! The book: every sheet of the pack in one HTML file that works offline, on a phone, by keyboard and on paper.
//! The file asks for nothing outside itself, and its own policy forbids it: styles and the script are known by
//! their hashes, so nothing that a name says can run.

mod numbers;
mod pages;
mod paper;
mod parts;
mod table;

use super::super::pictures;
use super::super::sheet::{Pack, Sheet};
use super::File;
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use numbers::Numbers;
use sha2::{Digest, Sha256};

const STYLE: &str = concat!(include_str!("plain.css"), include_str!("screen.css"), include_str!("print.css"));

/// In one piece, so that it has one hash.
const SCRIPT: &str = concat!(
    include_str!("js/state.js"),
    include_str!("js/steps.js"),
    include_str!("js/light.js"),
    include_str!("js/search.js"),
    include_str!("js/ticks.js"),
    include_str!("js/start.js"),
);

/// The reader of what concerns all.
const EVERYBODY: &str = "everybody";

pub(super) fn files(pack: &Pack) -> Vec<File> {
    vec![File { name: "book.html".to_string(), bytes: page(pack).into_string().into_bytes() }]
}

/// A pack with what its book counts by.
struct Book<'p> {
    pack: &'p Pack,
    numbers: Numbers<'p>,
    /// Whom there are sheets for, in the order in which they come up.
    readers: Vec<&'static str>,
}

impl<'p> Book<'p> {
    fn of(pack: &'p Pack) -> Self {
        let mut readers = Vec::new();
        for sheet in &pack.sheets {
            for reader in self::readers(sheet) {
                if !readers.contains(&reader) {
                    readers.push(reader);
                }
            }
        }
        Book { pack, numbers: Numbers::of(pack), readers }
    }

    /// How people call the act of a sheet.
    fn act(&self, sheet: &'p Sheet) -> Option<&'p str> {
        let name = sheet.act.as_deref()?;
        let titled = self.pack.acts.iter().find(|(act, _)| act == name);
        Some(titled.map_or(name, |(_, title)| title))
    }
}

/// Whom a sheet is for, one by one: `front of house, monitors and stage crew`. Nobody by name where it is for all.
fn readers(sheet: &Sheet) -> Vec<&'static str> {
    if sheet.reader == EVERYBODY {
        return Vec::new();
    }
    sheet.reader.split(" and ").flat_map(|some| some.split(", ")).collect()
}

fn page(pack: &Pack) -> Markup {
    let book = Book::of(pack);
    let paper = paper::style(&book);
    let policy = format!(
        "default-src 'none'; style-src {} {}; script-src {}; img-src data:; base-uri 'none'; form-action 'none'",
        hash(STYLE),
        hash(&paper),
        hash(SCRIPT)
    );
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                // Without it some browsers ask a server for an icon.
                link rel="icon" href="data:,";
                title { (pack.head.line()) ", " (pack.mark) }
                style { (PreEscaped(STYLE)) }
                style { (PreEscaped(&paper)) }
            }
            body {
                a.skip href="#sheets" { "To the sheets" }
                (head(&book))
                (tools(&book))
                div.desk {
                    (contents(&book))
                    main #sheets tabindex="-1" {
                        @for (number, sheet) in pack.sheets.iter().enumerate() { (parts::sheet(&book, number, sheet)) }
                    }
                }
                // Data, which no policy runs.
                script type="application/json" #plan { (PreEscaped(book.numbers.json(pack))) }
                script { (PreEscaped(SCRIPT)) }
            }
        }
    }
}

fn hash(text: &str) -> String {
    format!("'sha256-{}'", BASE64_STANDARD.encode(Sha256::digest(text)))
}

fn head(book: &Book) -> Markup {
    let head = &book.pack.head;
    html! {
        header.head {
            div {
                h1 { (parts::broken(&head.show)) }
                @let rest: Vec<&str> = head.venue.iter().chain(&head.date).map(String::as_str).collect();
                p { (parts::broken(&rest.join(", "))) }
            }
            div.mark { (PreEscaped(pictures::pattern(&book.pack.mark))) p { "Version " b { (book.pack.mark) } } }
        }
    }
}

/// Hidden until the script runs: without it there is nothing to choose.
fn tools(book: &Book) -> Markup {
    html! {
        section.tools #tools aria-label="Find and choose" hidden {
            search.find {
                label for="find" { "Find " kbd { "/" } }
                input #find type="search" autocomplete="off" spellcheck="false" aria-describedby="found";
                button type="button" #find-back aria-label="Previous hit" { "▲" }
                button type="button" #find-on aria-label="Next hit" { "▼" }
                p #found role="status" {}
            }
            div.choose {
                @if book.readers.len() > 1 {
                    label for="reader" { "Sheets for" }
                    select #reader {
                        option value="" { (EVERYBODY) }
                        @for reader in &book.readers { option value=(reader) { (reader) } }
                    }
                }
                @if !book.pack.acts.is_empty() {
                    label for="act" { "Act" }
                    select #act {
                        option value="" { "all acts" }
                        @for (name, title) in &book.pack.acts { option value=(name) { (title) } }
                    }
                }
                button type="button" #untick hidden { "Clear ticks" }
                button type="button" #print { "Print" }
            }
            div.lamp #lamp hidden {
                div.told role="group" aria-label="The lit path" tabindex="0" { div #lit role="status" {} }
                div.step {
                    button type="button" #lit-back aria-label="Previous place on the path" { "▲" }
                    button type="button" #lit-on aria-label="Next place on the path" { "▼" }
                    button type="button" #lit-off { "Clear " kbd { "Esc" } }
                }
            }
        }
    }
}

fn contents(book: &Book) -> Markup {
    html! {
        nav.contents aria-labelledby="contents" {
            h2 #contents { "Sheets" }
            ol {
                @for sheet in &book.pack.sheets {
                    li {
                        a href=(format!("#{}", parts::id(sheet))) { (parts::broken(&sheet.title)) }
                        " " span { (parts::for_whom(book, sheet)) }
                    }
                }
            }
        }
    }
}
