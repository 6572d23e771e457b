//! Which acts may have played directly before an act: what they left switched on is still on. Only times
//! tell; an act without one may follow any other, as acts of a rehearsal do.

/// The acts that may come directly before the one at `at`, by index. `timed` says of each act, in the order
/// of the plan, whether it says when it begins.
pub fn acts_before(timed: &[bool], at: usize) -> Vec<usize> {
    let says = |act: usize| timed.get(act).copied().unwrap_or(false);
    let last = (0..at).rev().find(|act| says(*act));
    let before = |act: &usize| *act != at && (!says(at) || !says(*act) || last == Some(*act));
    (0..timed.len()).filter(before).collect()
}

#[cfg(test)]
mod tests {
    use super::acts_before;

    #[test]
    fn times_say_who_was_on_before() {
        assert!(acts_before(&[true, true, true], 0).is_empty());
        assert_eq!(acts_before(&[true, true, true], 2), [1]);
    }

    #[test]
    fn without_a_time_any_other_act_may_have_been() {
        assert_eq!(acts_before(&[false, false, false], 1), [0, 2]);
        assert_eq!(acts_before(&[true, true, false], 1), [0, 2]);
        assert_eq!(acts_before(&[true, true, false], 2), [0, 1]);
        assert!(acts_before(&[], 3).is_empty());
    }
}
