//! How much a recording takes.

/// Bytes of a sample of 24 bits.
const BYTES_A_SAMPLE: f64 = 3.0;

/// What so many tracks of 24 bits take, without the files' heads, in bytes.
pub fn recorded_bytes(rate_hz: u32, tracks: usize, seconds: f64) -> f64 {
    f64::from(rate_hz) * BYTES_A_SAMPLE * tracks as f64 * seconds
}

#[cfg(test)]
mod tests {
    use super::recorded_bytes;

    #[test]
    fn sizes() {
        // Linear PCM: tracks x bits / 8 x rate x seconds, recomputed by hand.
        assert_eq!(recorded_bytes(48_000, 1, 1.0), 144_000.0);
        assert_eq!(recorded_bytes(48_000, 32, 1.0), 4_608_000.0);
        assert_eq!(recorded_bytes(48_000, 32, 3600.0), 16_588_800_000.0);
        assert_eq!(recorded_bytes(48_000, 32, 7200.0), 33_177_600_000.0);
        assert_eq!(recorded_bytes(96_000, 64, 7200.0), 132_710_400_000.0);
        assert_eq!(recorded_bytes(48_000, 48, 10_800.0), 74_649_600_000.0);
        assert_eq!(recorded_bytes(96_000, 48, 10_800.0), 149_299_200_000.0);
    }

    #[test]
    fn a_32_bit_size_field_is_full_where_it_is_known_to_be() {
        // 2^32 bytes of audio: one track at 48 kHz after 29826.161778 s, 32 after 932.067556 s (EBU Tech 3306,
        // section 3.4, names the 4 GB barrier; times recomputed).
        let full = |tracks, seconds| (recorded_bytes(48_000, tracks, seconds) / 4_294_967_296.0 - 1.0).abs() < 1e-9;
        assert!(full(1, 29_826.161_778) && full(32, 932.067_556));
    }
}
