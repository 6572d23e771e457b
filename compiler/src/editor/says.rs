//! What each word of the language means, by the part of the grammar that it stands in. The only table of that:
//! hovers, completion and signatures read it. A word that is missing here, or a line that no word of the grammar
//! reads, fails a test.

type Words = &'static [(&'static str, &'static str)];

/// A list's first sentence fits on a line beside the word. The empty part is every other.
const PARTS: &[(&str, Words)] = &[
    ("", GEAR),
    ("version", &[("fantail", "The version of the language: `fantail 1`, on the first line.")]),
    ("show", SHOW),
    ("include", INCLUDE),
    ("rate", &[("rate", "The sample rate of the show. Without it 48 kHz.")]),
    ("clock", &[("clock", "The device that clocks the rig. Without it the only desk.")]),
    (
        "inputs",
        &[("inputs", "The input list of a desk: channel, name, microphone, socket and the rest, a source a row.")],
    ),
    ("inputs-same", SAME),
    ("outputs", &[("outputs", "What leaves where: each mix, the socket that it must reach, what it is for.")]),
    ("personal", &[("personal", "The numbered personal-monitor feeds of a desk.")]),
    ("sources", SOURCES),
    ("record", RECORD),
    ("keep", KEEP),
    ("group", &[("group", "One name for several sources.")]),
    ("set", SET),
    ("act", ACT),
    ("expect", &[("expect", "Must hold of the finished plan, in every act. It adds no want of its own.")]),
    ("reaches", REACHES),
    ("spare-inputs", SPARE_INPUTS),
    ("latency", LATENCY),
    ("allow", ALLOW),
    ("change", CHANGE),
    ("without", WITHOUT),
    ("no", &[("no", "Takes an attribute away: `no phantom`."), ("48V", "The same as `phantom`.")]),
    ("link", &[("link", "A cable between two ports, on a line of its own."), ("to", "The other end.")]),
    ("loom", &[("loom", "A run of analogue lines: these points to those, in order."), ("to", "The other end.")]),
    ("spare-cable", &[("spare", "A cable that is laid and not plugged in.")]),
    ("device-attribute", DEVICE),
    ("mode", &[("offset", "Where this bank begins to take its outputs. Without it the search chooses.")]),
    ("cable", CABLE),
    ("run-attribute", &[("dead", "Lines that do not work: nothing may use them.")]),
    ("reserved", &[("reserved", "Lines kept for something else: nothing may use them.")]),
    ("place", PLACE),
    ("words", WORDS),
    ("to", TO),
    ("input-attribute", INPUT),
    ("pickup", PICKUP),
    ("row-attribute", ROW),
    ("output-attribute", &[("of", "What the mix carries: sources, groups, or `all inputs but …`.")]),
    ("use", USE),
    ("carrier", &[("carrier", "How signals travel between ports: slots by rate, length, what the cable wants.")]),
    ("carrier-row", CARRIER),
    ("kind", &[("kind", "A kind of microphone or line: its level, what it makes of 48 V.")]),
    ("kind-row", KIND),
    ("feed", FEED),
    ("mic", &[("mic", "A microphone by its own name, with its kind and what was measured of it.")]),
    ("mic-row", MIC),
    ("model", MODEL),
    ("model-row", MODEL_ROW),
    ("bank-fact", BANK),
    ("port", PORT),
    ("passes", PASSES),
    ("rides", RIDES),
    ("takes", TAKES),
    ("copies", COPIES),
    ("route", ROUTE),
    ("how", HOW),
    ("block", &[("block", "A named block of unlike points, which routes can name.")]),
    ("reserved-slots", RESERVED_SLOTS),
];

const GEAR: Words = &[
    ("desk", "A mixing desk, with the model that it is."),
    ("console", "The same as `desk`."),
    ("box", "A stage box: sockets on stage at the end of a link."),
    ("hub", "A hub for personal monitors: plays the numbered feeds of its desk."),
    ("snake", "A sub-snake: lines that are plugged straight into another device."),
    ("split", "A split: every line goes on by several legs, direct or behind transformers."),
    ("recorder", "A recorder on links of its own. It follows the channels of the desk that it hangs on."),
    ("outside", "Gear that others bring, with the banks that it offers."),
];

const SHOW: Words = &[
    ("show", "The show's title, venue and date. A file that says it is the first file of a show."),
    ("at", "The venue."),
    ("on", "The date."),
];

const INCLUDE: Words = &[
    ("include", "Brings another file in, by its path from this one's folder. Twice counts once."),
    ("outside", "The file may stand above the folder of the show's folder."),
];

const SAME: Words = &[
    ("inputs", "The input list of a desk."),
    ("same", "`same as`: another desk's list, row for row."),
    ("as", "`same as`: another desk's list, row for row."),
];

const SOURCES: Words = &[
    ("all", "`all inputs`: every source. In a mix those on its desk's channels."),
    ("inputs", "`all inputs`: every source. In a mix those on its desk's channels."),
    ("but", "All of them but these."),
];

const RECORD: Words = &[
    ("record", "What is recorded: track n takes what channel n takes, at the preamp."),
    ("on", "The desk or recorder."),
    ("for", "How long it runs."),
];

const KEEP: Words = &[
    ("keep", "A source that must never arrive there: proven, or shown where it leaks."),
    ("out", "`out of`: where it must never arrive."),
    ("of", "`out of`: where it must never arrive."),
];

const SET: Words = &[
    ("set", "A pin: these points are fed by those, and the search does not move it."),
    ("from", "What feeds them, in order."),
];

const ACT: Words = &[
    ("act", "What one act has of its own. What stands outside acts holds in all of them."),
    ("from", "When it begins."),
    ("to", "When it ends, after midnight too."),
];

const REACHES: Words =
    &[("reaches", "The source must arrive there."), ("not", "`not reaches`: it must never arrive there.")];

const SPARE_INPUTS: Words = &[
    ("spare", "`spare inputs`: how many inputs stay free."),
    ("inputs", "`spare inputs`: how many inputs stay free."),
    ("on", "On which box, or on each."),
    ("each", "`each box`: every one of them."),
    ("box", "`each box`: every one of them."),
    ("at", "`at least`: the fewest that stay free."),
    ("least", "`at least`: the fewest that stay free."),
];

const LATENCY: Words = &[
    ("latency", "The time from a source to an end, all hops together."),
    ("from", "Where it begins."),
    ("to", "Where it ends."),
    ("under", "The most that it may take."),
];

const ALLOW: Words = &[
    ("allow", "Silences a warning or note about a thing, with the reason."),
    ("on", "The thing that it is about."),
    ("because", "The reason, which `allow` must give."),
];

const CHANGE: Words = &[
    ("change", "Replaces the attributes named of something that is declared elsewhere."),
    ("input", "A row of an input list, by its name."),
    ("channel", "Other channels."),
    ("output", "A row of an output list, by its mix."),
    ("personal", "Personal-monitor feeds, by their numbers."),
    ("of", "Other contents or members."),
    ("link", "A link, by its ends."),
    ("to", "The other end."),
    ("loom", "A run of lines, by its first end."),
    ("group", "A group, whose members are replaced."),
    ("rate", "The show's rate."),
    ("clock", "The show's clock."),
];

const WITHOUT: Words = &[
    ("without", "Takes out something that is declared elsewhere. It renumbers nothing."),
    ("input", "A row of an input list, by its name."),
    ("output", "A row of an output list, by its mix."),
    ("personal", "Personal-monitor feeds, by their numbers."),
    ("link", "A link, by its ends."),
    ("to", "The other end."),
    ("loom", "A run of lines, by its first end."),
    ("group", "A group. Its sources stay."),
    ("act", "An act, with all that it has of its own."),
    ("record", "Every `record` that was taken over."),
    ("rate", "The show's rate."),
    ("clock", "The show's clock."),
];

const DEVICE: Words = &[
    ("is", "The model that it is."),
    ("on", "The port that it hangs on."),
    ("redundant", "A second cable to another port, which carries what the main one carries."),
    ("offset", "The slot where its outputs begin. Without it the search chooses one."),
    ("slot", "The slot where its own inputs ride, on a model that rides at a setting."),
    ("gain", "`gain by`: the desk that sets the gains of its preamps. The others trim."),
    ("by", "`gain by`: the desk that sets the gains of its preamps. The others trim."),
    ("lifted", "Legs of a split whose ground is lifted. No protective earth is ever lifted."),
    ("space", "What is free on what it records to."),
    ("clock", "What it runs on, where that is not its link: `internal`, or `external` and which."),
    ("internal", "It runs on its own clock."),
    ("external", "It runs on a clock that is wired to it."),
    ("rate", "It runs at another rate than the show's."),
    ("converts", "A sample-rate converter stands at its digital lines."),
    ("backup", "`backup of`: it takes over where that one fails. Both must run on one clock."),
    ("of", "`backup of`: it takes over where that one fails. Both must run on one clock."),
    ("supply", "The mains supply that it is plugged into. Supplies and earth are for licensed people."),
];

const CABLE: Words = &[
    ("cable", "The length of its cable, its parts joined by `+`."),
    ("screened", "The cable is screened."),
    ("locking", "The cable's connectors lock."),
];

const PLACE: Words = &[
    ("at", "Where it stands: one of the nine stage places, metres, or a text."),
    ("place", "Where it stands: one of the nine stage places, metres, or a text."),
    ("USR", "Upstage right. Left and right are the performer's."),
    ("USC", "Upstage centre."),
    ("USL", "Upstage left. Left and right are the performer's."),
    ("SR", "Stage right. Left and right are the performer's."),
    ("C", "Centre stage."),
    ("SC", "Centre stage."),
    ("SL", "Stage left. Left and right are the performer's."),
    ("DSR", "Downstage right, near the audience. Left and right are the performer's."),
    ("DSC", "Downstage centre, near the audience."),
    ("DSL", "Downstage left, near the audience. Left and right are the performer's."),
];

const WORDS: Words = &[("who", "Who plays, sings or hears it."), ("note", "A remark for the sheets.")];

const TO: Words =
    &[("to", "The sockets that it must reach, one for each."), ("and", "Begins another full list: it goes there too.")];

const INPUT: Words = &[
    ("from", "The socket that it is plugged into. `any` leaves the socket to the compiler."),
    ("any", "The compiler finds a free socket, and keeps it from act to act where it can."),
    ("via", "A bank that the signal must pass, such as the leg of a split."),
    ("phantom", "It gets 48 V. Mute the outputs before it is switched or anything is plugged."),
    ("48V", "The same as `phantom`. Mute the outputs before it is switched or anything is plugged."),
    ("48", "The same as `phantom`. Mute the outputs before it is switched or anything is plugged."),
    ("V", "The same as `phantom`. Mute the outputs before it is switched or anything is plugged."),
    ("gain", "The gain of the preamp on the way to this desk."),
    ("pad", "The pad of the preamp on the way to this desk is in."),
    ("stand", "The stand: tall, short, clip, straight or none."),
    ("tall", "A tall stand with a boom."),
    ("short", "A short stand."),
    ("clip", "A clip on the instrument, and no stand."),
    ("straight", "A straight stand."),
    ("none", "No stand."),
    ("level", "How loud it gets at the microphone, as sound pressure."),
    ("pickup", "What the instrument gives to its DI: passive, piezo, active or line."),
    ("lifted", "The ground lift of this DI is on. No protective earth is ever lifted."),
    ("spare", "A channel or socket kept ready. `spare for` says what it stands in for."),
    ("for", "What it stands in for."),
    ("polarity", "`polarity inverted`: the channel turns its polarity over."),
    ("inverted", "`polarity inverted`: the channel turns its polarity over."),
    ("ears-only", "It goes to in-ears, personal feeds and tracks, and nowhere else."),
    ("data", "Time code or a tone: its own track, and no mix."),
];

const PICKUP: Words = &[
    ("passive", "A passive pickup."),
    ("piezo", "A piezo pickup."),
    ("active", "An active pickup."),
    ("line", "A line level."),
];

const ROW: Words = &[
    ("stereo", "Left and right of one thing, on two numbers."),
    ("priority", "How much the row matters where not all can hold: must, should or may."),
    ("must", "It comes before all that is not `must`."),
    ("should", "The usual priority."),
    ("may", "It is given up first."),
];

const USE: Words = &[
    ("pa", "The main loudspeakers for the audience. In a `keep`: all that the audience hears."),
    ("sub", "Subwoofers, to the audience."),
    ("fill", "Fills, to the audience."),
    ("delay", "Delayed loudspeakers, to the audience."),
    ("wedge", "A floor monitor on stage."),
    ("side-fill", "A side fill on stage."),
    ("in-ears", "In-ear monitors, heard by one performer alone. Keep levels safe for hearing."),
    ("broadcast", "To a truck or a stream, outside."),
    ("press", "To the press, outside."),
    ("relay", "To other rooms, outside."),
    ("hearing-loop", "To a hearing loop, outside."),
    ("record", "To a recorder that others bring."),
    ("effects", "To an effects unit."),
    ("comms", "To the crew's intercom."),
];

const CARRIER: Words = &[
    ("slots", "How many signals it carries each way, at a rate."),
    ("at", "The rate that this number holds at."),
    ("length", "The longest cable."),
    ("screened", "It wants a screened cable."),
    ("locking", "It wants connectors that lock."),
    ("latency", "The time that one hop takes."),
];

const KIND: Words = &[
    ("signal", "The level that it gives: mic, line, instrument."),
    ("phantom", "What it makes of 48 V: needs it, tolerates it, or must never have it."),
    ("needs", "Silent without 48 V."),
    ("tolerates", "Works with 48 V and without."),
    ("never", "48 V can damage it, or is of no use to it."),
    ("suits", "Of a DI, the pickups that it is made for."),
    ("data", "No sound that anybody may hear: in no mix."),
    ("talkback", "Speech to the crew and the stage: to no audience."),
    ("mains", "What gives it has a switch of its own, and is switched on before what it feeds."),
];

const FEED: Words = &[
    ("feed", "Whether one kind of signal may feed another: fine, warn or error."),
    ("to", "What it is plugged into."),
    ("fine", "Nothing is said."),
    ("warn", "It is warned of, with the text."),
    ("error", "It cannot be, by the text."),
];

const MIC: Words = &[
    ("kind", "What kind of microphone it is."),
    ("sensitivity", "What it gives at 94 dB SPL, in mV/Pa."),
    ("needs", "The current that it draws from 48 V."),
    ("max", "The loudest that it takes."),
    ("note", "A remark for the sheets."),
];

const MODEL: Words = &[
    ("model", "A model of gear: banks, ports, and what may feed what inside."),
    ("like", "All of that model, then what is said here."),
];

const MODEL_ROW: Words = &[
    ("pairs", "Stereo pairs of these banks start on odd numbers."),
    ("latency", "The time from a socket to a port or back, or through a desk."),
    ("phantom", "`phantom limit`: the current that all its 48 V switches give together."),
    ("limit", "`phantom limit`: the current that all its 48 V switches give together."),
    ("draws", "The mains power that it takes."),
    ("strip", "So many letters a channel strip of the desk shows."),
    ("converts", "A sample-rate converter stands at its digital lines."),
    ("label", "How sheets call it."),
];

const BANK: Words = &[
    ("in", "Sockets where sources and lines arrive. Of 48 V: `in groups of N`."),
    ("out", "Sockets where signals leave."),
    ("inner", "Points inside, such as channels and tracks."),
    ("origin", "Signals of its own, such as mixes and playback."),
    ("end", "Signals end here, as in channels."),
    ("gain", "The range of the preamps' gain."),
    ("to", "The most that the range goes to."),
    ("phantom", "Sockets with a 48 V switch: `each`, `in groups of N`, or `none`."),
    ("each", "A switch for each socket."),
    ("groups", "`in groups of N`: one switch for so many sockets."),
    ("of", "`in groups of N`: one switch for so many sockets."),
    ("none", "No 48 V."),
    ("pad", "The preamps have a pad."),
    ("clip", "The level at which the sockets clip."),
    ("isolated", "Behind a transformer: it passes no 48 V."),
];

const PORT: Words = &[
    ("port", "A port: its carrier, what it faces, whether it powers or needs power."),
    ("to", "What it faces: a desk, the next box, or any."),
    ("desk", "It faces a desk."),
    ("next", "It faces the next box."),
    ("any", "It faces either way."),
    ("powers", "It gives power to what hangs on it."),
    ("needs", "`needs power`: what it hangs on must power it."),
    ("power", "`needs power`: what it hangs on must power it."),
];

const PASSES: Words = &[
    ("passes", "What arrives at either port leaves by the other."),
    ("one", "`one way`: only from the first to the second."),
    ("way", "`one way`: only from the first to the second."),
];

const RIDES: Words = &[
    ("rides", "Own inputs ride a port: stacked, from a slot that is set, or from a fixed one."),
    ("stacked", "Behind the inputs of the boxes nearer the desk."),
    ("at", "From this slot, or `at a setting`: from one of these."),
    ("a", "`at a setting`: from one of these slots."),
    ("setting", "`at a setting`: from one of these slots."),
];

const TAKES: Words = &[
    ("takes", "Outputs play slots of a port, from an offset or a fixed slot."),
    ("offset", "The slots from which it may begin."),
    ("at", "The slot from which it begins."),
    ("in", "`in mode`: only while the bank is set to that."),
    ("mode", "`in mode`: only while the bank is set to that."),
    ("first", "`first desk only`: plays only what the box's first desk puts there."),
    ("desk", "`first desk only`: plays only what the box's first desk puts there."),
    ("only", "`first desk only`: plays only what the box's first desk puts there."),
];

const COPIES: Words = &[
    ("copies", "The bank repeats another."),
    ("from", "The point of the other at which it begins."),
    ("in", "`in mode`: only while the bank is set to that."),
    ("mode", "`in mode`: only while the bank is set to that."),
];

const ROUTE: Words = &[
    ("from", "What may feed a bank or the way out of a port."),
    ("at", "`at most N`: so many may be fed by this at a time. Or at which rate."),
    ("most", "`at most N`: so many points may be fed by this at a time."),
];

const HOW: Words = &[
    ("in", "`in blocks of N`: N points at a time, from 1, N+1 and so on."),
    ("blocks", "`in blocks of N`: N points at a time, from 1, N+1 and so on."),
    ("of", "`in blocks of N`: N points at a time, from 1, N+1 and so on."),
    ("one", "`one by one`: each point by itself."),
    ("by", "`one by one`: each point by itself."),
    ("straight", "Point n from point n, always."),
];

const RESERVED_SLOTS: Words = &[
    ("reserved", "Slots that only that bank may ride."),
    ("for", "The bank that they are kept for."),
    ("at", "Only at this rate."),
];

/// What a word says where it stands; empty where the language has no such word there.
pub(super) fn says(part: &str, word: &str) -> &'static str {
    let find = |wanted: &str| {
        let words = PARTS.iter().find(|(part, _)| *part == wanted).map(|(_, words)| *words)?;
        words.iter().find(|(said, _)| *said == word).map(|(_, line)| *line)
    };
    find(part).or_else(|| find("")).unwrap_or("")
}

/// The first sentence, for where there is a line of room.
pub(super) fn in_short(part: &str, word: &str) -> &'static str {
    let line = says(part, word);
    line.split_once(". ").map_or(line, |(first, _)| first).trim_end_matches('.')
}

#[cfg(test)]
mod tests {
    use super::{PARTS, says};
    use crate::editor::grammar::{self, Sign, is_a_word};
    use crate::syntax::words;
    use std::collections::BTreeSet;

    /// By the part that each stands in; units are units of the grammar's numbers.
    fn words_of_the_grammar() -> BTreeSet<(&'static str, &'static str)> {
        let rows = grammar::ROWS.iter().filter_map(|name| grammar::row(name));
        let wants = rows.flat_map(|row| row.whole(&[])).filter(|want| !want.unit);
        wants
            .filter_map(|want| match want.sign {
                Sign::Word(word) if is_a_word(word) => Some((want.part, word)),
                _ => None,
            })
            .collect()
    }

    #[test]
    fn every_word_of_the_language_is_explained_wherever_it_stands_and_nothing_else() {
        let written = words_of_the_grammar();
        let unsaid: Vec<_> = written.iter().filter(|(part, word)| says(part, word).is_empty()).collect();
        assert!(unsaid.is_empty(), "nothing says what these mean: {unsaid:?}");
        for word in words::all() {
            assert!(written.iter().any(|(_, known)| *known == word), "the grammar's page has no `{word}`");
        }
        let table = PARTS.iter().flat_map(|(part, words)| words.iter().map(move |(word, _)| (*part, *word)));
        let said: Vec<_> = table.collect();
        let read = |part: &str, word: &str| match part {
            "" => written.iter().any(|(at, known)| *known == word && !said.contains(&(*at, word))),
            _ => written.contains(&(part, word)),
        };
        let unread: Vec<_> = said.iter().filter(|(part, word)| !read(part, word)).collect();
        assert!(unread.is_empty(), "no word of the grammar reads these: {unread:?}");
        let once: BTreeSet<_> = said.iter().collect();
        assert_eq!(once.len(), said.len(), "some word is explained twice");
    }

    #[test]
    fn a_line_is_a_sentence_whose_first_one_is_short() {
        for (part, words) in PARTS {
            for (word, line) in *words {
                let first = super::in_short(part, word);
                assert!(line.ends_with('.') && first.chars().count() <= 90, "{part} {word}: {line}");
            }
        }
    }
}
