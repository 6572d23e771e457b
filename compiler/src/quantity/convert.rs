//! A quantity in the one unit that calculations use. Each returns `None` for another dimension.

use super::{Dimension, Quantity, Unit};

/// The international foot of 1959: exactly 0.3048 m.
const METRES_PER_FOOT: f64 = 0.3048;

/// 0 dBV is 1 V and 0 dBu is the root of 0.6 V (1 mW in 600 ohm), so dBu = dBV + 20 log10(1 / √0.6).
fn dbu_above_dbv() -> f64 {
    -10.0 * 0.6_f64.log10()
}

impl Quantity {
    pub fn new(number: f64, unit: Unit) -> Self {
        Quantity { number, unit }
    }

    pub fn dimension(&self) -> Dimension {
        self.unit.dimension()
    }

    pub fn hertz(&self) -> Option<f64> {
        match self.unit {
            Unit::Hertz => Some(self.number),
            Unit::Kilohertz => Some(self.number * 1000.0),
            _ => None,
        }
    }

    pub fn metres(&self) -> Option<f64> {
        match self.unit {
            Unit::Metre => Some(self.number),
            Unit::Foot => Some(self.number * METRES_PER_FOOT),
            _ => None,
        }
    }

    pub fn seconds(&self) -> Option<f64> {
        match self.unit {
            Unit::Second => Some(self.number),
            Unit::Millisecond => Some(self.number / 1e3),
            Unit::Microsecond => Some(self.number / 1e6),
            Unit::Minute => Some(self.number * 60.0),
            Unit::Hour => Some(self.number * 3600.0),
            _ => None,
        }
    }

    pub fn milliseconds(&self) -> Option<f64> {
        match self.unit {
            Unit::Millisecond => Some(self.number),
            Unit::Microsecond => Some(self.number / 1e3),
            _ => self.seconds().map(|seconds| seconds * 1e3),
        }
    }

    /// A ratio, as gains are said.
    pub fn decibels(&self) -> Option<f64> {
        (self.unit == Unit::Decibel).then_some(self.number)
    }

    /// An electrical level in dBu.
    pub fn dbu(&self) -> Option<f64> {
        match self.unit {
            Unit::DecibelU => Some(self.number),
            Unit::DecibelV => Some(self.number + dbu_above_dbv()),
            _ => None,
        }
    }

    pub fn dbfs(&self) -> Option<f64> {
        (self.unit == Unit::DecibelFullScale).then_some(self.number)
    }

    pub fn db_spl(&self) -> Option<f64> {
        (self.unit == Unit::DecibelSpl).then_some(self.number)
    }

    pub fn millivolts_per_pascal(&self) -> Option<f64> {
        (self.unit == Unit::MillivoltPerPascal).then_some(self.number)
    }

    pub fn milliamperes(&self) -> Option<f64> {
        match self.unit {
            Unit::Milliampere => Some(self.number),
            Unit::Ampere => Some(self.number * 1000.0),
            _ => None,
        }
    }

    pub fn watts(&self) -> Option<f64> {
        (self.unit == Unit::Watt).then_some(self.number)
    }

    /// Decimal: 1 GB is 10^9 bytes, as media are sold.
    pub fn bytes(&self) -> Option<f64> {
        match self.unit {
            Unit::Gigabyte => Some(self.number * 1e9),
            Unit::Terabyte => Some(self.number * 1e12),
            _ => None,
        }
    }

    pub fn volts(&self) -> Option<f64> {
        (self.unit == Unit::Volt).then_some(self.number)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::*;

    fn near(found: Option<f64>, wanted: f64) {
        assert!((found.unwrap() - wanted).abs() < 1e-6, "{found:?} is not {wanted}");
    }

    #[test]
    fn lengths() {
        // International yard and pound agreement, 1959: 1 ft = 0.3048 m exactly.
        near(Quantity::new(1.0, Unit::Foot).metres(), 0.3048);
        near(Quantity::new(200.0, Unit::Foot).metres(), 60.96);
        near(Quantity::new(75.0, Unit::Metre).metres(), 75.0);
        assert_eq!(Quantity::new(75.0, Unit::Decibel).metres(), None);
    }

    #[test]
    fn levels() {
        // 0 dBu = √0.6 V and 0 dBV = 1 V, so dBu = dBV + 2.218487; -10 dBV = -7.781513 dBu and
        // +4 dBu against -10 dBV is 11.781513 dB (definitions of the two references, recomputed).
        near(Quantity::new(0.0, Unit::DecibelV).dbu(), 2.218487);
        near(Quantity::new(-10.0, Unit::DecibelV).dbu(), -7.781513);
        near(Quantity::new(-10.0, Unit::DecibelV).dbu().map(|level| 4.0 - level), 11.781513);
    }

    #[test]
    fn times_and_rates() {
        // AES50 latency: 62.5 µs is 3 samples at 48 kHz and 6 at 96 kHz.
        let hop = Quantity::new(62.5, Unit::Microsecond).seconds().unwrap();
        near(Quantity::new(48.0, Unit::Kilohertz).hertz().map(|rate| rate * hop), 3.0);
        near(Quantity::new(96.0, Unit::Kilohertz).hertz().map(|rate| rate * hop), 6.0);
        near(Quantity::new(90.0, Unit::Minute).seconds(), 5400.0);
        near(Quantity::new(0.0625, Unit::Millisecond).milliseconds(), 0.0625);
        near(Quantity::new(0.28, Unit::Ampere).milliamperes(), 280.0);
    }
}
