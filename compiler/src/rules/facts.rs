//! What a check of the finished plan may look at. Checks read; they never route and never change.

use crate::plan::Plan;
use crate::project::Show;
use crate::route::Solution;
use crate::wants::Scene;

/// One compilation, as far as it came. With errors the plan's lists may be empty.
pub struct Facts<'a> {
    pub show: &'a Show,
    /// The house, or each act.
    pub scenes: &'a [Scene],
    pub solution: &'a Solution,
    pub plan: &'a Plan,
}
