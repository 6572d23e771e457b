//! Units, levels and times: numbers that carry what they measure.
//! Nothing here knows where a quantity was written.

mod convert;
mod recording;
mod unit;

pub use recording::recorded_bytes;

/// A number with its unit, in the unit it was written in.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Quantity {
    pub number: f64,
    pub unit: Unit,
}

/// The units that a patch can say.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Unit {
    Hertz,
    Kilohertz,
    Metre,
    Foot,
    Decibel,
    DecibelU,
    DecibelV,
    DecibelFullScale,
    DecibelSpl,
    MillivoltPerPascal,
    Second,
    Millisecond,
    Microsecond,
    Minute,
    Hour,
    Milliampere,
    Ampere,
    Watt,
    Volt,
    Gigabyte,
    Terabyte,
}

/// What a unit measures; two quantities compare only within one.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Dimension {
    Frequency,
    Length,
    /// A ratio: gain, attenuation.
    Ratio,
    /// An electrical level against a reference.
    Level,
    DigitalLevel,
    SoundPressure,
    Sensitivity,
    Time,
    Current,
    Power,
    Voltage,
    Storage,
}
