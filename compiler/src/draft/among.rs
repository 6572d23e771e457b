//! Entries of the plan's lists, looked up whole in another act's list. Equal entries have equal keys; the key only
//! saves the search.

use crate::plan::{Cable, Device, Mix, Output, PersonalFeed, Plug, Promise, Setting, Signal, Source, SpareCable};
use rustc_hash::FxHashMap;

type Key<'a> = (&'a str, &'a str, Option<u32>);

/// An entry of a list of the plan.
pub trait Entry: PartialEq {
    fn key(&self) -> Key<'_>;
}

macro_rules! keys {
    ($($entry:ident by $key:expr;)*) => {
        $(impl Entry for $entry {
            fn key(&self) -> Key<'_> {
                let key: fn(&$entry) -> Key<'_> = $key;
                key(self)
            }
        })*
    };
}

keys! {
    Cable by |cable| (&cable.from, &cable.to, None);
    Device by |device| (&device.name, "", None);
    Mix by |mix| (&mix.mix, "", None);
    Output by |output| (&output.from, &output.to, None);
    PersonalFeed by |personal| (&personal.feed, "", None);
    Plug by |plug| (&plug.at, "", None);
    Promise by |promise| (&promise.mix, "", None);
    Setting by |setting| (&setting.device, &setting.bank, setting.first);
    Signal by |signal| (&signal.source, "", None);
    Source by |source| (&source.source, "", None);
    SpareCable by |_| ("", "", None);
}

/// A list to look entries up in.
pub struct Among<'a, T>(FxHashMap<Key<'a>, Vec<&'a T>>);

impl<'a, T: Entry> Among<'a, T> {
    pub fn new(list: impl IntoIterator<Item = &'a T>) -> Self {
        let mut by_key: FxHashMap<Key<'a>, Vec<&'a T>> = FxHashMap::default();
        for entry in list {
            by_key.entry(entry.key()).or_default().push(entry);
        }
        Among(by_key)
    }

    pub fn contains(&self, entry: &T) -> bool {
        self.0.get(&entry.key()).is_some_and(|alike| alike.contains(&entry))
    }
}
