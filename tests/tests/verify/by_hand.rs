//! The plans: gear, patch, and what must then be heard, worked out by hand.

pub const ALL: &[(&str, &str)] = &[
    ("two boxes in a chain", CHAIN),
    ("boxes of 8, 16 and 8", UNEVEN),
    ("inputs at a setting", AT_A_SETTING),
    ("picks", PICKS),
    ("a named block", EXTRAS),
    ("personal feeds", PERSONAL),
    ("optical as a copy", OPTICAL_COPY),
    ("optical as outputs", OPTICAL_OUTPUTS),
    ("a split", SPLIT),
    ("two desks", TWO_DESKS),
    ("a box that two desks share", SHARED),
    ("phantom in fours, a dead line", FOURS),
    ("two acts", ACTS),
];

const CHAIN: &str = "
    device foh desk desk
    device stage-left box-16x8 box
    device stage-right box-16x8 box
    cable foh.portA to stage-left.up
    cable stage-left.thru to stage-right.up
    spare foh.portA to stage-left.up
    redundant foh.portB to stage-left.up
    plug kick at stage-left.in 1 phantom
    plug bass at stage-left.in 8
    plug vocal at stage-left.in 16
    plug keys at stage-right.in 1
    set foh route channel 1-8 = foh.portA 1-8
    set foh route channel 9-16 = foh.portA 17-24
    set foh route channel 17-24 = foh.portA 9-16
    set foh route track 1-8 = foh.portA 1-8
    set foh route out 1 = foh.mix 1
    set foh route out 9 = foh.mix 9
    set foh route portA 1-8 = foh.out 1-8
    set foh route portA 9-16 = foh.out 9-16
    set stage-left phantom in 1 = on
    set stage-left offset out = 1
    set stage-right offset out = 9
    hear foh.mix 1: foh.mix 1 > foh.out 1
    hear foh.mix 1: foh.mix 1 > foh.out 1 > foh.portA 1 > stage-left.out 1 !
    hear foh.mix 9: foh.mix 9 > foh.out 9 !
    hear foh.mix 9: foh.mix 9 > foh.out 9 > foh.portA 9 > stage-left.thru 9 > stage-right.out 1 !
    hear kick: stage-left.in 1 > foh.portA 1 > foh.channel 1 !
    hear kick: stage-left.in 1 > foh.portA 1 > foh.track 1 !
    hear bass: stage-left.in 8 > foh.portA 8 > foh.channel 8 !
    hear bass: stage-left.in 8 > foh.portA 8 > foh.track 8
    hear vocal: stage-left.in 16 > foh.portA 16 > foh.channel 24 !
    hear keys: stage-right.in 1 > stage-left.thru 1 > foh.portA 17 > foh.channel 9 !
";

const UNEVEN: &str = "
    device foh desk desk
    device one box-8x8 box
    device two box-16x8 box
    device three box-8x8 box
    cable foh.portA to one.up
    cable one.thru to two.up
    cable two.thru to three.up
    plug a at one.in 8
    plug b at two.in 1
    plug c at two.in 16
    plug d at three.in 1
    set foh route channel 1-8 = foh.portA 1-8
    set foh route channel 9-16 = foh.portA 9-16
    set foh route channel 17-24 = foh.portA 17-24
    set foh route channel 25-32 = foh.portA 25-32
    hear a: one.in 8 > foh.portA 8 > foh.channel 8 !
    hear d: three.in 1 > two.thru 1 > one.thru 17 > foh.portA 25 > foh.channel 25 !
    hear b: two.in 1 > one.thru 1 > foh.portA 9 > foh.channel 9 !
    hear c: two.in 16 > one.thru 16 > foh.portA 24 > foh.channel 24 !
";

const AT_A_SETTING: &str = "
    device foh desk desk
    device one box-16x8-set box
    device two box-16x8-set box
    cable foh.portA to one.up
    cable one.thru to two.up
    plug a at one.in 1
    plug b at two.in 2
    set foh route channel 1-8 = foh.portA 33-40
    set foh route channel 9-16 = foh.portA 17-24
    set one slot in = 33
    set two slot in = 17
    hear a: one.in 1 > foh.portA 33 > foh.channel 1 !
    hear b: two.in 2 > one.thru 18 > foh.portA 18 > foh.channel 10 !
";

const PICKS: &str = "
    device foh desk desk
    device stage-left box-16x8 box
    cable foh.portB to stage-left.up
    plug talkback at foh.local 5
    plug kick at stage-left.in 9
    set foh route pick 1 = foh.portB 9
    set foh route pick 2 = foh.local 5
    set foh route channel 1-8 = foh.pick 1-8
    set foh route channel 9-16 = foh.portB 9-16
    hear talkback: foh.local 5 > foh.pick 2 > foh.channel 2 !
    hear kick: stage-left.in 9 > foh.portB 9 > foh.pick 1 > foh.channel 1 !
    hear kick: stage-left.in 9 > foh.portB 9 > foh.channel 9
";

const EXTRAS: &str = "
    device foh desk desk
    device stage-left box-16x8 box
    cable foh.portA to stage-left.up
    set foh route aux-out 4 = foh.mix 3
    set foh route phones 1 = foh.main 1
    set foh route phones 2 = foh.main 2
    set foh route portA 9-16 = foh.extras
    set stage-left offset out = 9
    hear foh.mix 3: foh.mix 3 > foh.aux-out 4
    hear foh.mix 3: foh.mix 3 > foh.aux-out 4 > foh.portA 12 > stage-left.out 4 !
    hear foh.main 1: foh.main 1 > foh.phones 1
    hear foh.main 1: foh.main 1 > foh.phones 1 > foh.portA 15 > stage-left.out 7 !
    hear foh.main 2: foh.main 2 > foh.phones 2
    hear foh.main 2: foh.main 2 > foh.phones 2 > foh.portA 16 > stage-left.out 8 !
";

const PERSONAL: &str = "
    device ears hub hub
    device foh desk desk
    device stage-left box-optical box
    device stage-right box-optical box
    device wings hub hub
    cable foh.portA to stage-left.up
    cable stage-left.thru to stage-right.up
    cable stage-left.personal to ears.up
    cable stage-right.personal to wings.up
    plug kick at stage-right.in 1
    set foh route channel 1-8 = foh.portA 17-24
    set foh route personal 1 = foh.channel 1
    set foh route personal 8 = foh.main 2
    hear foh.main 2: foh.main 2 > foh.personal 8 > foh.portA 48 > stage-left.personal 48 > ears.feed 8 !
    hear foh.main 2: foh.main 2 > foh.personal 8
    hear foh.main 2: foh.main 2 > foh.personal 8 > foh.portA 48 > stage-left.thru 48 > stage-right.personal 48 > wings.feed 8 !
    hear kick: stage-right.in 1 > stage-left.thru 1 > foh.portA 17 > foh.channel 1 > foh.personal 1 > foh.portA 41 > stage-left.personal 41 > ears.feed 1 !
    hear kick: stage-right.in 1 > stage-left.thru 1 > foh.portA 17 > foh.channel 1 !
    hear kick: stage-right.in 1 > stage-left.thru 1 > foh.portA 17 > foh.channel 1 > foh.personal 1
    hear kick: stage-right.in 1 > stage-left.thru 1 > foh.portA 17 > foh.channel 1 > foh.personal 1 > foh.portA 41 > stage-left.thru 41 > stage-right.personal 41 > wings.feed 1 !
";

const OPTICAL_COPY: &str = "
    device foh desk desk
    device stage-left box-optical box
    cable foh.portA to stage-left.up
    plug kick at stage-left.in 1 phantom
    plug far at stage-left.in 9
    set foh route channel 9-16 = foh.portA 9-16
    set stage-left phantom in 1 = on
    set stage-left mode optical = copy
    hear kick: stage-left.in 1 > stage-left.optical 1 !
    hear far: stage-left.in 9 > foh.portA 9 > foh.channel 9 !
";

const OPTICAL_OUTPUTS: &str = "
    device foh desk desk
    device stage-left box-optical box
    cable foh.portA to stage-left.up
    plug kick at stage-left.in 1
    set foh route out 1 = foh.mix 1
    set foh route portA 17-24 = foh.out 1-8
    set foh route portA 25-32 = foh.portA 1-8
    set stage-left offset out = 25
    set stage-left mode optical = outputs
    set stage-left offset optical = 17
    hear foh.mix 1: foh.mix 1 > foh.out 1
    hear foh.mix 1: foh.mix 1 > foh.out 1 > foh.portA 17 > stage-left.optical 1 !
    hear kick: stage-left.in 1 > foh.portA 1 > foh.portA 25 > stage-left.out 1 !
";

const SPLIT: &str = "
    device foh desk desk
    device monitors desk desk
    device riser snake snake
    device split split split
    device stage-left box-16x8 box
    cable foh.portA to stage-left.up
    run riser.tail 1-4 to split.in 1-4
    run split.direct 1-8 to stage-left.in 9-16
    run split.iso-a 1-8 to monitors.local 1-8
    plug overhead at riser.in 2 phantom > riser.tail 2 > split.in 2 > split.direct 2 > stage-left.in 10
    plug vocal at split.in 8
    set foh route channel 1-8 = foh.portA 9-16
    set monitors route channel 1-8 = monitors.local 1-8
    set stage-left phantom in 10 = on
    hear overhead: riser.in 2 > riser.tail 2 > split.in 2 > split.direct 2 > stage-left.in 10 > foh.portA 10 > foh.channel 2 !
    hear overhead: riser.in 2 > riser.tail 2 > split.in 2 > split.iso-a 2 > monitors.local 2 > monitors.channel 2 !
    hear overhead: riser.in 2 > riser.tail 2 > split.in 2 > split.iso-b 2
    hear vocal: split.in 8 > split.direct 8 > stage-left.in 16 > foh.portA 16 > foh.channel 8 !
    hear vocal: split.in 8 > split.iso-a 8 > monitors.local 8 > monitors.channel 8 !
    hear vocal: split.in 8 > split.iso-b 8
";

const TWO_DESKS: &str = "
    device foh desk desk
    device monitors desk desk
    device stage-left box-16x8 box
    cable foh.portA to stage-left.up
    cable monitors.portA to foh.portB
    plug kick at stage-left.in 1
    set foh route channel 1-8 = foh.portA 1-8
    set foh route portA 9-16 = foh.portB 17-24
    set foh route portB 9-16 = foh.portA 1-8
    set monitors route channel 1-8 = monitors.portA 9-16
    set monitors route out 2 = monitors.mix 5
    set monitors route portA 17-24 = monitors.out 1-8
    set stage-left offset out = 9
    hear monitors.mix 5: monitors.mix 5 > monitors.out 2
    hear monitors.mix 5: monitors.mix 5 > monitors.out 2 > monitors.portA 18 > foh.portA 10 > stage-left.out 2 !
    hear kick: stage-left.in 1 > foh.portA 1 > foh.channel 1 !
    hear kick: stage-left.in 1 > foh.portA 1 > monitors.portA 9 > monitors.channel 1 !
";

/// Port `a` stands first in the model, so its desk drives the outputs.
const SHARED: &str = "
    device foh desk desk
    device monitors desk desk
    device rack box-shared box
    cable foh.portA to rack.a
    cable monitors.portB to rack.b
    plug kick at rack.in 1
    set foh route channel 1-8 = foh.portA 1-8
    set foh route out 1 = foh.mix 1
    set foh route portA 1-8 = foh.out 1-8
    set monitors route channel 1-8 = monitors.portB 1-8
    hear foh.mix 1: foh.mix 1 > foh.out 1
    hear foh.mix 1: foh.mix 1 > foh.out 1 > foh.portA 1 > rack.out 1 !
    hear kick: rack.in 1 > foh.portA 1 > foh.channel 1 !
    hear kick: rack.in 1 > monitors.portB 1 > monitors.channel 1 !
";

const FOURS: &str = "
    device foh desk desk
    device riser snake snake 3
    device stage-left box-16x8-fours box
    cable foh.portB to stage-left.up
    run riser.tail 1-8 to stage-left.in 9-16
    plug a at riser.in 2 phantom > riser.tail 2 > stage-left.in 10
    plug b at riser.in 4
    plug c at riser.in 5
    set foh route channel 1-8 = foh.portB 9-16
    set stage-left phantom in 9-12 = on
    hear a: riser.in 2 > riser.tail 2 > stage-left.in 10 > foh.portB 10 > foh.channel 2 !
    hear b: riser.in 4 > riser.tail 4 > stage-left.in 12 > foh.portB 12 > foh.channel 4 !
    hear c: riser.in 5 > riser.tail 5 > stage-left.in 13 > foh.portB 13 > foh.channel 5 !
";

const ACTS: &str = "
    device foh desk desk
    device stage-left box-16x8 box
    cable foh.portA to stage-left.up
    plug talkback at foh.local 1
    plug vocal at stage-left.in 16
    set foh route channel 9-16 = foh.portA 9-16
    set foh route channel 33-40 = foh.local 1-8
    hear talkback: foh.local 1 > foh.channel 33 !
    hear vocal: stage-left.in 16 > foh.portA 16 > foh.channel 16 !
    act heron
    plug kick at stage-left.in 1 phantom
    set foh route channel 1-8 = foh.portA 1-8
    set stage-left phantom in 1 = on
    hear kick: stage-left.in 1 > foh.portA 1 > foh.channel 1 !
    act kestrel
    device kestrel.riser snake snake
    device kestrel.wing box-8x8 box
    cable stage-left.thru to kestrel.wing.up
    run kestrel.riser.tail 1-8 to kestrel.wing.in 1-8
    plug kestrel.kick at kestrel.riser.in 1
    set foh route channel 1-8 = foh.portA 17-24
    set foh route out 3 = foh.mix 7
    set foh route portA 1-8 = foh.out 1-8
    set kestrel.wing offset out = 1
    hear foh.mix 7: foh.mix 7 > foh.out 3
    hear foh.mix 7: foh.mix 7 > foh.out 3 > foh.portA 3 > stage-left.thru 3 > kestrel.wing.out 3 !
    hear kestrel.kick: kestrel.riser.in 1 > kestrel.riser.tail 1 > kestrel.wing.in 1 > stage-left.thru 1 > foh.portA 17 > foh.channel 1 !
";
