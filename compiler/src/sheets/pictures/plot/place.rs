//! Where something stands, read from the words of the plan: one of the trade's nine places, a spot in metres, or
//! words. Left and right are the performer's.

/// Upstage first, as on the drawing; in a row from stage right to stage left.
pub(super) const NAMES: [[&str; 3]; 3] = [["USR", "USC", "USL"], ["SR", "C", "SL"], ["DSR", "DSC", "DSL"]];

#[derive(Clone, Debug, PartialEq)]
pub(super) enum Spot {
    /// Row and column of the nine.
    Nine(usize, usize),
    /// Metres toward the performer's left, and up from the front edge.
    Metres(f64, f64),
    Words(String),
    Unsaid,
}

impl Spot {
    pub fn read(place: Option<&str>) -> Spot {
        let Some(place) = place else { return Spot::Unsaid };
        let name = if place == "SC" { "C" } else { place };
        for (row, names) in NAMES.iter().enumerate() {
            if let Some(column) = names.iter().position(|known| *known == name) {
                return Spot::Nine(row, column);
            }
        }
        metres(place).unwrap_or_else(|| Spot::Words(place.to_string()))
    }
}

/// `-3.5 m, 12 ft`
fn metres(place: &str) -> Option<Spot> {
    let (across, up) = place.split_once(", ")?;
    Some(Spot::Metres(length(across)?, length(up)?))
}

fn length(text: &str) -> Option<f64> {
    let (number, unit) = text.split_once(' ')?;
    let metres = match unit {
        "m" => 1.0,
        // By definition since 1959.
        "ft" => 0.3048,
        _ => return None,
    };
    number.parse::<f64>().ok().map(|number| number * metres).filter(|metres| metres.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_read_as_the_plan_writes_them() {
        assert_eq!(Spot::read(Some("USR")), Spot::Nine(0, 0));
        assert_eq!(Spot::read(Some("SC")), Spot::Nine(1, 1));
        assert_eq!(Spot::read(Some("-3.5 m, 10 ft")), Spot::Metres(-3.5, 3.048));
        assert_eq!(Spot::read(Some("pit, left")), Spot::Words("pit, left".into()));
        assert_eq!(Spot::read(None), Spot::Unsaid);
    }
}
