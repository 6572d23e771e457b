//! The version mark: a short hash of what is printed, by which two papers are told apart.

use super::sheet::Sheet;
use crate::plan::Plan;
use sha2::{Digest, Sha256};

/// Digits and letters that are not mistaken for one another in bad light.
const LETTERS: &[u8] = b"234679ACDEFGHJKLMNPQRTUVWXYZ";
const LENGTH: usize = 6;

/// `K7Q-2MX`: of everything that the plan says. Of what compiles alike it is alike.
pub(super) fn of_plan(plan: &Plan) -> String {
    let said = Plan { diagnostics: Vec::new(), ..plan.clone() };
    hash(&serde_json::to_string(&said).unwrap_or_default())
}

/// The same of one sheet, whatever the rest of the pack says: the plan's own mark, where it stands on it, is no part of
/// what it says.
pub(super) fn of_sheet(sheet: &Sheet, of_plan: &str) -> String {
    // Plain data always has a form as JSON.
    hash(&serde_json::to_string(sheet).unwrap_or_default().replace(of_plan, ""))
}

/// Which of the letters of marks it is.
pub(super) fn number_of(letter: char) -> Option<u32> {
    (0..).zip(LETTERS).find(|(_, known)| char::from(**known) == letter).map(|(number, _)| number)
}

fn hash(text: &str) -> String {
    let mut mark = String::with_capacity(LENGTH + 1);
    for (at, byte) in Sha256::digest(text).iter().take(LENGTH).enumerate() {
        if at == LENGTH / 2 {
            mark.push('-');
        }
        mark.push(LETTERS.get(usize::from(*byte) % LETTERS.len()).map_or('2', |letter| char::from(*letter)));
    }
    mark
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mark_is_of_what_the_plan_says() {
        let plan = Plan::default();
        let told = Plan { diagnostics: vec![serde_json::Value::Null], ..Plan::default() };
        let other = Plan { rate_hz: 96_000, ..Plan::default() };
        assert_eq!(of_plan(&plan).len(), LENGTH + 1);
        assert_eq!(of_plan(&plan), of_plan(&told));
        assert_ne!(of_plan(&plan), of_plan(&other));
    }
}
