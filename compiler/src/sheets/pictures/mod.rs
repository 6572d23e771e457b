//! Drawings, each a complete `<svg>` element by itself: black on white, so that a copier does them no harm. Each
//! says what it shows in words. What stands for points of the plan carries their names in `data-at`, parted by
//! `|`: a form may turn them into anything else. Nothing is drawn that the plan does not say.

mod pattern;

pub use pattern::pattern;
