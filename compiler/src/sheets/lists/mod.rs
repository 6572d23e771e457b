//! Which sheets a pack has, and in which order. Each sheet is a file that says whom it is for and what stands
//! on it.

mod stage;

use super::known::Known;
use super::sheet::Sheet;

/// All sheets: what holds all day from the house, then what differs by act.
pub(super) fn all(house: &Known, acts: &[Known]) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    let whole = |of: &mut dyn FnMut(&Known)| match acts {
        [] => of(house),
        acts => acts.iter().for_each(of),
    };
    whole(&mut |known| sheets.extend(stage::sheets(known)));
    sheets
}
