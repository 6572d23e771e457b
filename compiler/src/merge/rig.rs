//! The small show that merges are tried on: here and, by its path, in real repositories.

pub const RIG: &str = "show \"Night Ferry\"
desk foh   is desk-48
box  stage is box-16x8  on foh.portA  offset 1

# Drums
inputs foh {
  1  kick    boundary   from stage 1  phantom
  2  snare   dynamic    from stage 2
  # the loud one
  3  guitar  dynamic    from stage 3  gain 20 dB
}
outputs foh {
  mix 1  to stage 1  wedge
}
";

/// The show with those words in the place of others.
pub fn with(changes: &[(&str, &str)]) -> String {
    changes.iter().fold(RIG.to_string(), |text, (from, to)| {
        assert!(text.contains(from), "{from}");
        text.replace(from, to)
    })
}
