//! Who works on a show, in the words by which sheets and changes are handed out.

pub(crate) const EVERYBODY: &str = "everybody";
pub(crate) const STAGE: &str = "stage crew";
pub(crate) const HOUSE: &str = "front of house";
pub(crate) const MONITORS: &str = "monitors";
pub(crate) const RECORDIST: &str = "recordist";

/// What a musician hears by.
pub(crate) fn is_monitor(used_as: Option<&str>) -> bool {
    matches!(used_as, Some("wedge" | "in-ears" | "side-fill"))
}
