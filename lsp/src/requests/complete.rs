//! What may be written at a position.

use crate::convert::Counted;
use crate::show::Show;
use crate::world::{World, path_of};
use fantail::editor::complete::{Insert, Item, Kind};
use fantail::parts::Parts;
use fantail::project::{Disk, Files};
use std::ops::Range as Bytes;
use std::path::Path;
use tower_lsp::lsp_types::*;

pub fn options() -> CompletionOptions {
    CompletionOptions {
        trigger_characters: Some([" ", ".", "\"", "/"].map(str::to_string).to_vec()),
        ..CompletionOptions::default()
    }
}

/// By the text as it is, with the show that has the file as it was last compiled.
pub fn complete(world: &World, params: &CompletionParams) -> Option<CompletionResponse> {
    let at = &params.text_document_position;
    let text = world.text(&at.text_document.uri)?;
    let counted = text.counted(world.snapshot.encoding);
    let (show, offset) = (world.last_compiled(&path_of(&at.text_document.uri)), counted.offset(at.position));
    let stretch = stretch(show, &text.text, offset);
    let known = show.and_then(|show| show.near(at.position.line..=at.position.line).into_iter().next());
    let files = |steps: &str| behind(&text.path, steps);
    let within = text.text.get(stretch.clone())?;
    let mut found =
        fantail::editor::complete(within, offset - stretch.start, known.as_ref().map(|known| &known.compiled), &files);
    for item in &mut found {
        item.replace = item.replace.start + stretch.start..item.replace.end + stretch.start;
    }
    let known = |item: Item| if world.snapshot.snippets { Some(item) } else { item.without_snippets() };
    let items = found.into_iter().filter_map(known).map(|item| shown(item, &counted));
    Some(CompletionResponse::Array(items.collect()))
}

/// The bytes that say where a place stands: of a show in parts, which has no acts, those around it.
pub fn stretch(show: Option<&Show>, text: &str, offset: usize) -> Bytes<usize> {
    match show.and_then(|show| show.in_parts.as_ref()) {
        Some(_) => Parts::around(text, offset),
        None => 0..text.len(),
    }
}

fn shown(item: Item, counted: &Counted<'_>) -> CompletionItem {
    let (new_text, format) = match item.insert {
        Insert::Text(text) => (text, InsertTextFormat::PLAIN_TEXT),
        Insert::Snippet(text) => (text, InsertTextFormat::SNIPPET),
    };
    let range = Range { start: counted.position(item.replace.start), end: counted.position(item.replace.end) };
    let said = |text: String| Some(text).filter(|text| !text.is_empty());
    CompletionItem {
        label: item.label,
        kind: Some(kind(item.kind)),
        detail: said(item.detail),
        documentation: said(item.documentation).map(Documentation::String),
        sort_text: Some(format!("{:05}", item.sort)),
        filter_text: Some(item.filter),
        insert_text_format: Some(format),
        text_edit: Some(CompletionTextEdit::Edit(TextEdit { range, new_text })),
        ..CompletionItem::default()
    }
}

fn kind(kind: Kind) -> CompletionItemKind {
    match kind {
        Kind::Word => CompletionItemKind::KEYWORD,
        Kind::Unit => CompletionItemKind::UNIT,
        Kind::Socket | Kind::Channel => CompletionItemKind::VALUE,
        Kind::Port | Kind::Bank => CompletionItemKind::PROPERTY,
        Kind::Device => CompletionItemKind::VARIABLE,
        Kind::Model => CompletionItemKind::CLASS,
        Kind::Source => CompletionItemKind::FIELD,
        Kind::Group | Kind::Act => CompletionItemKind::MODULE,
        Kind::Mic | Kind::Kind | Kind::Use => CompletionItemKind::ENUM_MEMBER,
        Kind::Carrier => CompletionItemKind::INTERFACE,
        Kind::Rule => CompletionItemKind::REFERENCE,
        Kind::File => CompletionItemKind::FILE,
        Kind::Folder => CompletionItemKind::FOLDER,
        Kind::Snippet => CompletionItemKind::SNIPPET,
    }
}

/// Names that an `include` in this file could say behind these steps: files there, in the folders there and, as
/// long as the steps lead up, in the folder above; then each of those folders as a step of its own.
fn behind(path: &Path, steps: &str) -> Vec<String> {
    let Some(folder) = path.parent().map(|folder| folder.join(steps)) else { return Vec::new() };
    let is_folder = |name: &String| !name.starts_with('.') && folder.join(name).is_dir();
    let leads_up = steps.split('/').all(|step| step.is_empty() || step == "..");
    let above = leads_up && Disk.canonical(&folder).parent().is_some();
    let further: Vec<String> =
        above.then(|| "..".to_string()).into_iter().chain(Disk.list(&folder).into_iter().filter(is_folder)).collect();
    let places = std::iter::once(String::new()).chain(further.iter().map(|name| format!("{name}/")));
    let files = places.flat_map(|place| {
        let files = Disk.list(&folder.join(&place)).into_iter().filter(|name| name.ends_with(".fantail"));
        files.map(|name| format!("{place}{name}")).collect::<Vec<_>>()
    });
    let others = files.filter(|name| Disk.canonical(&folder.join(name)) != path);
    others.chain(further.iter().map(|name| format!("{name}/"))).map(|name| format!("{steps}{name}")).collect()
}
