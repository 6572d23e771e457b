//! What devices and links say that they take, added up along a way. What a device does not say is never
//! taken for nothing.

use super::Seen;
use crate::rig::{LaneKind, Point};
use crate::syntax::ast::DeviceWord;

/// In milliseconds, or the name of what does not say its latency. Sub-snakes and splits are copper.
pub fn total(seen: &Seen, points: &[Point]) -> Result<f64, String> {
    let mut ms = 0.0;
    let mut last = None;
    for point in points {
        let Some((model, device)) = seen.rig.model(point.device).zip(seen.rig.device(point.device)) else { continue };
        let Some(lane) = seen.rig.lane_at(*point) else { continue };
        match lane.kind {
            LaneKind::PortIn(_) | LaneKind::PortOut(_) => {
                let hop = seen.rig.library.carrier(&lane.signal).and_then(|carrier| carrier.latency_ms);
                ms += hop.ok_or_else(|| format!("carrier `{}`", lane.signal))?;
            }
            LaneKind::Bank(_) if last == Some(point.device) => {}
            LaneKind::Bank(_) => {
                last = Some(point.device);
                let copper = matches!(device.word, DeviceWord::Snake | DeviceWord::Split | DeviceWord::Outside);
                match model.latency_ms {
                    Some(own) => ms += own,
                    None if copper => {}
                    None => return Err(format!("`{}`", device.name)),
                }
            }
        }
    }
    Ok(ms)
}
