//! Calculations of driveline mechanics as the shop asks for them: a request with its fields, an answer that echoes it, and
//! between them the formulas of `mechanics`.
//!
//! Every answer is a [`CalculationSheet`]: inputs, result, figures with formula and standard, cautions and deferral. What
//! cannot be calculated with is refused by a [`CalculationFault`] that points at the field.

pub mod axle_match;
pub mod bearing_designation;
pub mod bearing_drag;
pub mod bearing_life;
pub mod bearing_preload;
pub mod end_float;
pub mod fault;
pub mod gear;
pub mod gear_geometry;
pub mod gear_pair;
pub mod gear_ratios;
pub mod gear_search;
pub mod gradeability;
pub mod heat_growth;
pub mod joint_verdict;
pub mod limits_and_fits;
pub mod measured_gear;
pub mod mesh;
pub mod pinion_depth;
pub mod ratio_change;
pub mod road_speed;
mod safety;
pub mod shaft_seal;
pub mod sheet;
pub mod shims;
pub mod shrink_fit;
pub mod side_bearings;
pub mod spline;
pub mod spline_capacity;
pub mod spline_fit;
pub mod spline_stress;
pub mod synchroniser;
pub mod thread;
pub mod thrust_faces;
pub mod wear;

pub use fault::{CalculationFault, WrongField};
pub use sheet::CalculationSheet;
