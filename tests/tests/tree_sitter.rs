//! Holds the tree-sitter grammar to the compiler: where a row reads, both see the same statements, rows,
//! attributes and names at the same places; where one does not, only that row is broken.

use fantail::source::FileId;
use fantail::syntax::{TokenKind, parse, tokens::tokens};
use fantail_tests::texts;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use tree_sitter::{Language, Node, Parser, Tree};

type Places = BTreeSet<(usize, usize)>;

fn language() -> Language {
    tree_sitter_fantail::LANGUAGE.into()
}

fn tree(text: &str) -> Tree {
    let mut parser = Parser::new();
    parser.set_language(&language()).unwrap();
    parser.parse(text, None).unwrap()
}

fn nodes(tree: &Tree) -> Vec<Node<'_>> {
    let (mut out, mut cursor) = (Vec::new(), tree.walk());
    let mut next = vec![tree.root_node()];
    while let Some(node) = next.pop() {
        out.push(node);
        next.extend(node.children(&mut cursor));
    }
    out
}

/// Nodes that stand for something the compiler keeps the place of.
const COUNTED: &[&str] = &[
    "attribute",
    "name",
    "number",
    "range",
    "quantity",
    "date",
    "time",
    "text",
    "point",
    "dotted",
    "numbers",
    "place",
    "use",
    "numbers_on",
    "mode",
    "size",
    "input_row",
    "output_row",
    "personal_row",
    "carrier_row",
    "model_row",
];

/// Places in what the compiler read: of everything, and of what has a text of its own.
#[derive(Default)]
struct Read {
    all: Places,
    texts: Places,
    statements: Places,
}

fn read(text: &str) -> Read {
    let parsed = parse(FileId(0), text);
    let told = format!("{:?}", parsed.statements);
    let mut out = Read::default();
    for (before, place) in spans(&told) {
        out.all.insert(place);
        // `At { value: "kick", span: Span { … } }`
        if before.ends_with("\", span: ") {
            out.texts.insert(place);
        }
        if before.ends_with("Statement { span: ") {
            out.statements.insert(place);
        }
    }
    out
}

/// The places that a debug print names, each with what stands before it.
fn spans(told: &str) -> Vec<(&str, (usize, usize))> {
    let number =
        |text: &str, key: &str| -> Option<usize> { text.split_once(key)?.1.split([',', ' ']).next()?.parse().ok() };
    told.match_indices("Span { ")
        .filter_map(|(at, _)| {
            let (before, after) = told.split_at(at);
            Some((before, (number(after, "start: ")?, number(after, "end: ")?)))
        })
        .collect()
}

/// Where the lines of a text begin.
struct Lines(Vec<usize>);

impl Lines {
    fn of(text: &str) -> Self {
        Lines([0].into_iter().chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect())
    }

    /// Which lines hold these bytes.
    fn of_places(&self, places: &Range<usize>) -> Range<usize> {
        let line = |at: usize| self.0.partition_point(|start| *start <= at);
        line(places.start) - 1..line(places.end.max(places.start + 1) - 1)
    }
}

/// The lines about which the compiler says something while it reads.
fn told_of(text: &str) -> BTreeSet<usize> {
    let (mut out, lines) = (BTreeSet::new(), Lines::of(text));
    for told in parse(FileId(0), text).diagnostics {
        out.extend(lines.of_places(&told.span.range()));
        out.extend(told.labels.iter().flat_map(|label| lines.of_places(&label.span.range())));
    }
    // The block of a statement that is not read is passed over.
    let mut open = false;
    for (nth, line) in text.lines().enumerate() {
        open = (open && line.trim() != "}") || (out.contains(&nth) && line.ends_with('{'));
        if open || line.trim() == "}" {
            out.insert(nth);
        }
    }
    out
}

fn is_broken(node: &Node<'_>) -> bool {
    node.is_error() || node.is_missing()
}

/// Where the tree and the compiler differ, on lines that are not `told` of.
fn differences(text: &str, told: &BTreeSet<usize>) -> Vec<String> {
    let (tree, read, lines) = (tree(text), read(text), Lines::of(text));
    let quiet = |place: &Range<usize>| lines.of_places(place).all(|line| !told.contains(&line));
    let mut out = Vec::new();
    let mut leaves = Places::new();
    for node in nodes(&tree) {
        let place = node.byte_range();
        let pair = (place.start, place.end);
        if is_broken(&node) && quiet(&place) {
            out.push(format!("broken at {:?}: {}", node.start_position(), &text[place.clone()]));
        }
        if node.is_named() {
            leaves.insert(pair);
        }
        let size_of_a_block = node.prev_sibling().is_some_and(|before| before.kind() == "of");
        // The compiler keeps a device's model by itself.
        let is = node.child_by_field_name("model").is_some();
        let of_a_row = node.is_named() && !size_of_a_block && !is && COUNTED.contains(&node.kind());
        if of_a_row && quiet(&place) && !read.all.contains(&pair) {
            out.push(format!("only the tree has the {} `{}`", node.kind(), &text[place]));
        }
    }
    for (start, end) in read.texts.iter().filter(|(start, end)| quiet(&(*start..*end))) {
        // `toms.2.4`: one number is two parts.
        if !leaves.contains(&(*start, *end)) && !text[*start..*end].contains('.') {
            out.push(format!("only the compiler has the name `{}`", &text[*start..*end]));
        }
    }
    let is_statement =
        |node: &Node<'_>| node.is_named() && node.parent().is_some_and(|up| ["file", "act"].contains(&up.kind()));
    let statements: Places = nodes(&tree)
        .iter()
        .filter(|node| is_statement(node))
        .map(|node| (node.start_byte(), node.end_byte()))
        .collect();
    for (start, end) in read.statements.iter().filter(|(start, end)| quiet(&(*start..*end))) {
        if !statements.contains(&(*start, *end)) {
            out.push(format!("only the compiler has the statement `{}`", &text[*start..*end]));
        }
    }
    out
}

#[test]
fn trees_are_those_of_the_compiler() {
    let (mut wrong, mut rows) = (Vec::new(), 0);
    let texts = texts::all();
    for (name, text) in &texts {
        wrong.extend(differences(text, &told_of(text)).into_iter().map(|what| format!("{name}: {what}")));
        rows += nodes(&tree(text)).iter().filter(|node| node.kind().ends_with("_row")).count();
    }
    println!("{} texts, {rows} rows", texts.len());
    assert!(texts.len() > 250 && rows > 1500);
    assert!(wrong.is_empty(), "{} differences:\n{}", wrong.len(), wrong.join("\n"));
}

/// A word is taken out, put in or misspelt, here and there in every example: the rows around it stay as they
/// were. Where one breaks another too, the editor's own recovery has chosen to; that is rare.
#[test]
fn a_broken_row_breaks_no_other() {
    let mut ways: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    let mut wrong = Vec::new();
    for (name, text) in texts::files("examples") {
        for (nth, token) in tokens(&text).iter().enumerate() {
            let plain =
                !token.kind.is_trivia() && token.kind != TokenKind::BlockOpen && token.kind != TokenKind::BlockClose;
            if !plain || nth % 11 != 0 {
                continue;
            }
            let (start, end) = (token.start as usize, token.end as usize);
            for (way, put) in [("taken out", ""), ("misspelt", "zzz"), ("put in", "from ("), ("a comma", ",")] {
                let broken = match way {
                    "put in" | "a comma" => format!("{}{put} {}", &text[..end], &text[end..]),
                    _ => format!("{}{put}{}", &text[..start], &text[end..]),
                };
                let told = told_of(&broken);
                let found = differences(&broken, &told);
                let counted = ways.entry(way).or_default();
                counted.0 += 1;
                counted.1 += usize::from(!found.is_empty());
                let line = Lines::of(&text).of_places(&(start..end)).start + 1;
                wrong.extend(found.first().map(|what| format!("{name}:{line} `{}` {way}: {what}", token.text(&text))));
            }
        }
    }
    let tried: usize = ways.values().map(|(tried, _)| tried).sum();
    println!("of how many, how many break another row: {ways:?}");
    assert!(tried > 1000 && wrong.len() * 50 < tried, "{} of {tried}:\n{}", wrong.len(), wrong.join("\n"));
}

/// What the queries colour, by the engine that editors use.
fn coloured(text: &str) -> Vec<(String, &'static str)> {
    use tree_sitter_highlight::{HighlightConfiguration, HighlightEvent, Highlighter};
    let (highlights, locals) = (tree_sitter_fantail::HIGHLIGHTS_QUERY, tree_sitter_fantail::LOCALS_QUERY);
    let mut told = HighlightConfiguration::new(language(), "fantail", highlights, "", locals).unwrap();
    told.configure(COLOURS);
    let (mut out, mut open) = (Vec::new(), Vec::new());
    for event in Highlighter::new().highlight(&told, text.as_bytes(), None, None, |_| None).unwrap() {
        match event.unwrap() {
            HighlightEvent::HighlightStart(colour) => open.push(COLOURS[colour.0]),
            HighlightEvent::HighlightEnd => drop(open.pop()),
            HighlightEvent::Source { start, end } => {
                out.extend(open.last().map(|colour| (text[start..end].to_string(), *colour)));
            }
        }
    }
    out
}

const COLOURS: &[&str] = &[
    "attribute",
    "comment",
    "constant.builtin",
    "error",
    "function",
    "keyword",
    "keyword.operator",
    "label",
    "number",
    "operator",
    "punctuation.bracket",
    "punctuation.delimiter",
    "string",
    "type",
    "variable",
];

/// Words that begin statements and attributes are names here, and are coloured as names.
#[test]
fn no_name_is_coloured_as_a_word() {
    let text = "inputs gain {\n  1 gain dynamic from phantom 1 phantom  # gain\n  2 from any pad, \"pad\"\n}\n\
                outputs { record 1 to to 1, 2 record of all inputs but of }\nrecord record\ndesk desk is is on on.on\n";
    let told: Vec<String> = coloured(text)
        .into_iter()
        .filter(|(text, _)| text.chars().any(char::is_alphabetic))
        .map(|(text, colour)| format!("{text}={colour}"))
        .collect();
    let wanted = "inputs=keyword gain=variable gain=function dynamic=type from=attribute phantom=variable \
                  phantom=attribute # gain=comment from=function any=type pad=attribute \"pad\"=string outputs=keyword \
                  record=variable to=attribute to=variable record=constant.builtin of=attribute all=keyword.operator \
                  inputs=keyword.operator but=keyword.operator of=variable record=keyword record=variable desk=keyword \
                  desk=function is=attribute is=type on=attribute on=variable on=variable";
    assert_eq!(told.join(" "), wanted);
}

/// Every word and number of every example has a colour, and nothing is an error.
#[test]
fn every_word_of_the_examples_has_a_colour() {
    for (name, text) in texts::files("examples") {
        let told = coloured(&text);
        assert!(told.iter().all(|(_, colour)| *colour != "error"), "{name}");
        let letters = |text: &str| text.chars().filter(|c| c.is_alphanumeric()).count();
        let seen: usize = told.iter().map(|(text, _)| letters(text)).sum();
        assert_eq!(seen, letters(&text), "{name}");
    }
}

/// The other queries name what is there.
#[test]
fn folds_and_indents_are_queries_of_this_grammar() {
    for query in [tree_sitter_fantail::FOLDS_QUERY, tree_sitter_fantail::INDENTS_QUERY] {
        assert!(tree_sitter::Query::new(&language(), query).unwrap().pattern_count() > 0);
    }
}

/// The cases of the grammar's own test folder: a title, a text, and its tree.
#[test]
fn the_cases_of_the_grammar() {
    let page = std::fs::read_to_string(texts::top().join("grammar/tree-sitter-fantail/test/corpus/rows.txt")).unwrap();
    let parts: Vec<&str> = page.split("\n===").collect();
    let bare = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ").replace(" )", ")");
    let cases: Vec<_> = parts.iter().filter_map(|part| part.split_once("\n\n")?.1.split_once("\n---\n")).collect();
    assert!(cases.len() > 5);
    for (text, wanted) in cases {
        assert_eq!(bare(&tree(&format!("{text}\n")).root_node().to_sexp()), bare(wanted), "{text}");
    }
}
