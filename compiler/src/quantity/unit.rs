//! How units are written, and what each measures.

use super::{Dimension, Quantity, Unit};
use std::fmt;

impl Unit {
    /// Every unit, a longer spelling before any that it begins with.
    pub const ALL: &'static [Unit] = &[
        Unit::DecibelSpl,
        Unit::MillivoltPerPascal,
        Unit::DecibelFullScale,
        Unit::DecibelU,
        Unit::DecibelV,
        Unit::Decibel,
        Unit::Kilohertz,
        Unit::Hertz,
        Unit::Minute,
        Unit::Milliampere,
        Unit::Millisecond,
        Unit::Microsecond,
        Unit::Foot,
        Unit::Metre,
        Unit::Second,
        Unit::Ampere,
        Unit::Watt,
        Unit::Volt,
        Unit::Hour,
        Unit::Gigabyte,
        Unit::Terabyte,
    ];

    /// The unit as it is written: `dB SPL`, `mV/Pa`, `us`.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Hertz => "Hz",
            Unit::Kilohertz => "kHz",
            Unit::Metre => "m",
            Unit::Foot => "ft",
            Unit::Decibel => "dB",
            Unit::DecibelU => "dBu",
            Unit::DecibelV => "dBV",
            Unit::DecibelFullScale => "dBFS",
            Unit::DecibelSpl => "dB SPL",
            Unit::MillivoltPerPascal => "mV/Pa",
            Unit::Second => "s",
            Unit::Millisecond => "ms",
            Unit::Microsecond => "us",
            Unit::Minute => "min",
            Unit::Milliampere => "mA",
            Unit::Ampere => "A",
            Unit::Watt => "W",
            Unit::Volt => "V",
            Unit::Hour => "h",
            Unit::Gigabyte => "GB",
            Unit::Terabyte => "TB",
        }
    }

    /// The unit that is spelled exactly so. Microseconds may be `us` or either form of `µs`.
    pub fn parse(text: &str) -> Option<Unit> {
        if matches!(text, "\u{b5}s" | "\u{3bc}s") {
            return Some(Unit::Microsecond);
        }
        Unit::ALL.iter().copied().find(|unit| unit.symbol() == text)
    }

    /// The unit that was meant where only capitals are wrong: `khz`. `None` where two would do.
    pub fn parse_any_case(text: &str) -> Option<Unit> {
        let mut found = Unit::ALL.iter().copied().filter(|unit| unit.symbol().eq_ignore_ascii_case(text));
        let first = found.next();
        if found.next().is_some() { None } else { first }
    }

    pub fn dimension(self) -> Dimension {
        match self {
            Unit::Hertz | Unit::Kilohertz => Dimension::Frequency,
            Unit::Metre | Unit::Foot => Dimension::Length,
            Unit::Decibel => Dimension::Ratio,
            Unit::DecibelU | Unit::DecibelV => Dimension::Level,
            Unit::DecibelFullScale => Dimension::DigitalLevel,
            Unit::DecibelSpl => Dimension::SoundPressure,
            Unit::MillivoltPerPascal => Dimension::Sensitivity,
            Unit::Second | Unit::Millisecond | Unit::Microsecond | Unit::Minute | Unit::Hour => Dimension::Time,
            Unit::Milliampere | Unit::Ampere => Dimension::Current,
            Unit::Watt => Dimension::Power,
            Unit::Volt => Dimension::Voltage,
            Unit::Gigabyte | Unit::Terabyte => Dimension::Storage,
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

impl Dimension {
    /// A quantity of this kind as one would write it, for messages.
    pub fn sample(self) -> &'static str {
        match self {
            Dimension::Frequency => "48 kHz",
            Dimension::Length => "60 m",
            Dimension::Ratio => "32 dB",
            Dimension::Level => "21 dBu",
            Dimension::DigitalLevel => "-18 dBFS",
            Dimension::SoundPressure => "118 dB SPL",
            Dimension::Sensitivity => "2.5 mV/Pa",
            Dimension::Time => "5 ms",
            Dimension::Current => "7 mA",
            Dimension::Power => "60 W",
            Dimension::Voltage => "48 V",
            Dimension::Storage => "500 GB",
        }
    }
}

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Dimension::Frequency => "a frequency",
            Dimension::Length => "a length",
            Dimension::Ratio => "a gain in dB",
            Dimension::Level => "an electrical level",
            Dimension::DigitalLevel => "a digital level",
            Dimension::SoundPressure => "a sound pressure",
            Dimension::Sensitivity => "a sensitivity",
            Dimension::Time => "a time",
            Dimension::Current => "a current",
            Dimension::Power => "a power",
            Dimension::Voltage => "a voltage",
            Dimension::Storage => "space in GB or TB",
        })
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.number, self.unit)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::*;

    #[test]
    fn every_unit_is_read_as_it_is_shown() {
        for unit in Unit::ALL {
            assert_eq!(Unit::parse(unit.symbol()), Some(*unit));
        }
        assert_eq!(Unit::parse("µs"), Some(Unit::Microsecond));
        assert_eq!(Unit::parse("khz"), None);
        assert_eq!(Unit::parse_any_case("khz"), Some(Unit::Kilohertz));
        assert_eq!(Unit::parse_any_case("DBV"), Some(Unit::DecibelV));
    }

    #[test]
    fn longer_spellings_stand_first() {
        for (at, unit) in Unit::ALL.iter().enumerate() {
            for later in Unit::ALL.iter().skip(at + 1) {
                assert!(!later.symbol().starts_with(unit.symbol()), "{later} after {unit}");
            }
        }
    }
}
