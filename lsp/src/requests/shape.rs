//! The shape of a file: its outline, folds, selections and links; and names across the workspace.

use crate::world::{In, World};
use fantail::editor::outline::{Entry, Sort, declared, outline};
use fantail::editor::shape;
use fantail::source::SourceFile;
use std::collections::HashSet;
use tower_lsp::lsp_types::*;

/// The first show that has the file: the shape is the same in all.
fn first<'w>(world: &'w World, document: &TextDocumentIdentifier) -> Option<In<'w>> {
    world.with_file(&document.uri).next()
}

pub fn symbols(world: &World, params: &DocumentSymbolParams) -> Option<DocumentSymbolResponse> {
    let here = first(world, &params.text_document)?;
    let entries = outline(here.compiled(), here.id());
    let file = here.file()?;
    Some(DocumentSymbolResponse::Nested(entries.iter().map(|entry| symbol(world, file, entry)).collect()))
}

fn symbol(world: &World, file: &SourceFile, entry: &Entry) -> DocumentSymbol {
    let counted = world.snapshot.counted(file);
    let children: Vec<DocumentSymbol> = entry.inside.iter().map(|entry| symbol(world, file, entry)).collect();
    #[allow(deprecated)]
    DocumentSymbol {
        // An empty name is an error to some clients.
        name: if entry.name.is_empty() { "…".to_string() } else { entry.name.clone() },
        detail: Some(entry.detail.clone()).filter(|detail| !detail.is_empty()),
        kind: kind(entry.sort),
        tags: None,
        deprecated: None,
        range: counted.range(entry.span),
        selection_range: counted.range(entry.at),
        children: Some(children).filter(|children| !children.is_empty()),
    }
}

fn kind(sort: Sort) -> SymbolKind {
    match sort {
        Sort::Show => SymbolKind::FILE,
        Sort::Device => SymbolKind::OBJECT,
        Sort::List => SymbolKind::ARRAY,
        Sort::Source => SymbolKind::VARIABLE,
        Sort::Output => SymbolKind::FIELD,
        Sort::Group => SymbolKind::NAMESPACE,
        Sort::Act => SymbolKind::EVENT,
        Sort::Model => SymbolKind::CLASS,
        Sort::Part => SymbolKind::PROPERTY,
        Sort::Kind => SymbolKind::ENUM,
        Sort::Cable => SymbolKind::INTERFACE,
        Sort::Change => SymbolKind::OPERATOR,
        Sort::Promise => SymbolKind::CONSTANT,
    }
}

/// How many names a search gives at most.
const MOST: usize = 500;

/// Declared names in which the letters asked for stand in order, in whichever case.
pub fn workspace_symbols(world: &World, params: &WorkspaceSymbolParams) -> Option<Vec<SymbolInformation>> {
    let asked: Vec<char> = params.query.to_lowercase().chars().collect();
    let fits = |name: &str| {
        let name = name.to_lowercase();
        let mut letters = name.chars();
        asked.iter().all(|asked| letters.any(|letter| letter == *asked))
    };
    let mut seen = HashSet::new();
    let mut found = Vec::new();
    for known in world.shows.iter().map(|show| show.whole()) {
        for (name, sort, span) in declared(&known.compiled, &known.index).filter(|(name, ..)| fits(name)) {
            let Some(location) = world.location(&known, span) else { continue };
            if seen.insert((location.uri.clone(), location.range.start.line, location.range.start.character)) {
                #[allow(deprecated)]
                found.push(SymbolInformation {
                    name: name.to_string(),
                    kind: kind(sort),
                    tags: None,
                    deprecated: None,
                    location,
                    container_name: known.compiled.show.head.as_ref().map(|head| head.title.value.clone()),
                });
            }
        }
    }
    found.sort_by_key(|one| (one.name.len(), one.name.clone()));
    found.truncate(MOST);
    Some(found)
}

pub fn folds(world: &World, params: &FoldingRangeParams) -> Option<Vec<FoldingRange>> {
    let here = first(world, &params.text_document)?;
    let line = |line: usize| u32::try_from(line).unwrap_or(u32::MAX);
    let folds = shape::folds(here.compiled(), here.id()).into_iter().map(|fold| FoldingRange {
        start_line: line(fold.first),
        end_line: line(fold.last),
        kind: Some(if fold.comment { FoldingRangeKind::Comment } else { FoldingRangeKind::Region }),
        ..FoldingRange::default()
    });
    Some(folds.collect())
}

pub fn selections(world: &World, params: &SelectionRangeParams) -> Option<Vec<SelectionRange>> {
    let here = first(world, &params.text_document)?;
    let counted = world.snapshot.counted(here.file()?);
    let one = |position: &Position| {
        let offset = u32::try_from(counted.offset(*position)).unwrap_or(u32::MAX);
        let spans = shape::selections(here.compiled(), here.id(), offset);
        let grow = |inner: Option<SelectionRange>, range| Some(SelectionRange { range, parent: inner.map(Box::new) });
        let whole = spans.iter().rev().map(|span| counted.range(*span)).fold(None, grow);
        whole.unwrap_or(SelectionRange { range: Range::new(*position, *position), parent: None })
    };
    Some(params.positions.iter().map(one).collect())
}

pub fn links(world: &World, params: &DocumentLinkParams) -> Option<Vec<DocumentLink>> {
    let here = first(world, &params.text_document)?;
    let counted = world.snapshot.counted(here.file()?);
    let links = shape::links(here.compiled(), here.id()).into_iter().filter_map(|(span, path)| {
        let target = Some(world.snapshot.uri(path)?);
        Some(DocumentLink { range: counted.range(span), target, tooltip: None, data: None })
    });
    Some(links.collect())
}
