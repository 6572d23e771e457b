//! Whole projects in memory: what the files say, what is told, and where.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod acts;
mod changes;
mod declarations;
mod includes;
mod order;
mod taken_out;

use super::{InMemory, Project, Show, gather, load};
use crate::diagnostics::{Diagnostic, sort};
use crate::source::Span;
use crate::syntax::ast::{Attr, AttrKind, Dotted, Numbers, Terms};
use std::path::Path;

pub struct Case {
    pub project: Project,
    pub show: Show,
    pub diagnostics: Vec<Diagnostic>,
}

/// The show whose root is the first file.
pub fn case(files: &[(&str, &str)]) -> Case {
    let disk = files.iter().fold(InMemory::default(), |disk, (path, text)| disk.with(path, *text));
    case_on(files[0].0, &disk)
}

pub fn case_on(root: &str, disk: &InMemory) -> Case {
    let (project, mut diagnostics) = load(Path::new(root), disk);
    let (show, gathered) = gather(&project);
    diagnostics.extend(gathered);
    sort(&mut diagnostics);
    Case { project, show, diagnostics }
}

pub fn one(text: &str) -> Case {
    case(&[("root", text)])
}

impl Case {
    /// `root:2:7`
    pub fn place(&self, span: Span) -> String {
        let file = self.project.sources.get(span.file).unwrap();
        let at = file.lines.line_col(&file.text, span.start);
        format!("{}:{}:{}", file.name, at.line, at.column)
    }

    /// Every diagnostic as `place rule`, with the places of its labels.
    pub fn told(&self) -> Vec<String> {
        let label = |told: &Diagnostic| -> String {
            told.labels.iter().map(|label| format!(" <- {}", self.place(label.span))).collect()
        };
        self.diagnostics.iter().map(|told| format!("{} {}{}", self.place(told.span), told.rule, label(told))).collect()
    }

    #[track_caller]
    pub fn tells(&self, expected: &[&str]) {
        assert_eq!(self.told(), expected, "{:#?}", self.diagnostics);
    }

    pub fn help(&self) -> String {
        self.diagnostics.iter().flat_map(|told| told.help.clone()).collect::<Vec<_>>().join("; ")
    }

    pub fn act(&self, name: &str) -> &super::show::Act {
        self.show.acts.iter().find(|act| act.name.value == name).unwrap()
    }
}

pub fn input<'a>(patch: &'a super::show::Patch, name: &str) -> &'a super::show::Row<super::show::Input> {
    patch.inputs.iter().find(|row| row.node.row.name.value == name).unwrap_or_else(|| panic!("no input {name}"))
}

pub fn input_names(patch: &super::show::Patch) -> Vec<&str> {
    patch.inputs.iter().map(|row| row.node.row.name.value.as_str()).collect()
}

pub fn dotted(name: &Dotted) -> String {
    name.parts.iter().map(|part| part.value.as_str()).collect::<Vec<_>>().join(".")
}

pub fn numbers(numbers: &Numbers) -> String {
    numbers.ranges.iter().map(|range| format!("{}-{}", range.first, range.last)).collect::<Vec<_>>().join(",")
}

pub fn terms(terms: &Terms) -> String {
    let term = |term: &crate::syntax::ast::Term| {
        let name = term.name.as_ref().map(dotted).unwrap_or_default();
        let range = term.range.map(|range| format!(" {}-{}", range.first, range.last)).unwrap_or_default();
        format!("{name}{range}")
    };
    terms.terms.iter().map(term).collect::<Vec<_>>().join(", ")
}

/// Where a row comes from, and its flags.
pub fn attrs(attrs: &[Attr]) -> String {
    let one = |attr: &Attr| match &attr.kind {
        AttrKind::From(list) => format!("from {}", terms(list)),
        AttrKind::To(lists) => format!("to {}", lists.iter().map(terms).collect::<Vec<_>>().join(" and ")),
        AttrKind::Mic(name) | AttrKind::Use(name) => name.value.clone(),
        AttrKind::On(name) => format!("on {}", dotted(name)),
        AttrKind::Offset(offset) => format!("offset {}", offset.value),
        AttrKind::Of(crate::syntax::ast::Sources::Named(list)) => format!("of {}", terms(list)),
        other => super::attrs::word(other).to_string(),
    };
    attrs.iter().map(one).collect::<Vec<_>>().join(" ")
}
