//! Words that several checks use: lists of names and of numbers.

use crate::rig::{Point, Rig, all_of};

/// `1-8, 12`; the numbers ascend.
pub fn numbers(numbers: &[u32]) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for number in numbers {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == *number => *last = *number,
            _ => runs.push((*number, *number)),
        }
    }
    let text = |(first, last): &(u32, u32)| if first == last { first.to_string() } else { format!("{first}-{last}") };
    runs.iter().map(text).collect::<Vec<_>>().join(", ")
}

/// `` `a`, `b` and `c` ``; past six names how many more there are.
pub fn names<T: AsRef<str>>(names: &[T]) -> String {
    all_of(&names.iter().map(|name| format!("`{}`", name.as_ref())).collect::<Vec<_>>())
}

/// The points that a signal passes, in order: `foh.local 2 → foh.channel 32 → foh.mix 1`.
pub fn way(rig: &Rig, points: &[Point]) -> String {
    let mut points = points.to_vec();
    points.dedup();
    points.iter().map(|point| rig.point_text(*point)).collect::<Vec<_>>().join(" → ")
}
