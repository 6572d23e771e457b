//! What an editor shows of small shows and of the examples.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod examples;
mod flow;
mod hints;
mod page;

use crate::editor::{Index, hover};
use crate::project::InMemory;
use crate::{Compiled, compile};
use std::path::Path;

/// One desk, one box, a snake; the row of `keys` is over two channels.
const SHOW: &str = "\
fantail 1
show \"Night Ferry\" at \"Quayside Hall\"
mic vocal-hand \"Hand-held vocal\" { kind dynamic; sensitivity 2.0 mV/Pa; max 150 dB SPL }
desk foh is desk-48
box stage is box-16x8 on foh.portA offset 1 cable 60 m screened locking dead 15 place USC
snake riser is snake-8 to stage 1-8
inputs {
  1 kick boundary from riser 1 phantom gain 22 dB
  2 lead vocal-hand from stage 9
  3-4 keys di-active from stage 11-12 phantom stereo
  5 spare-vocal vocal-hand from stage any spare
}
group band kick, keys
outputs {
  main 1-2 to foh.out 15-16 pa
  mix 1 to stage 1 wedge \"Lead\" of lead, band
}
record all inputs
allow single-run because \"one cable is what there is\"
";

const ACTS: &str = "\
show \"Fair\"
desk foh is desk-48
box stage is box-16x8 on foh.portA offset 1 cable 60 m screened locking
inputs {
  1 kick boundary from stage 1 phantom
  2 lead dynamic from stage 2
}
outputs { mix 1 to stage 1 wedge of lead }
act heron \"Heron\" from 17:00 to 17:40 {
  inputs { 9 fiddle condenser from stage 9 phantom }
}
act kestrel \"Kestrel Field\" from 18:00 to 19:00 {
  inputs { 2 voice dynamic from stage 10 }
  outputs { mix 2 to stage 2 wedge of voice }
}
";

struct Made {
    compiled: Compiled,
    index: Index,
}

/// The first file is the show's.
fn made(files: &[(&str, &str)]) -> Made {
    let root = files.first().map_or("", |(name, _)| name);
    let files = files.iter().fold(InMemory::default(), |all, (name, text)| all.with(name, *text));
    let compiled = compile(Path::new(root), &files);
    let index = Index::of(&compiled);
    Made { compiled, index }
}

fn of(text: &str) -> Made {
    made(&[("show.fantail", text)])
}

impl Made {
    /// The byte at `|` of a piece of the file that stands there once.
    fn place(&self, file: &str, piece: &str) -> (crate::source::FileId, u32) {
        let file = self.compiled.sources.iter().find(|known| known.name.ends_with(file)).unwrap();
        let (before, after) = piece.split_once('|').unwrap();
        let piece = format!("{before}{after}");
        assert_eq!(file.text.matches(&piece).count(), 1, "`{piece}` in {}", file.name);
        (file.id, u32::try_from(file.text.find(&piece).unwrap() + before.len()).unwrap())
    }

    fn hover(&self, piece: &str) -> String {
        self.hover_in("show.fantail", piece)
    }

    fn hover_in(&self, file: &str, piece: &str) -> String {
        let (file, offset) = self.place(file, piece);
        hover(&self.compiled, &self.index, file, offset).map(|hover| hover.plain()).unwrap_or_default()
    }
}
