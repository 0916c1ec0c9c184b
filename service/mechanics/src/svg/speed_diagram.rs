//! Engine speed over road speed, a line a gear, before and after a change.

use super::drawing::{Drawing, Look, number};
use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};
use crate::road_speed::road_speed;

/// What is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct SpeedDiagram {
    /// Names of the gears.
    pub gears: Vec<String>,
    /// Overall ratios before.
    pub before: Vec<f64>,
    /// Overall ratios after, if there is a change.
    pub after: Option<Vec<f64>>,
    /// Rolling circumference.
    pub rolling_circumference_m: f64,
    /// Highest engine speed.
    pub engine_speed_most: f64,
    /// Highest road speed shown.
    pub road_speed_most_kmh: f64,
}

const WIDTH: f64 = 800.0;
const HEIGHT: f64 = 500.0;
const MARGIN: f64 = 60.0;
/// Lines of the grid on each axis.
const GRID: u32 = 10;

/// The picture; unchanged gears are grey, changed ones dashed before and full after.
///
/// # Errors
/// Lists of unequal length, more than 24 gears, or a figure out of range.
pub fn speed_diagram(diagram: &SpeedDiagram) -> Result<String, BadInput> {
    let count = Bound { least: 1.0, most: 24.0, unit: "1" };
    count.check("gears", diagram.gears.len() as f64)?;
    let after = diagram.after.as_ref().unwrap_or(&diagram.before);
    if diagram.before.len() != diagram.gears.len() || after.len() != diagram.gears.len() {
        return Err(BadInput::Contradiction {
            field: "before",
            problem: "gears, ratios before and ratios after must be equally many",
        });
    }
    let engine = Bound { least: 100.0, most: 20_000.0, unit: "1/min" }
        .check("engine_speed_most", diagram.engine_speed_most)?;
    let road = Bound { least: 1.0, ..bounds::ROAD_SPEED }
        .check("road_speed_most_kmh", diagram.road_speed_most_kmh)?;
    let mut drawing =
        Drawing::new("Engine speed over road speed", [0.0, 0.0, WIDTH + 2.0 * MARGIN, HEIGHT + 2.0 * MARGIN]);
    grid(&mut drawing, engine, road);
    for (i, name) in diagram.gears.iter().enumerate() {
        let changed = diagram.before[i] != after[i];
        let old = Look::dashed(if changed { "#36c" } else { "#777" }, 1.5, 6.0);
        let full = Look::line(if changed { "#c22" } else { "#777" }, 2.0);
        let around = diagram.rolling_circumference_m;
        if changed {
            gear_line(
                &mut drawing,
                &format!("{name} before"),
                (engine, road),
                diagram.before[i],
                around,
                old,
            )?;
        }
        gear_line(&mut drawing, name, (engine, road), after[i], around, full)?;
    }
    Ok(drawing.finish())
}

fn grid(drawing: &mut Drawing, engine: f64, road: f64) {
    let light = Look::line("#ddd", 1.0);
    for step in 0..=GRID {
        let share = f64::from(step) / f64::from(GRID);
        let (x, y) = (MARGIN + WIDTH * share, MARGIN + HEIGHT * (1.0 - share));
        drawing.segment((x, MARGIN), (x, MARGIN + HEIGHT), light);
        drawing.segment((MARGIN, y), (MARGIN + WIDTH, y), light);
        drawing.text((x, MARGIN + HEIGHT + 18.0), 12.0, "middle", &number(road * share));
        drawing.text((MARGIN - 6.0, y + 4.0), 12.0, "end", &number(engine * share));
    }
    drawing.text((MARGIN + WIDTH / 2.0, MARGIN + HEIGHT + 42.0), 14.0, "middle", "road speed, km/h");
    drawing.text((MARGIN, MARGIN - 16.0), 14.0, "start", "engine speed, 1/min");
}

/// From nought to the highest engine speed or the right edge, whichever comes first.
fn gear_line(
    drawing: &mut Drawing,
    name: &str,
    (engine, road): (f64, f64),
    ratio: f64,
    around: f64,
    look: Look,
) -> Result<(), BadInput> {
    let at_most = road_speed(engine, ratio, around, 0.0)?;
    let share = (road / at_most).min(1.0);
    let end = (MARGIN + WIDTH * (at_most * share / road).min(1.0), MARGIN + HEIGHT * (1.0 - share));
    drawing.segment((MARGIN, MARGIN + HEIGHT), end, look);
    drawing.text((end.0 + 3.0, end.1 - 3.0), 12.0, "start", name);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn diagram() -> SpeedDiagram {
        SpeedDiagram {
            gears: vec!["4th".to_owned(), "5th <overdrive>".to_owned()],
            before: vec![4.0, 3.35],
            after: Some(vec![4.0, 2.84]),
            rolling_circumference_m: 2.3,
            engine_speed_most: 3000.0,
            road_speed_most_kmh: 160.0,
        }
    }

    #[test]
    fn a_changed_gear_is_drawn_twice_and_its_name_is_safe() {
        let svg = speed_diagram(&diagram()).unwrap();
        assert_eq!(svg.matches("stroke-dasharray").count(), 1);
        assert!(svg.contains("5th &lt;overdrive&gt; before"));
        assert!(!svg.contains("NaN") && !svg.contains("inf"));
        // 3000/min in 4th: 3000·2.3·60/(1000·4) = 103.5 km/h of 160, so 60 + 800·103.5/160 = 577.5.
        assert!(svg.contains("L577.5 60"), "{svg}");
    }

    #[test]
    fn lists_must_be_equally_long() {
        let wrong = SpeedDiagram { before: vec![4.0], ..diagram() };
        assert_eq!(speed_diagram(&wrong).unwrap_err().field(), "before");
        let nought = SpeedDiagram { after: Some(vec![4.0, 0.0]), ..diagram() };
        assert_eq!(speed_diagram(&nought).unwrap_err().code(), "out_of_range");
    }
}
