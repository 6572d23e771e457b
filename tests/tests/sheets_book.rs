//! The book as text: what `tests/browser` cannot see from inside a page.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::project::{Disk, InMemory};
use fantail::sheets::{Form, Pack, Row, Weight, pack, write};
use fantail_tests::sized;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

const EXAMPLES: &[&str] = &[
    "tour/venues/quayside-hall.fantail",
    "festival/day.fantail",
    "small-desk/tin-boat.fantail",
    "theatre/salt-road.fantail",
];

fn packs() -> Vec<Pack> {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    let hostile = top.join("tests/browser/hostile.fantail");
    let roots = EXAMPLES.iter().map(|root| top.join("examples").join(root)).chain([hostile]);
    roots.map(|root| pack(&fantail::compile(&root, &Disk).plan)).collect()
}

fn book(pack: &Pack) -> String {
    let mut files = write(pack, Form::Book);
    let file = files.pop().unwrap();
    assert!(files.is_empty());
    assert_eq!(file.name, "book.html");
    String::from_utf8(file.bytes).unwrap()
}

/// What the script reads.
fn data(book: &str) -> Value {
    let text = book.split(r#"<script id="plan" type="application/json">"#).nth(1).unwrap();
    serde_json::from_str(text.split("</script>").next().unwrap()).unwrap()
}

/// The name of each number, by the paths, which the book holds in the order of the pack.
fn names<'p>(pack: &'p Pack, data: &Value) -> BTreeMap<u64, &'p str> {
    let paths = data["paths"].as_array().unwrap();
    assert_eq!(paths.len(), pack.paths.len());
    let mut names = BTreeMap::new();
    for (path, said) in pack.paths.iter().zip(paths) {
        let numbers = said["points"].as_array().unwrap();
        assert_eq!(numbers.len(), path.points.len());
        for (number, name) in numbers.iter().zip(&path.points) {
            assert_eq!(*names.entry(number.as_u64().unwrap()).or_insert(name.as_str()), name);
        }
    }
    names
}

fn attribute<'h>(tag: &'h str, name: &str) -> Option<&'h str> {
    let inside = tag.split('>').next()?;
    inside.split(&format!(" {name}=\"")).nth(1)?.split('"').next()
}

#[test]
fn every_row_carries_its_points_and_its_source() {
    for pack in packs() {
        let (book, data) = (book(&pack), data(&book(&pack)));
        let names = names(&pack, &data);
        let known: BTreeSet<&str> = names.values().copied().collect();
        let tags = book.split("<tr").skip(1).filter(|tag| !tag.starts_with(r#"><th scope="col""#));
        let rows: Vec<&Row> = pack.tables().flat_map(|(_, table)| &table.rows).collect();
        assert_eq!(tags.clone().count(), rows.len());
        for (tag, row) in tags.zip(rows).filter(|(_, row)| row.weight != Weight::Group) {
            let numbers = attribute(tag, "data-p").unwrap_or_default().split_whitespace();
            let found: Vec<&str> = numbers.map(|number| names[&number.parse().unwrap()]).collect();
            let points = row.points.iter().map(String::as_str).filter(|point| known.contains(point));
            assert_eq!(found, points.collect::<Vec<_>>(), "{tag}");
            if let Some(number) = attribute(tag, "data-s") {
                let number: usize = number.parse().unwrap();
                assert_eq!(data["sources"][number][0].as_str(), row.source.as_deref());
                assert!(tag.split("</tr>").next().unwrap().contains("<button"), "{tag}");
            }
        }
    }
}

#[test]
fn nothing_in_the_file_is_outside_its_policy() {
    for pack in packs() {
        let book = book(&pack);
        let markup = book.split("<body>").nth(1).unwrap().split("<script").next().unwrap();
        assert!(!markup.contains(" style="), "a style attribute");
        assert!(!markup.contains("<img"), "something that runs");
        for (at, _) in book.match_indices("<script") {
            let tag = book[at..].split('>').next().unwrap();
            assert!(tag == "<script" || tag.contains("application/json"), "{tag}");
        }
        assert_eq!(book.matches("<style>").count(), 2);
        let policy = book.split("http-equiv=\"Content-Security-Policy\" content=\"").nth(1).unwrap();
        let policy = policy.split('"').next().unwrap();
        assert!(policy.starts_with("default-src 'none';") && !policy.contains("unsafe"), "{policy}");
        assert_eq!(policy.matches("sha256-").count(), 3);
    }
}

#[test]
fn a_sign_frames_its_own_words_and_no_others() {
    let mut among_others = 0;
    for pack in packs() {
        // What must not be parted is kept together by a space of its own.
        let book = book(&pack).replace('\u{a0}', " ");
        for class in ["on whole", "never whole"] {
            let opened = format!("<b class=\"{class}\">");
            for (before, after) in book.match_indices(&opened).map(|(at, _)| (&book[..at], &book[at + opened.len()..]))
            {
                let framed = after.split('<').next().unwrap();
                assert!(["48 V", "48 V on", "NEVER 48 V", "never 48 V"].contains(&framed), "{framed}");
                among_others += usize::from(before.ends_with(", ") && after[framed.len()..].starts_with("</b>, "));
            }
        }
    }
    assert!(among_others > 0, "no cell of an act says 48 V among other things");
}

#[test]
fn the_same_pack_gives_the_same_book_and_it_grows_with_the_rows() {
    let of = |rows: usize| {
        let files = InMemory::default().with("show.fantail", sized::show(rows));
        book(&pack(&fantail::compile(Path::new("show.fantail"), &files).plan))
    };
    let (once, again, twice) = (of(64), of(64), of(128));
    assert_eq!(once, again);
    assert!(twice.len() < 2 * once.len() + 1000, "{} and {}", once.len(), twice.len());
}
