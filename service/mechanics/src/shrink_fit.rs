//! Heating and cooling for an interference fit, and what heat does to a setting.

use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};

/// Expansion of steel, 1/K: the middle of the 11 and 12·10⁻⁶ that the unalloyed steels have in the material cards of Debian's
/// freecad-common 0.20.2; cast irons have 10·10⁻⁶ there.
pub const STEEL_EXPANSION: f64 = 11.5e-6;
/// Expansion of aluminium alloys, 1/K, as the same cards have it.
pub const ALUMINIUM_EXPANSION: f64 = 23.0e-6;
/// Highest temperature for rolling bearings (as printed in bearing makers' mounting guides).
pub const BEARING_TEMPERATURE_MOST_DEGC: f64 = 120.0;

const INTERFERENCE: Bound = Bound { least: 0.0, most: 10.0, unit: "mm" };

/// Growth of a diameter, Δd = α·d·(T − T_0).
///
/// # Errors
/// A figure out of range.
pub fn growth_mm(
    diameter_mm: f64,
    expansion_per_k: f64,
    from_degc: f64,
    to_degc: f64,
) -> Result<f64, BadInput> {
    let diameter = bounds::DIAMETER.check("diameter_mm", diameter_mm)?;
    let alpha = bounds::EXPANSION.check("expansion_per_k", expansion_per_k)?;
    let from = bounds::TEMPERATURE.check("from_degc", from_degc)?;
    let to = bounds::TEMPERATURE.check("to_degc", to_degc)?;
    Ok(alpha * diameter * (to - from))
}

/// Temperature difference that opens or shrinks a diameter by interference and slip clearance:
/// ΔT = (interference + clearance)/(α·d).
///
/// # Errors
/// A figure out of range.
pub fn temperature_difference_k(
    diameter_mm: f64,
    interference_mm: f64,
    slip_clearance_mm: f64,
    expansion_per_k: f64,
) -> Result<f64, BadInput> {
    let diameter = bounds::DIAMETER.check("diameter_mm", diameter_mm)?;
    let interference = INTERFERENCE.check("interference_mm", interference_mm)?;
    let clearance = INTERFERENCE.check("slip_clearance_mm", slip_clearance_mm)?;
    let alpha = bounds::EXPANSION.check("expansion_per_k", expansion_per_k)?;
    Ok((interference + clearance) / (alpha * diameter))
}

/// How to fit a bearing or sleeve by heat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatingPlan {
    /// Temperature of the outer part.
    pub heat_to_degc: f64,
    /// What the shaft must be cooled to, where the outer part may not be heated enough.
    pub cool_shaft_to_degc: Option<f64>,
    /// True if even heating to the limit and cooling to −80 °C (dry ice; from memory) does not do.
    pub out_of_reach: bool,
}

/// Heating up to a limit, and cooling the shaft for the rest.
///
/// # Errors
/// A figure out of range, or a limit below the room's temperature.
pub fn heating_plan(
    diameter_mm: f64,
    interference_mm: f64,
    slip_clearance_mm: f64,
    expansion_per_k: [f64; 2],
    room_degc: f64,
    heat_limit_degc: f64,
) -> Result<HeatingPlan, BadInput> {
    /// As cold as dry ice in alcohol makes a shaft.
    const COLDEST_DEGC: f64 = -80.0;
    let room = bounds::TEMPERATURE.check("room_degc", room_degc)?;
    let limit = bounds::TEMPERATURE.check("heat_limit_degc", heat_limit_degc)?;
    if limit < room {
        return Err(BadInput::OutOfRange {
            field: "heat_limit_degc",
            value: limit,
            least: room,
            most: bounds::TEMPERATURE.most,
            unit: "degC",
        });
    }
    let full = temperature_difference_k(diameter_mm, interference_mm, slip_clearance_mm, expansion_per_k[0])?;
    if room + full <= limit {
        return Ok(HeatingPlan { heat_to_degc: room + full, cool_shaft_to_degc: None, out_of_reach: false });
    }
    let shaft_alpha = bounds::EXPANSION.check("shaft_expansion_per_k", expansion_per_k[1])?;
    let gained = growth_mm(diameter_mm, expansion_per_k[0], room, limit)?;
    let rest = (interference_mm + slip_clearance_mm - gained).max(0.0);
    let cold = room - rest / (shaft_alpha * diameter_mm);
    Ok(HeatingPlan {
        heat_to_degc: limit,
        cool_shaft_to_degc: Some(cold.max(-273.15)),
        out_of_reach: cold < COLDEST_DEGC,
    })
}

/// Change of an axial setting between housing and shaft of length L: Δ = (α_h − α_s)·L·ΔT. Positive loosens a setting
/// held between covers: an aluminium housing grows away from the bearings.
///
/// # Errors
/// A figure out of range.
pub fn setting_change_mm(
    housing_expansion_per_k: f64,
    shaft_expansion_per_k: f64,
    length_mm: f64,
    temperature_rise_k: f64,
) -> Result<f64, BadInput> {
    let housing = bounds::EXPANSION.check("housing_expansion_per_k", housing_expansion_per_k)?;
    let shaft = bounds::EXPANSION.check("shaft_expansion_per_k", shaft_expansion_per_k)?;
    let length = bounds::LENGTH.check("length_mm", length_mm)?;
    let rise =
        Bound { least: -300.0, most: 1000.0, unit: "K" }.check("temperature_rise_k", temperature_rise_k)?;
    Ok((housing - shaft) * length * rise)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_big_interference_needs_heat_and_cold() {
        let small = heating_plan(60.0, 0.03, 0.02, [12e-6; 2], 20.0, 120.0).unwrap();
        assert!((small.heat_to_degc - (20.0 + 0.05 / (12e-6 * 60.0))).abs() < 1e-9);
        assert_eq!(small.cool_shaft_to_degc, None);
        let big = heating_plan(60.0, 0.09, 0.02, [12e-6; 2], 20.0, 120.0).unwrap();
        assert_eq!(big.heat_to_degc, 120.0);
        assert!(big.cool_shaft_to_degc.unwrap() < -30.0 && !big.out_of_reach);
        assert!(heating_plan(60.0, 0.3, 0.02, [12e-6; 2], 20.0, 120.0).unwrap().out_of_reach);
    }

    #[test]
    fn an_aluminium_case_loosens_when_hot() {
        assert!(setting_change_mm(ALUMINIUM_EXPANSION, STEEL_EXPANSION, 300.0, 60.0).unwrap() > 0.2);
        assert!(setting_change_mm(f64::NAN, STEEL_EXPANSION, 300.0, 60.0).is_err());
    }
}
