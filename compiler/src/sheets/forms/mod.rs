//! A pack written down, once for each form. A form gives files as bytes and touches no disk.

mod book;
mod csv;
mod markdown;
mod xlsx;

use super::sheet::{Pack, Part, Sheet};

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Form {
    /// One file for a browser.
    Book,
    Csv,
    Xlsx,
    Markdown,
    /// Each picture as a file of its own.
    Pictures,
}

impl Form {
    pub const ALL: &[Form] = &[Form::Book, Form::Csv, Form::Xlsx, Form::Markdown, Form::Pictures];
}

/// A file of a pack; its name has `/` between folders.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct File {
    pub name: String,
    pub bytes: Vec<u8>,
}

/// The files of one form. The same pack gives the same bytes.
pub fn write(pack: &Pack, form: Form) -> Vec<File> {
    match form {
        Form::Book => book::files(pack),
        Form::Csv => csv::files(pack),
        Form::Xlsx => xlsx::files(pack),
        Form::Markdown => markdown::files(pack),
        Form::Pictures => pictures(pack),
    }
}

fn pictures(pack: &Pack) -> Vec<File> {
    let mut files = Vec::new();
    for sheet in &pack.sheets {
        let drawn = sheet.parts.iter().filter_map(|part| match part {
            Part::Picture(picture) => Some(picture),
            _ => None,
        });
        for (number, picture) in (1..).zip(drawn) {
            files.push(File { name: picture_name(sheet, number), bytes: picture.svg.clone().into_bytes() });
        }
    }
    files
}

/// Where the picture of that number on a sheet is written.
fn picture_name(sheet: &Sheet, number: usize) -> String {
    let tail = if number == 1 { String::new() } else { format!(".{number}") };
    format!("pictures/{}{tail}.svg", sheet.slug)
}
