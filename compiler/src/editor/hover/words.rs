//! What each word of the language means, in a line, by the place where it counts. The reference says more; a
//! word of `syntax::words` that is missing here fails a test.

/// Where a word counts.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Where {
    /// As a statement's first word.
    Statement,
    /// Anywhere in a statement, between its names.
    Head,
    Device,
    Input,
    Output,
    Change,
    /// What an output is for.
    Use,
    Place,
    Model,
    /// A fact of a model's bank.
    Bank,
    Mic,
    Kind,
    Carrier,
}

/// What a word means there; nothing where it is no word of that place.
pub fn meaning(place: Where, word: &str) -> Option<&'static str> {
    let means = |words: &[(&str, &'static str)]| words.iter().find(|(known, _)| *known == word).map(|(_, says)| *says);
    match place {
        Where::Statement => means(STATEMENT),
        Where::Head => means(HEAD),
        Where::Device => means(DEVICE).or_else(|| means(ANY_ROW)),
        Where::Input => means(INPUT).or_else(|| means(ANY_ROW)),
        Where::Output => means(OUTPUT).or_else(|| means(ANY_ROW)),
        Where::Change => means(CHANGE),
        Where::Use => means(USE),
        Where::Place => means(PLACE),
        Where::Model => means(MODEL),
        Where::Bank => means(BANK),
        Where::Mic => means(MIC),
        Where::Kind => means(KIND),
        Where::Carrier => means(CARRIER),
    }
}

type Words = &'static [(&'static str, &'static str)];

const STATEMENT: Words = &[
    ("fantail", "The version of the language: `fantail 1`, on the first line."),
    ("show", "The show's title, venue and date. A file that says it is the first file of a show."),
    ("include", "Brings another file in; a path from this file's folder. Twice counts once."),
    ("rate", "The sample rate of the show; without it 48 kHz."),
    ("clock", "The device that clocks the rig; without it the only desk."),
    ("carrier", "How signals travel between ports: slots by rate, length, what the cable wants."),
    ("kind", "A kind of microphone or line: its level, what it makes of 48 V."),
    ("feed", "Whether one kind of signal may feed another: fine, warn or error."),
    ("mic", "A microphone by its own name, with its kind and what was measured of it."),
    ("model", "A model of gear: banks, ports, and what may feed what inside."),
    ("desk", "A mixing desk, with the model that it is."),
    ("console", "The same as `desk`."),
    ("box", "A stage box: sockets on stage at the end of a link."),
    ("hub", "A hub for personal monitors: plays the numbered feeds of its desk."),
    ("snake", "A sub-snake: lines that are plugged straight into another device."),
    ("split", "A split: every line goes on by several legs, direct or behind transformers."),
    ("recorder", "A recorder on links of its own; it follows the channels of the desk that it hangs on."),
    ("outside", "Gear that others bring, with the banks that it offers."),
    ("link", "A cable between two ports, on a line of its own."),
    ("loom", "A run of analogue lines: these points to those, in order."),
    ("spare", "`spare cable`: laid and not plugged in."),
    ("inputs", "The input list of a desk: channel, name, microphone, socket, and the rest, a source a row."),
    ("outputs", "What leaves where: each mix, the socket that it must reach, what it is for."),
    ("personal", "The numbered personal-monitor feeds of a desk."),
    ("record", "Track n takes what channel n takes, at the preamp."),
    ("keep", "A source that must never arrive there: proven, or shown where it leaks."),
    ("group", "One name for several sources."),
    ("set", "A pin: these points are fed by those, and the search does not move it."),
    ("act", "What one act has of its own. What stands outside acts holds in all of them."),
    ("expect", "Must hold of the finished plan, in every act; it adds no want of its own."),
    ("allow", "Silences a warning or note about a thing, with the reason."),
    ("change", "Replaces the attributes named of something that is declared elsewhere; `no` takes one away."),
    ("without", "Takes out something that is declared elsewhere. It renumbers nothing."),
];

const HEAD: Words = &[
    ("all", "`all inputs`: every source; in a mix those on its desk's channels."),
    ("inputs", "`all inputs`: every source; in a mix those on its desk's channels."),
    ("but", "All but these."),
    ("out", "`out of`: where it must never arrive."),
    ("of", "`out of`: where it must never arrive."),
    ("to", "The other end."),
    ("from", "The first end, or where it begins."),
    ("on", "The device or thing that it is about; of a show, its date."),
    ("at", "The venue."),
    ("for", "How long it runs."),
    ("same", "`same as`: another desk's list, row for row."),
    ("as", "`same as`: another desk's list, row for row."),
    ("and", "Begins another full list: every mix goes there too."),
    ("outside", "`include outside`: a file above the folder of the show's folder."),
    ("reaches", "The source must arrive there; `not reaches`, that it must not."),
    ("not", "The opposite must hold."),
    ("latency", "The time from a source to an end, all hops together."),
    ("under", "The most that is expected."),
    ("least", "`at least`: the fewest that are expected."),
    ("each", "Every one of them."),
    ("because", "The reason, which `allow` must give."),
    ("like", "All of that model, then what is said here."),
    ("is", "The model."),
    ("cable", "The length of the cable, its parts joined by `+`, and whether it is screened and locking."),
];

const DEVICE: Words = &[
    ("is", "The model that it is."),
    ("on", "The port that it hangs on."),
    ("redundant", "A second cable to another port, which carries what the main one carries."),
    ("offset", "The slot from which the outputs are taken; without it the search chooses one."),
    ("slot", "The slot from which own inputs ride, on a model that rides at a setting."),
    ("cable", "The length of its cable, its parts joined by `+`."),
    ("screened", "The cable is screened."),
    ("locking", "The cable's connectors lock."),
    ("dead", "Lines that do not work: nothing may use them."),
    ("reserved", "Lines kept for something else: nothing may use them."),
    ("gain", "`gain by`: the desk that sets the gains of its preamps; the others trim."),
    ("by", "`gain by`: the desk that sets the gains of its preamps; the others trim."),
    ("lifted", "Legs of a split whose ground is lifted; no protective earth is ever lifted."),
    ("space", "What is free on what it records to."),
    ("place", "Where it stands: one of the nine stage places, metres, or text."),
    ("at", "Where it stands: one of the nine stage places, metres, or text."),
    ("to", "The sockets that its lines are plugged into, in order."),
    ("clock", "What it runs on where that is not its link: `internal`, or `external` and which."),
    ("internal", "It runs on its own clock."),
    ("external", "It runs on a clock that is wired to it."),
    ("rate", "It runs at another rate than the show's."),
    ("converts", "A sample-rate converter stands at its digital lines."),
    ("backup", "`backup of`: it takes over where that one fails; both must run on one clock."),
    ("supply", "The mains supply that it is plugged into; supplies and earth are for licensed people."),
];

const INPUT: Words = &[
    ("from", "The socket that it is plugged into. `any` leaves the socket to the compiler."),
    ("any", "The compiler finds a free socket, and keeps it from act to act where it can."),
    ("via", "A bank that the signal must pass, such as the leg of a split."),
    ("phantom", "It gets 48 V. Mute the outputs before it is switched or anything is plugged."),
    ("48V", "The same as `phantom`: mute the outputs before it is switched or anything is plugged."),
    ("gain", "The gain of the preamp on the way to this desk."),
    ("pad", "The pad of the preamp on the way to this desk is in."),
    ("stand", "The stand: tall, short, clip, straight or none."),
    ("level", "How loud it gets, as sound pressure."),
    ("pickup", "What an instrument gives to its DI: passive, piezo, active or line."),
    ("lifted", "The ground lift of this DI is on; no protective earth is ever lifted."),
    ("stereo", "Left and right of one source, on two channels."),
    ("spare", "A channel or socket kept ready; `spare for` says what it stands in for."),
    ("polarity", "`polarity inverted`: the channel turns its polarity over."),
    ("inverted", "`polarity inverted`: the channel turns its polarity over."),
    ("ears-only", "It goes to in-ears, personal feeds and tracks, and nowhere else."),
    ("data", "Time code or a tone: its own track, and no mix."),
    ("priority", "How much the row matters where not all can hold: must, should or may."),
];

const OUTPUT: Words = &[
    ("to", "The sockets that it must reach, one for each; `and` begins another full list."),
    ("and", "Begins another full list: it goes there too."),
    ("of", "What the mix carries: sources, groups, or `all inputs but …`."),
    ("stereo", "Left and right of one mix."),
    ("priority", "How much the row matters where not all can hold: must, should or may."),
];

/// What any row may say.
const ANY_ROW: Words = &[
    ("at", "Where it is on the stage."),
    ("place", "Where it is on the stage."),
    ("who", "Whose it is."),
    ("note", "A remark for the sheets."),
    ("must", "It comes before all that is not `must`."),
    ("should", "The usual priority."),
    ("may", "It is given up first."),
];

const CHANGE: Words = &[
    ("input", "A row of an input list, by its name."),
    ("output", "A row of an output list, by its mix."),
    ("personal", "Personal-monitor feeds, by their numbers."),
    ("link", "A link, by its ends."),
    ("loom", "A run of lines, by its first end."),
    ("group", "A group, whose members are replaced."),
    ("act", "An act, with all that it has of its own."),
    ("record", "Every `record` that was taken over."),
    ("rate", "The show's rate."),
    ("clock", "The show's clock."),
    ("is", "Another model."),
    ("channel", "Other channels."),
    ("of", "Other contents or members."),
    ("no", "Takes an attribute away: `no phantom`."),
    ("desk", "The device of that name."),
    ("console", "The device of that name."),
    ("box", "The device of that name."),
    ("hub", "The device of that name."),
    ("snake", "The device of that name."),
    ("split", "The device of that name."),
    ("recorder", "The device of that name."),
    ("outside", "The device of that name."),
];

const USE: Words = &[
    ("pa", "The main loudspeakers for the audience. In a `keep`: all that the audience hears."),
    ("sub", "Subwoofers, to the audience."),
    ("fill", "Fills, to the audience."),
    ("delay", "Delayed loudspeakers, to the audience."),
    ("wedge", "A floor monitor on stage."),
    ("side-fill", "A side fill on stage."),
    ("in-ears", "In-ear monitors, heard by one performer alone. Keep levels safe for hearing."),
    ("broadcast", "To a broadcast, outside."),
    ("press", "To the press, outside."),
    ("relay", "To other rooms, outside."),
    ("hearing-loop", "To a hearing loop, outside."),
    ("record", "To a recorder."),
    ("effects", "To an effects unit."),
    ("comms", "To the crew's intercom."),
];

const PLACE: Words = &[
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

const MODEL: Words = &[
    ("port", "A port: its carrier, what it faces, whether it powers or needs power."),
    ("powers", "It gives power to what hangs on it."),
    ("needs", "`needs power`: what it hangs on must power it."),
    ("power", "`needs power`: what it hangs on must power it."),
    ("block", "A named block of unlike points, which routes can name."),
    ("reserved", "Slots that only that bank may ride."),
    ("pairs", "Stereo pairs of these banks start on odd numbers."),
    ("latency", "The time from a socket to a port or back, or through a desk."),
    ("phantom", "`phantom limit`: the current that all its 48 V switches give together."),
    ("limit", "`phantom limit`: the current that all its 48 V switches give together."),
    ("draws", "The mains power that it takes."),
    ("strip", "So many letters a channel strip of the desk shows."),
    ("converts", "A sample-rate converter stands at its digital lines."),
    ("label", "How sheets call it."),
    ("passes", "What arrives at either port leaves by the other; `one way`, only from the first to the second."),
    ("rides", "Own inputs ride a port: stacked, from a slot that is set, or from a fixed one."),
    ("stacked", "Behind the inputs of the boxes nearer the desk."),
    ("takes", "Outputs play slots of a port, from an offset or a fixed slot."),
    ("offset", "The slots from which it may begin."),
    ("mode", "Only while the bank is set to that."),
    ("first", "`first desk only`: plays only what the box's first desk puts there."),
    ("copies", "The bank repeats another."),
    ("from", "What may feed a bank or the way out of a port."),
    ("blocks", "`in blocks of N`: N points at a time, from 1, N+1 and so on."),
    ("one", "`one by one`: each point by itself. `one way`: from the first port to the second."),
    ("straight", "Point n from point n, always."),
    ("most", "`at most N`: so many points may be fed by this at a time."),
];

const BANK: Words = &[
    ("in", "Sockets where sources and lines arrive."),
    ("out", "Sockets where signals leave."),
    ("inner", "Points inside, such as channels and tracks."),
    ("origin", "Signals of its own, such as mixes and playback."),
    ("end", "Signals end here, as in channels."),
    ("gain", "The range of the preamps' gain."),
    ("phantom", "Sockets with a 48 V switch: `each`, or `in groups of N`, or `none`."),
    ("pad", "The preamps have a pad."),
    ("clip", "The level at which the sockets clip."),
    ("isolated", "Behind a transformer: it passes no 48 V."),
];

const MIC: Words = &[
    ("kind", "What kind of microphone it is."),
    ("sensitivity", "What it gives at 94 dB SPL, in mV/Pa."),
    ("needs", "The current that it draws from 48 V."),
    ("max", "The loudest that it takes."),
    ("note", "A remark for the sheets."),
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

const CARRIER: Words = &[
    ("slots", "How many signals it carries each way, at a rate."),
    ("length", "The longest cable."),
    ("screened", "It wants a screened cable."),
    ("locking", "It wants connectors that lock."),
    ("latency", "The time that one hop takes."),
];

#[cfg(test)]
mod tests {
    use super::{Where, meaning};
    use crate::syntax::words::*;

    #[test]
    fn every_word_of_the_language_is_explained() {
        let lists: &[(&[Where], &[&str])] = &[
            (&[Where::Statement], STATEMENT_WORDS),
            (&[Where::Device], DEVICE_ATTRIBUTES),
            (&[Where::Device], CABLE_ATTRIBUTES),
            (&[Where::Input], INPUT_ATTRIBUTES),
            (&[Where::Output], OUTPUT_ATTRIBUTES),
            (&[Where::Output], PERSONAL_ATTRIBUTES),
            (&[Where::Use], OUTPUT_USES),
            (&[Where::Change], CHANGE_ATTRIBUTES),
            (&[Where::Change], CHANGE_TARGETS),
            (&[Where::Change], DEVICE_WORDS),
            (&[Where::Model], MODEL_WORDS),
            (&[Where::Model], MODEL_VERBS),
            (&[Where::Bank], BANK_WORDS),
            (&[Where::Kind], KIND_WORDS),
            (&[Where::Mic], MIC_WORDS),
            (&[Where::Carrier], CARRIER_WORDS),
            (&[Where::Place], PLACES),
        ];
        for (places, words) in lists {
            for word in *words {
                let said = places.iter().any(|place| meaning(*place, word).is_some());
                assert!(said, "nothing says what `{word}` means in {places:?}");
            }
        }
    }
}
