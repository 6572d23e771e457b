//! What can hurt somebody, said once for every sheet. All of it is common practice; where it touches mains, loads
//! or anything overhead it defers to local codes and to licensed people, and never tells how to do their work.

/// Switching phantom power.
pub(super) const PHANTOM: &str = "48 V: mute first. Plug, then switch it on, wait about 10 s, then open up. To unplug: \
                                  off, wait, unplug. None to a passive ribbon.";

/// Phantom power and ears.
pub(super) const PHANTOM_EARS: &str = "All 48 V goes on before in-ear packs go on. Once they are on: mute, switch, wait, \
                                       then open up.";

/// Levels in ears.
pub(super) const HEARING: &str =
    "Hearing: start in-ears and wedges low, and mute before anything is plugged or unplugged.";

/// Hum is never cured at the mains plug.
pub(super) const EARTH: &str = "Never lift or remove a protective earth, whatever hums.";

pub(super) const MAINS: &str = "Mains and loads: only licensed people, under local codes.";

pub(super) const OVERHEAD: &str = "Nothing goes overhead without a licensed rigger.";
