//! A pack written down, once for each form. A form gives files as bytes and touches no disk.

mod csv;

use super::sheet::Pack;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Form {
    Csv,
}

impl Form {
    pub const ALL: &[Form] = &[Form::Csv];
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
        Form::Csv => csv::files(pack),
    }
}
