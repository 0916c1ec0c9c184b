//! Every calculation by its name, asked with a request as text; and requests made from any bytes.

use operations::calculations::*;
use serde_json::Value;

/// What became of a request.
#[derive(Debug)]
pub(crate) enum Outcome {
    /// It is no request of this calculation.
    Unreadable,
    /// It was refused: the request with every field, and the pointers of the refusal.
    Refused { asked: Value, pointers: Vec<String> },
    /// It was answered: result and figures as Rust shows them, where a figure that is no number reads `NaN` or `inf`.
    Answered { shown: String, figures: usize },
}

/// A calculation.
pub(crate) struct Calculation {
    /// The last part of its path.
    pub(crate) name: &'static str,
    /// Its example.
    pub(crate) example: &'static str,
    /// Asks it.
    pub(crate) ask: fn(&str) -> Outcome,
}

macro_rules! every_calculation {
    ($( $module:ident: $calculate:ident, $asked:ident, $draw:expr; )+) => {
        /// All of them, in the order of their names.
        pub(crate) const EVERY: &[Calculation] = &[$(Calculation {
            name: stringify!($module),
            example: include_str!(concat!(
                "../../../http_api/examples/calculate_", stringify!($module), ".json"
            )),
            ask: |text| {
                let Ok(asked) = serde_json::from_str::<$module::$asked>(text) else { return Outcome::Unreadable };
                let draw: Option<fn(&$module::$asked) -> Result<String, CalculationFault>> = $draw;
                let drawing = draw.map_or(Ok(String::new()), |draw| draw(&asked));
                match $module::$calculate(&asked) {
                    Ok(sheet) => Outcome::Answered {
                        // A picture may be refused where a verdict is not.
                        shown: format!("{:?} {:?} {}", sheet.result, sheet.figures, drawing.unwrap_or_default()),
                        figures: sheet.figures.len(),
                    },
                    Err(fault) => Outcome::Refused {
                        asked: serde_json::to_value(&asked).expect("a request is JSON"),
                        pointers: fault.fields.into_iter().map(|field| field.pointer).collect(),
                    },
                }
            },
        }),+];
    };
}

every_calculation! {
    axle_match: calculate_axle_match, AxleMatchAsked, None;
    bearing_designation: calculate_bearing_designation, BearingDesignationAsked, None;
    bearing_drag: calculate_bearing_drag, BearingDragAsked, None;
    bearing_life: calculate_bearing_life, BearingLifeAsked, None;
    bearing_preload: calculate_bearing_preload, BearingPreloadAsked, None;
    end_float: calculate_end_float, EndFloatAsked, None;
    gear_geometry: calculate_gear_geometry, GearGeometryAsked, None;
    gear_pair: calculate_gear_pair, GearPairAsked, None;
    gear_ratios: calculate_gear_ratios, GearRatiosAsked, None;
    gear_search: calculate_gear_search, GearSearchAsked, None;
    gradeability: calculate_gradeability, GradeabilityAsked, None;
    heat_growth: calculate_heat_growth, HeatGrowthAsked, None;
    limits_and_fits: calculate_limits_and_fits, LimitsAndFitsAsked, None;
    measured_gear: calculate_measured_gear, MeasuredGearAsked, None;
    mesh: calculate_mesh, MeshAsked, Some(mesh::draw_mesh);
    pinion_depth: calculate_pinion_depth, PinionDepthAsked, None;
    ratio_change: calculate_ratio_change, RatioChangeAsked, None;
    road_speed: calculate_road_speed, RoadSpeedAsked, Some(road_speed::draw_road_speed);
    shaft_seal: calculate_shaft_seal, ShaftSealAsked, None;
    shims: calculate_shims, ShimsAsked, None;
    shrink_fit: calculate_shrink_fit, ShrinkFitAsked, None;
    side_bearings: calculate_side_bearings, SideBearingsAsked, None;
    spline: calculate_spline, SplineGeometryAsked, Some(spline::draw_spline);
    spline_capacity: calculate_spline_capacity, SplineCapacityAsked, None;
    spline_fit: calculate_spline_fit, SplineFitAsked, None;
    spline_stress: calculate_spline_stress, SplineStressAsked, None;
    synchroniser: calculate_synchroniser, SynchroniserAsked, None;
    thread: calculate_thread, ThreadAsked, None;
    thrust_faces: calculate_thrust_faces, ThrustFacesAsked, None;
    wear: calculate_wear, WearAsked, None;
}

impl Calculation {
    /// The request of the example, with every field that it may have.
    pub(crate) fn request(&self) -> Value {
        let example: Value = serde_json::from_str(self.example).expect("the example is JSON");
        example["response"]["body"]["inputs"].clone()
    }

    /// Asks it and panics where the outcome is not sound: a figure that is no number, or a refusal that points nowhere.
    pub(crate) fn ask_soundly(&self, text: &str) -> Outcome {
        let outcome = (self.ask)(text);
        match &outcome {
            Outcome::Unreadable => {}
            Outcome::Refused { asked, pointers } => {
                assert!(!pointers.is_empty(), "{}: refused without a field: {text}", self.name);
                for pointer in pointers {
                    assert!(
                        asked.pointer(pointer).is_some(),
                        "{}: {pointer} is nowhere in {text}",
                        self.name
                    );
                }
            }
            Outcome::Answered { shown, .. } => {
                let mut words = shown.split(|letter: char| !letter.is_alphanumeric());
                assert!(
                    !words.any(|word| word == "NaN" || word == "inf"),
                    "{}: {text} gives {shown}",
                    self.name
                );
            }
        }
        outcome
    }
}

/// Takes decisions off the front of some bytes; nought where they are used up.
pub(crate) struct Bytes<'a>(pub(crate) &'a [u8]);

impl Bytes<'_> {
    /// The next byte.
    pub(crate) fn byte(&mut self) -> u8 {
        match self.0.split_first() {
            Some((first, rest)) => {
                self.0 = rest;
                *first
            }
            None => 0,
        }
    }

    fn number(&mut self, was: Option<f64>) -> f64 {
        let mut eight = [0; 8];
        eight.iter_mut().for_each(|byte| *byte = self.byte());
        let any = f64::from_bits(u64::from_le_bytes(eight));
        let found = match self.byte() % 8 {
            0 => any,
            1 => f64::from(eight[0]) / 1000.0,
            2 => -f64::from(eight[0]) / 10.0,
            3 => [0.0, -0.0, 1e308, -1e308, 1e-308, 5e-324, f64::from(u32::MAX), 1e-6]
                [usize::from(eight[0] % 8)],
            4 => f64::from(u16::from_le_bytes([eight[0], eight[1]])),
            _ => was.unwrap_or(20.0) * (0.5 + f64::from(eight[0]) / 128.0),
        };
        if found.is_finite() { found } else { f64::MAX }
    }

    fn text(&mut self, was: &str) -> String {
        const KNOWN: [&str; 12] = [
            "6308-2RS",
            "30205",
            "H7",
            "k6",
            "bearing",
            "M20x1.5-6g-LH",
            "265/70R16",
            "DIN 5480 - W 30 x 2 x 14 x 9g",
            "6x26x30",
            "EXT 24z x 2.5m x 30R x 5f",
            "AS 50x72x8",
            "\u{0}\u{7ff}×,",
        ];
        match self.byte() % 4 {
            0 => KNOWN[usize::from(self.byte() % 12)].to_owned(),
            1 => was.chars().skip(usize::from(self.byte() % 4)).collect(),
            2 => format!("{was}{}", char::from(self.byte())),
            _ => was.chars().map(|letter| if self.byte().is_multiple_of(4) { '9' } else { letter }).collect(),
        }
    }

    /// A request of a calculation with some of its figures and words changed, or filled in where there were none.
    pub(crate) fn changed(&mut self, value: &Value) -> Value {
        let touched = self.byte().is_multiple_of(4);
        match value {
            Value::Object(fields) => {
                fields.iter().map(|(name, field)| (name.clone(), self.changed(field))).collect()
            }
            Value::Array(items) => {
                let mut items: Vec<Value> = items.iter().map(|item| self.changed(item)).collect();
                if touched && self.byte().is_multiple_of(2) {
                    items.truncate(usize::from(self.byte() % 3));
                }
                Value::Array(items)
            }
            _ if !touched => value.clone(),
            Value::Number(number) if number.is_u64() => {
                let wide = u32::from_le_bytes([self.byte(), self.byte(), self.byte(), self.byte()]);
                let narrow = u32::from(self.byte() % 64);
                Value::from(if self.byte().is_multiple_of(4) { wide } else { narrow })
            }
            Value::Number(number) => Value::from(self.number(number.as_f64())),
            Value::Null => match self.byte() % 3 {
                0 => Value::from(u32::from(self.byte() % 32)),
                1 => Value::from(self.number(None)),
                _ => Value::Null,
            },
            Value::String(text) => Value::from(self.text(text)),
            Value::Bool(_) => Value::from(self.byte().is_multiple_of(2)),
        }
    }
}
