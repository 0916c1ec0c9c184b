//! One gear as the mesh test sees it: what is given, held against its bounds, and what is lacking.

use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};
use crate::feature::{GearTeeth, Hand};
use crate::gear::ToothSystem;
use crate::verdict::{Judgement, Missing, MissingReason, Side};

/// The given figures of one gear, checked; angles still in degrees.
#[derive(Debug, Clone, Copy)]
pub(crate) struct MeshGear {
    pub(crate) side: Side,
    pub(crate) tooth_count: u32,
    pub(crate) module: Option<f64>,
    pub(crate) pressure_deg: Option<f64>,
    pub(crate) helix_deg: Option<f64>,
    pub(crate) hand: Option<Hand>,
    pub(crate) shift: Option<f64>,
    pub(crate) tip: Option<f64>,
    pub(crate) root: Option<f64>,
    pub(crate) width: Option<f64>,
    pub(crate) allowance_upper: Option<f64>,
    pub(crate) allowance_lower: Option<f64>,
    pub(crate) uncertainty: f64,
}

impl MeshGear {
    /// Reads a gear; impossible figures are recorded and treated as not given. None if the tooth count is impossible.
    pub(crate) fn read(out: &mut Judgement, side: Side, gear: &GearTeeth) -> Option<Self> {
        if let Err(error) = bounds::TEETH.check("tooth_count", f64::from(gear.tooth_count)) {
            out.impossible(side, &error);
            return None;
        }
        let mut take = |bound: &Bound, field: &'static str, value: Option<f64>| {
            bound.check_known(field, value).unwrap_or_else(|error| {
                out.impossible(side, &error);
                None
            })
        };
        let mut read = Self {
            side,
            tooth_count: gear.tooth_count,
            module: take(&bounds::MODULE, "normal_module_mm", gear.normal_module_mm),
            pressure_deg: take(
                &bounds::PRESSURE_ANGLE,
                "normal_pressure_angle_deg",
                gear.normal_pressure_angle_deg,
            ),
            helix_deg: take(&bounds::HELIX_ANGLE, "helix_angle_deg", gear.helix_angle_deg),
            hand: gear.helix_hand,
            shift: take(&bounds::PROFILE_SHIFT, "profile_shift", gear.profile_shift),
            tip: take(&bounds::DIAMETER, "tip_diameter_mm", gear.tip_diameter_mm),
            root: take(&bounds::DIAMETER, "root_diameter_mm", gear.root_diameter_mm),
            width: take(&bounds::LENGTH, "face_width_mm", gear.face_width_mm),
            allowance_upper: take(
                &bounds::DEVIATION,
                "thickness_allowance_upper_mm",
                gear.thickness_allowance_upper_mm,
            ),
            allowance_lower: take(
                &bounds::DEVIATION,
                "thickness_allowance_lower_mm",
                gear.thickness_allowance_lower_mm,
            ),
            uncertainty: take(
                &bounds::UNCERTAINTY,
                "base_pitch_uncertainty_mm",
                gear.base_pitch_uncertainty_mm,
            )
            .unwrap_or(0.0),
        };
        read.settle_helix(out);
        read.settle_pairs_of_figures(out);
        Some(read)
    }

    /// "Spur" and a helix angle of nought say the same; spur with a helix angle cannot be.
    fn settle_helix(&mut self, out: &mut Judgement) {
        match (self.hand, self.helix_deg) {
            (Some(Hand::Spur), Some(angle)) if angle > 0.0 => {
                out.missing.push(Missing {
                    side: self.side,
                    figure: "helix_hand",
                    reason: MissingReason::Impossible { value: angle, least: 0.0, most: 0.0, unit: "deg" },
                });
                self.helix_deg = None;
                self.hand = None;
            }
            (Some(Hand::Spur), _) => self.helix_deg = Some(0.0),
            (_, Some(0.0)) => self.hand = Some(Hand::Spur),
            _ => {}
        }
    }

    /// Figures that are fine alone but not together.
    fn settle_pairs_of_figures(&mut self, out: &mut Judgement) {
        if let (Some(upper), Some(lower)) = (self.allowance_upper, self.allowance_lower)
            && lower > upper
        {
            out.impossible(self.side, &out_of("thickness_allowance_lower_mm", lower, -10.0, upper));
            self.allowance_lower = None;
        }
        if let (Some(tip), Some(root)) = (self.tip, self.root)
            && root >= tip
        {
            out.impossible(self.side, &out_of("root_diameter_mm", root, 0.0, tip));
            self.root = None;
        }
    }

    /// The tooth system, if module, pressure angle and helix are all known.
    #[inline]
    pub(crate) fn system(&self) -> Option<ToothSystem> {
        Some(ToothSystem::of_checked(self.module?, self.pressure_deg?, self.helix_deg?))
    }

    /// Same three figures of the tooth system, bit for bit: the usual case, which saves computing it twice.
    #[inline]
    pub(crate) fn same_system_figures(&self, other: &Self) -> bool {
        self.module == other.module
            && self.pressure_deg == other.pressure_deg
            && self.helix_deg == other.helix_deg
    }

    /// Records what a full verdict lacks of this gear.
    pub(crate) fn note_lacks(&self, out: &mut Judgement) {
        let needed = [
            ("normal_module_mm", self.module.is_none()),
            ("normal_pressure_angle_deg", self.pressure_deg.is_none()),
            ("helix_angle_deg", self.helix_deg.is_none()),
            ("helix_hand", self.hand.is_none() && self.helix_deg.is_none_or(|angle| angle > 0.0)),
            ("profile_shift", self.shift.is_none()),
        ];
        for (figure, lacking) in needed {
            if lacking && !out.missing.iter().any(|known| known.side == self.side && known.figure == figure) {
                out.lacks(self.side, figure);
            }
        }
    }
}

pub(crate) fn out_of(field: &'static str, value: f64, least: f64, most: f64) -> BadInput {
    BadInput::OutOfRange { field, value, least, most, unit: "mm" }
}
