//! Prints, as JSON, what each word of every text in this repository is by the tree-sitter grammar: for tests
//! of other editors' colours. Only of texts that it reads whole.

use fantail_tests::texts;
use serde_json::{Value, json};
use tree_sitter::{Parser, TreeCursor};

fn main() {
    let mut parser = Parser::new();
    let language = tree_sitter_fantail::LANGUAGE.into();
    if parser.set_language(&language).is_err() {
        return;
    }
    let mut out: Vec<Value> = Vec::new();
    for (name, text) in texts::all() {
        let Some(tree) = parser.parse(&text, None).filter(|tree| !tree.root_node().has_error()) else { continue };
        let mut words = Vec::new();
        leaves(&mut tree.walk(), &text, &mut words);
        out.push(json!({ "name": name, "text": text, "words": words }));
    }
    println!("{}", Value::Array(out));
}

/// Line, column in UTF-16 and what it is, of each word and number.
fn leaves(cursor: &mut TreeCursor<'_>, text: &str, out: &mut Vec<Value>) {
    let node = cursor.node();
    if node.child_count() == 0 {
        let kind = match node.kind() {
            kind @ ("name" | "place" | "volts") if node.is_named() => kind,
            "number" | "range" | "quantity" | "date" | "time" => "number",
            "comment" | "text" => return,
            _ if node.parent().is_some_and(|up| up.kind() == "use") => "value",
            _ => cursor.field_name().unwrap_or(""),
        };
        let start = node.start_position();
        let line = &text[node.start_byte() - start.column..node.start_byte()];
        if text[node.byte_range()].chars().any(char::is_alphanumeric) {
            out.push(json!([start.row, line.encode_utf16().count(), kind]));
        }
    }
    if cursor.goto_first_child() {
        leaves(cursor, text, out);
        while cursor.goto_next_sibling() {
            leaves(cursor, text, out);
        }
        cursor.goto_parent();
    }
}
