//! How people call acts, sources and gear that a comparison names by their names in the files: for its printed forms.

use crate::plan::Plan;
use std::collections::BTreeMap;

/// How people call what a comparison names by its name in the files.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Called {
    /// The acts of the newer plan, else of the older, in the order of the day.
    pub(super) order: Vec<String>,
    pub(super) acts: BTreeMap<String, String>,
    pub(super) sources: BTreeMap<String, String>,
    pub(super) models: BTreeMap<String, String>,
    pub(super) mics: BTreeMap<String, String>,
}

impl Called {
    /// The newer plan's word holds.
    pub(super) fn of(old: &Plan, new: &Plan) -> Self {
        let acts = if new.acts.is_empty() { &old.acts } else { &new.acts };
        let mut called = Called { order: acts.iter().map(|act| act.act.clone()).collect(), ..Called::default() };
        for plan in [old, new] {
            let titled = plan.acts.iter().filter_map(|act| Some((act.act.clone(), act.title.clone()?)));
            called.acts.extend(titled);
            let sources = plan.sources.iter().chain(plan.acts.iter().flat_map(|act| &act.sources));
            called.sources.extend(sources.map(|source| (source.source.clone(), source.label.clone())));
            let models = plan.models.iter().filter_map(|(name, model)| Some((name.clone(), model.label.clone()?)));
            called.models.extend(models);
            called.mics.extend(plan.mics.iter().map(|(name, mic)| (name.clone(), mic.label.clone())));
        }
        called
    }
}

/// The word of those that have one.
pub(super) fn word<'w>(words: &'w BTreeMap<String, String>, name: &'w str) -> &'w str {
    words.get(name).map_or(name, String::as_str)
}
