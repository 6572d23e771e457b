//! What goes wrong on real stages, by number, and what answers each: a rule, an `expect`, the language itself, a
//! sheet that the plan prints, or a line of the crew's check list. The page in `grammar/` is written from
//! here; a test holds it to the rules and to the golden cases that it names.

use fantail::sheets::reminders;
use std::fmt::Write;

/// What answers a situation.
pub enum Answer {
    /// A rule tells it.
    Rule(&'static str),
    /// An `expect` form checks it.
    Expect(&'static str),
    /// It cannot be said, or comes out right of itself.
    Language(&'static str),
    /// The plan as printed shows it.
    Plan(&'static str),
    /// No plan can know it: a line of the check list.
    Paper(&'static str),
    /// Not answered yet.
    Open(&'static str),
}

use Answer::{Expect, Language, Open, Paper, Plan, Rule};

pub struct Situation {
    pub number: u32,
    pub what: &'static str,
    pub answer: Answer,
    /// The golden case that shows it; none for what stands on paper alone or is open.
    pub case: &'static str,
}

/// Every situation, in order.
pub fn all() -> Vec<Situation> {
    let rows = TABLE.iter().zip(1u32..);
    rows.map(|((what, answer, case), number)| Situation { number, what, answer: answer.copied(), case }).collect()
}

impl Answer {
    fn copied(&self) -> Answer {
        match self {
            Rule(text) => Rule(text),
            Expect(text) => Expect(text),
            Language(text) => Language(text),
            Plan(text) => Plan(text),
            Paper(text) => Paper(text),
            Open(text) => Open(text),
        }
    }
}

/// The page in `grammar/`.
pub fn page() -> String {
    let mut page = String::from(
        "# Situations\n\nWhat goes wrong on real stages, and what answers it. Written from a table in `tests/`; a test holds \
         it to the rules and to the\ngolden cases. A rule is told by the compiler; *language* means that it cannot be said \
         wrong, or comes out right of itself;\n*plan* that the printed plan shows it; *paper* that no plan can know it, with \
         the line of the crew's check list.\n\n",
    );
    let all = all();
    let count = |wanted: fn(&Answer) -> bool| all.iter().filter(|row| wanted(&row.answer)).count();
    let (paper, open) = (count(|a| matches!(a, Paper(_))), count(|a| matches!(a, Open(_))));
    let _ = writeln!(page, "Answered by the compiler: {} of 99; on paper: {paper}; open: {open}.\n", 99 - paper - open);
    page.push_str("| | situation | answer | | golden case |\n|---|---|---|---|---|\n");
    for row in &all {
        let (kind, text) = match row.answer {
            Rule(slug) => ("rule", format!("`{slug}`")),
            Expect(form) => ("expect", format!("`{form}`")),
            Language(text) => ("language", text.to_string()),
            Plan(text) => ("plan", text.to_string()),
            Paper(text) => ("paper", text.to_string()),
            Open(text) => ("open", text.to_string()),
        };
        let _ = writeln!(page, "| A{:02} | {} | {kind} | {text} | {} |", row.number, row.what, row.case);
    }
    page
}

/// In order, from A01.
const TABLE: &[(&str, Answer, &str)] = &[
    ("the second box repeats the first one's outputs", Rule("mirrored-outputs"), "both boxes at one offset"),
    (
        "an output number guessed from an input number",
        Language("inputs follow the chain, outputs each box's offset"),
        "an output is not numbered like an input",
    ),
    ("one channel needs a source from another block", Rule("impossible-block"), "a source from the next block"),
    (
        "a patch slipped by one row",
        Language("channels are found from the sockets, never counted"),
        "A04: a list that is moved by one",
    ),
    ("one source on four channels of a desk", Rule("source-on-many-channels"), "A05: one source on four channels"),
    ("two sources in one socket", Rule("socket-used-twice"), "two rows in the same sockets"),
    ("two mixes for one output", Rule("socket-used-twice"), "a socket that two mixes want"),
    ("a signal reaches the desk and no channel takes it", Rule("box-unheard"), "A08: a box that no channel hears"),
    ("renumbered in several places", Rule("renumbered-on-the-way"), "A09: renumbered at the riser and at the split"),
    (
        "a return block with fixed, mixed contents",
        Language("a model's named block says each point"),
        "the named block of unlike outputs, asked for",
    ),
    (
        "the singer hears raw channels in place of a mix",
        Rule("raw-to-loudspeakers"),
        "A11: a raw channel to a singer's ears",
    ),
    ("a box passes audio while its control is lost", Paper(reminders::CONTROL_LOST), ""),
    (
        "the chain the other way round tomorrow",
        Language("sources are bound to a box and its socket by name"),
        "the chain the other way round",
    ),
    ("a fourth box falls off the link", Rule("slot-past-the-link"), "four boxes of sixteen on one link"),
    (
        "a box of twelve breaks the blocks of eight",
        Rule("chain-off-the-blocks"),
        "a box of twelve before a box of sixteen",
    ),
    ("a link in the wrong port", Rule("wrong-port"), "a box cabled to the wrong port"),
    (
        "a box in the middle loses power",
        Rule("must-behind-another-box"),
        "A17: the lead vocal at the far end of the chain",
    ),
    (
        "a list longer than the house desk",
        Rule("list-longer-than-the-desk"),
        "A18: 38 rows on a desk of twenty channels",
    ),
    (
        "two linked desks are not one large desk",
        Rule("mix-without-its-source"),
        "A19: a mix of sources that its desk does not hear",
    ),
    ("more inputs than tracks", Rule("no-such-point"), "A20: 27 inputs and eight tracks"),
    ("two clock masters", Rule("second-clock"), "A21: two clock masters"),
    ("a house clock wired to each box", Rule("clock-wired-apart"), "A22: a house clock wired to each box"),
    ("playback at 44.1 kHz in a show at 48 kHz", Rule("rates-differ"), "A23: a player at another rate"),
    ("a digital device clips on all lines at once", Paper(reminders::ALL_LINES_CLIP), ""),
    (
        "two players share time code and no clock",
        Rule("backup-on-another-clock"),
        "A25: a backup player on a clock of its own",
    ),
    (
        "the rate doubled, the channel count assumed unchanged",
        Rule("slot-past-the-link"),
        "two boxes of sixteen at the double rate",
    ),
    ("a condenser without 48 V", Rule("phantom-missing"), "A27: overheads without 48 V"),
    ("48 V asked for from an isolated leg", Rule("phantom-undeliverable"), "A28: 48 V from the isolated leg"),
    ("nobody, or both desks, told to supply 48 V", Rule("phantom-from-two"), "A29: both desks told to supply 48 V"),
    ("48 V switched in groups", Rule("phantom-shared-switch"), "phantom in groups with a source that must not have it"),
    ("48 V into a line output", Rule("phantom-forbidden"), "A31: 48 V asked for on a laptop"),
    (
        "a ribbon in a socket that had 48 V",
        Rule("phantom-left-on-a-ribbon"),
        "changeover: a ribbon where a condenser stood",
    ),
    ("an active DI with its ground lifted", Rule("lift-cuts-phantom"), "A33: an active DI with its ground lifted"),
    ("48 V switched while packs are in ears", Paper(reminders::BEFORE_PACKS), ""),
    (
        "a pair whose sides need different phantom",
        Language("phantom, gain and source stay with each side"),
        "A35: a condenser and a dynamic on one amplifier",
    ),
    ("two desks turn one gain", Rule("gain-said-twice"), "A36: two desks state one gain"),
    (
        "the second desk is fed after the owner's trim",
        Language("a desk's list is taken at the preamp, never from another desk's channel"),
        "a second desk over a link",
    ),
    (
        "the second desk cannot drive the box's outputs",
        Rule("driven-by-first-desk-only"),
        "the wrong desk for a box's outputs",
    ),
    ("a loaded show expects the box elsewhere", Paper(reminders::LOOK_FOR_BOXES), ""),
    ("the wrong leg of a split is lifted", Rule("nearest-leg-lifted"), "A40: the nearest leg lifted"),
    ("too many passive splits", Rule("too-many-legs"), "A41: five passive legs"),
    ("one side of a pair at another gain", Rule("pair-gains-differ"), "A42: keys left and right at unlike gains"),
    ("the show starts on the recorder's playback", Rule("pin-in-the-way"), "A43: channels left on the recorder"),
    (
        "a track without a name, or empty",
        Plan("each track with its name and source, unused ones said"),
        "A44: tracks by name",
    ),
    (
        "a track taken after processing",
        Language("a track takes what its channel takes, at the preamp"),
        "tracks follow the channels' sources",
    ),
    ("the recorder's medium is blank at the end", Paper(reminders::PLAY_BACK), ""),
    ("the disk runs out", Rule("recorder-full"), "A47: 48 tracks for three hours"),
    (
        "a recorder pairs two tracks of its own accord",
        Plan("each track named; pairs only where a row says `stereo`"),
        "A48: two tracks that are no pair",
    ),
    ("a record of the main mix lacks what is not in it", Rule("feed-lacks"), "A49: a record of the main mix"),
    ("a wedge plugged to the wrong mix", Paper(reminders::SPEAK_INTO_MIXES), ""),
    (
        "stereo in-ears counted as one output",
        Language("a stereo mix is two points, each with a socket"),
        "A51: more stereo mixes than sockets",
    ),
    (
        "line outputs in the slots of personal feeds",
        Rule("offset-on-reserved-slots"),
        "line outputs that reach into the reserved slots",
    ),
    ("more sources than personal feeds", Rule("not-offered"), "A53: 24 sources and 16 feeds"),
    ("a stereo source on an even feed", Rule("pair-on-even"), "A54: a pair on an even feed"),
    ("the click reaches the audience", Rule("ears-only-leaks"), "A55: a click in a wedge"),
    (
        "the way to the ears takes too long",
        Expect("expect latency from kick-in to stage-left.out 7 under 5 ms"),
        "A56: the singer's ears",
    ),
    ("one microphone by two ways into one mix", Rule("two-ways-into-one-mix"), "A57: a snare by two ways"),
    ("ambience microphones in the PA", Rule("kept-source-leaks"), "A58: ambience in the PA"),
    ("one gain, two channels", Rule("gain-said-twice"), "A59: house and monitor channels of one preamp"),
    (
        "kit B is heard where kit A stood",
        Language("each act's rows say what stands in its sockets"),
        "two acts with a drum kit each",
    ),
    ("named by the singer, not by the place", Rule("act-without-place"), "A61: a lead who stands elsewhere"),
    (
        "a colour and no number",
        Language("every box, line and socket has a name and a number"),
        "A62: sub-snakes by name and number",
    ),
    (
        "a trunk used again by another act's sub-snake",
        Plan("each act says which sub-snake is on which lines"),
        "gear that one act brings",
    ),
    ("a guest's show file takes over the house outputs", Paper(reminders::GUEST_FILE), ""),
    (
        "a change of patch that changes gains too",
        Plan("an act lists routes, plugs, 48 V and gain apart"),
        "A65: an act that moves a source and no gain",
    ),
    ("an input that nobody listed", Expect("expect spare inputs on each box at least 2"), "A66: no spare line"),
    ("old labels left on", Paper(reminders::OLD_LABELS), ""),
    (
        "a support act wants shared drums on other channels",
        Language("a second row with the name is a double patch"),
        "a double patch",
    ),
    ("sub-snake socket, line, box socket", Plan("the whole way on one row"), "a sub-snake"),
    ("a dead line, unmarked", Rule("line-out-of-use"), "A70: a tom on a dead line"),
    ("a link longer than its limit", Rule("cable-too-long"), "A71: two lengths and a coupler"),
    ("an office cable as a snake", Rule("cable-not-built-for-it"), "A72: a cable that is not screened"),
    ("a network switch in a point-to-point link", Rule("unlike-carriers"), "A73: a network switch in the link"),
    ("a link cable pinched", Paper(reminders::LINK_CABLE), ""),
    ("only one run of the link", Rule("single-run"), "A75: one run and no spare"),
    ("the redundant port used for another box", Rule("port-used-twice"), "A76: a box in the redundant port"),
    ("a name that fits two players", Rule("names-alike"), "A77: two guitars, one of them called guitar"),
    ("short labels that collide", Rule("labels-alike"), "A78: kick and keys on a short strip"),
    ("vocals scattered over the desk", Rule("group-scattered"), "A79: vocals here and there"),
    ("plot and list disagree", Language("places, list and plot come from one row"), "A80: a place said in the row"),
    ("stale paper", Paper(reminders::SAME_MARK), ""),
    ("what is unusual was never passed on", Paper(reminders::UNUSUAL), ""),
    ("a label upside down, or at one end only", Paper(reminders::TWO_LABELS), ""),
    (
        "a source put into the middle",
        Language("taking a row out or adding one renumbers nothing"),
        "A84: a tom put in on a free channel",
    ),
    ("a stereo keyboard on one DI", Rule("stereo-needs-two"), "A85: a stereo keyboard on one channel"),
    ("the wrong kind of DI", Rule("di-does-not-suit"), "A86: a passive bass into a passive DI"),
    ("line level into a microphone input", Rule("level-mismatch"), "A87: a receiver at line level"),
    ("two microphones of one drum in opposite polarity", Rule("polarity-alike"), "A88: snare top and bottom"),
    ("a wrong plug found at line check", Paper(reminders::SAY_THE_NAME), ""),
    ("gates hide a live line", Paper(reminders::GATES_OFF), ""),
    (
        "power in the wrong order",
        Plan("steps of switching on along the signal, what makes the sound last; off in reverse"),
        "A91: power along the signal",
    ),
    ("audio mains shared with other loads", Rule("supplies-differ"), "A92: a desk on the lighting supply"),
    ("talkback left open", Rule("talkback-heard"), "A93: the talkback in the PA"),
    ("broadcast taken from the house mix", Rule("feed-lacks"), "A94: a broadcast of the house mix"),
    ("a remote guest hears himself", Rule("returns-to-its-sender"), "A95: a guest who hears himself"),
    ("a radio microphone fails", Rule("spare-unlike"), "A96: a spare receiver of another level"),
    ("a switch's tone takes a channel", Rule("data-in-a-mix"), "A97: the tone of a playback switch"),
    ("time code on a fader", Rule("data-in-a-mix"), "A98: time code in the main mix"),
    ("a line of the multicore that is no audio line", Rule("line-out-of-use"), "a row on a reserved line"),
];
