//! What the channel strips of a desk show, where its model says how many letters that is.

use super::Seen;
use crate::wants::{Source, Target, WantKind};

/// A channel whose strip is too short for its label, or long enough.
pub struct Strip<'a> {
    pub desk: u32,
    pub channel: u32,
    /// Into the scene's sources.
    pub source: usize,
    pub label: &'a str,
    /// How many letters it shows.
    pub letters: u32,
}

impl Strip<'_> {
    pub fn shown(&self) -> String {
        let cut: String = self.label.chars().take(self.letters as usize).collect();
        cut.trim_end().to_string()
    }

    pub fn is_cut(&self) -> bool {
        self.label.chars().count() > self.letters as usize
    }

    /// The label made shorter with its last word kept: `Vocal SL` on a strip of five is `Vo SL`.
    pub fn shortened(&self) -> Option<String> {
        let (stem, last) = self.label.rsplit_once(' ')?;
        let room = (self.letters as usize).checked_sub(last.chars().count() + 1).filter(|room| *room > 0)?;
        let stem: String = stem.chars().take(room).collect();
        Some(format!("{} {last}", stem.trim_end()))
    }
}

/// Every channel of the scene that has a source and a strip of known length, by desk and channel.
pub fn strips<'a>(seen: &'a Seen) -> Vec<Strip<'a>> {
    let channels = seen.scene.wants.iter().filter(|want| want.kind == WantKind::Channel);
    let strip = channels.filter_map(|want| {
        let letters = seen.rig.model(want.end.device)?.strip?;
        let Target::Source(source) = want.what else { return None };
        let Source { label, .. } = seen.scene.source(source)?;
        Some(Strip { desk: want.end.device, channel: want.end.number, source, label, letters })
    });
    let mut strips: Vec<Strip> = strip.collect();
    strips.sort_by_key(|strip| (strip.desk, strip.channel));
    strips
}
