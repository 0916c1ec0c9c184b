//! Commands that calculate: they need no catalogue, database or service.

mod axles;
mod bearing;
mod drag;
mod end_float;
mod fits;
mod gear;
mod gear_search;
mod grade;
mod growth;
mod heat;
mod life;
mod measured_gear;
mod mesh;
mod one_or_two;
mod pair;
mod pinion;
mod preload;
mod printed;
mod ratio_change;
mod ratios;
mod road;
mod seal;
mod shims;
mod side_bearings;
mod spline;
mod spline_capacity;
mod spline_fit;
mod spline_stress;
mod synchroniser;
mod thread;
mod thrust;
mod wear;

use clap::{Args, Subcommand};

use crate::failure::Failure;

/// How the answer of a calculation is printed.
#[derive(Debug, Clone, Args)]
pub struct PrintArguments {
    /// Print the answer as JSON.
    #[arg(long)]
    pub json: bool,
}

/// What can be calculated.
#[derive(Debug, Clone, Subcommand)]
pub enum CalculationCommand {
    /// Whether two gears run together at the centre distance of their case.
    ///
    /// Figures that are not known are left out; the answer says which of them would settle the rest. A figure is written once
    /// for both gears, or twice with a comma: --module 2.5 or --module 2.5,2.75.
    #[command(after_help = mesh::EXAMPLE, allow_negative_numbers = true)]
    Mesh(Box<mesh::MeshArguments>),
    /// Gears that fit a centre distance near a wanted ratio.
    #[command(after_help = gear_search::EXAMPLE, allow_negative_numbers = true)]
    GearSearch(gear_search::GearSearchArguments),
    /// What tooth system a gear measured on the bench has.
    #[command(after_help = measured_gear::EXAMPLE, allow_negative_numbers = true)]
    MeasuredGear(measured_gear::MeasuredGearArguments),
    /// Ratios and steps of a box from its tooth counts, before and after a change.
    #[command(after_help = ratios::EXAMPLE, allow_negative_numbers = true)]
    Ratios(ratios::RatiosArguments),
    /// What a changed ratio does to the engine speed at the same road speed.
    #[command(after_help = ratio_change::EXAMPLE, allow_negative_numbers = true)]
    RatioChange(ratio_change::RatioChangeArguments),
    /// Engine speed over road speed in each gear, before and after a change.
    #[command(after_help = road::EXAMPLE, allow_negative_numbers = true)]
    Road(road::RoadArguments),
    /// The steepest grade that a laden vehicle holds in each gear.
    #[command(after_help = grade::EXAMPLE, allow_negative_numbers = true)]
    Grade(Box<grade::GradeArguments>),
    /// Whether a changed axle ratio matches the other driven axle's.
    #[command(after_help = axles::EXAMPLE, allow_negative_numbers = true)]
    Axles(axles::AxlesArguments),
    /// Geometry of a splined shaft from its designation.
    #[command(after_help = spline::EXAMPLE, allow_negative_numbers = true)]
    Spline(spline::SplineArguments),
    /// Whether a splined hub goes on a shaft.
    #[command(after_help = spline_fit::EXAMPLE, allow_negative_numbers = true)]
    SplineFit(spline_fit::SplineFitArguments),
    /// What torque a spline carries, and its capacity against the one it replaces.
    #[command(after_help = spline_capacity::EXAMPLE, allow_negative_numbers = true)]
    SplineCapacity(spline_capacity::SplineCapacityArguments),
    /// A rolling bearing by its designation, and what differs from another.
    #[command(after_help = bearing::EXAMPLE, allow_negative_numbers = true)]
    Bearing(bearing::BearingArguments),
    /// Limits of a hole and a shaft by ISO 286, and the fit they make.
    #[command(after_help = fits::EXAMPLE, allow_negative_numbers = true)]
    Fits(fits::FitsArguments),
    /// Rating life of a rolling bearing by ISO 281.
    #[command(after_help = life::EXAMPLE, allow_negative_numbers = true)]
    Life(life::LifeArguments),
    /// How far to heat a bearing or sleeve, and to cool its shaft.
    #[command(after_help = heat::EXAMPLE, allow_negative_numbers = true)]
    Heat(heat::HeatArguments),
    /// A rotary shaft seal by its designation, against its seat.
    #[command(after_help = seal::EXAMPLE, allow_negative_numbers = true)]
    Seal(seal::SealArguments),
    /// A metric thread by its designation, and whether a nut goes on.
    #[command(after_help = thread::EXAMPLE, allow_negative_numbers = true)]
    Thread(thread::ThreadArguments),
    /// The shims from a box that come nearest to a wanted thickness.
    #[command(after_help = shims::EXAMPLE, allow_negative_numbers = true)]
    Shims(shims::ShimsArguments),
    /// The shim that gives a bearing preload or end float, from a trial build.
    #[command(after_help = preload::EXAMPLE, allow_negative_numbers = true)]
    Preload(preload::PreloadArguments),
    /// The rotating torque of preloaded bearings against its limits.
    #[command(after_help = drag::EXAMPLE, allow_negative_numbers = true)]
    Drag(drag::DragArguments),
    /// The shim behind a bevel pinion's head from the deviation etched on it.
    #[command(after_help = pinion::EXAMPLE, allow_negative_numbers = true)]
    Pinion(pinion::PinionArguments),
    /// Crown-wheel backlash and side-bearing preload by moving shims.
    #[command(after_help = side_bearings::EXAMPLE, allow_negative_numbers = true)]
    SideBearings(side_bearings::SideBearingsArguments),
    /// End float of a shaft against its limits.
    #[command(after_help = end_float::EXAMPLE, allow_negative_numbers = true)]
    EndFloat(end_float::EndFloatArguments),
    /// Circles, tooth thickness and sizes to measure of one gear.
    #[command(after_help = gear::EXAMPLE, allow_negative_numbers = true)]
    Gear(gear::GearArguments),
    /// The centre distance that profile shifts make, or the shifts that a centre distance asks for.
    #[command(after_help = pair::EXAMPLE, allow_negative_numbers = true)]
    Pair(pair::PairArguments),
    /// Shear and compression of a spline under a torque.
    #[command(after_help = spline_stress::EXAMPLE, allow_negative_numbers = true)]
    SplineStress(spline_stress::SplineStressArguments),
    /// Whether a sleeve engages a gear's dog teeth and a ring seats on its cone.
    #[command(after_help = synchroniser::EXAMPLE, allow_negative_numbers = true)]
    Synchroniser(synchroniser::SynchroniserArguments),
    /// What heat does to the clearance of a seat and to an axial setting.
    #[command(after_help = growth::EXAMPLE, allow_negative_numbers = true)]
    Growth(growth::GrowthArguments),
    /// Whether two thrust faces bear on each other and fill their space.
    #[command(after_help = thrust::EXAMPLE, allow_negative_numbers = true)]
    Thrust(thrust::ThrustArguments),
    /// A measured value against its wear limit.
    #[command(after_help = wear::EXAMPLE, allow_negative_numbers = true)]
    Wear(wear::WearArguments),
}

/// Calculates and prints.
pub(crate) fn calculate(command: &CalculationCommand) -> Result<(), Failure> {
    match command {
        CalculationCommand::Mesh(arguments) => mesh::run(arguments),
        CalculationCommand::GearSearch(arguments) => gear_search::run(arguments),
        CalculationCommand::MeasuredGear(arguments) => measured_gear::run(arguments),
        CalculationCommand::Ratios(arguments) => ratios::run(arguments),
        CalculationCommand::RatioChange(arguments) => ratio_change::run(arguments),
        CalculationCommand::Road(arguments) => road::run(arguments),
        CalculationCommand::Grade(arguments) => grade::run(arguments),
        CalculationCommand::Axles(arguments) => axles::run(arguments),
        CalculationCommand::Spline(arguments) => spline::run(arguments),
        CalculationCommand::SplineFit(arguments) => spline_fit::run(arguments),
        CalculationCommand::SplineCapacity(arguments) => spline_capacity::run(arguments),
        CalculationCommand::Bearing(arguments) => bearing::run(arguments),
        CalculationCommand::Fits(arguments) => fits::run(arguments),
        CalculationCommand::Life(arguments) => life::run(arguments),
        CalculationCommand::Heat(arguments) => heat::run(arguments),
        CalculationCommand::Seal(arguments) => seal::run(arguments),
        CalculationCommand::Thread(arguments) => thread::run(arguments),
        CalculationCommand::Shims(arguments) => shims::run(arguments),
        CalculationCommand::Preload(arguments) => preload::run(arguments),
        CalculationCommand::Drag(arguments) => drag::run(arguments),
        CalculationCommand::Pinion(arguments) => pinion::run(arguments),
        CalculationCommand::SideBearings(arguments) => side_bearings::run(arguments),
        CalculationCommand::EndFloat(arguments) => end_float::run(arguments),
        CalculationCommand::Gear(arguments) => gear::run(arguments),
        CalculationCommand::Pair(arguments) => pair::run(arguments),
        CalculationCommand::SplineStress(arguments) => spline_stress::run(arguments),
        CalculationCommand::Synchroniser(arguments) => synchroniser::run(arguments),
        CalculationCommand::Growth(arguments) => growth::run(arguments),
        CalculationCommand::Thrust(arguments) => thrust::run(arguments),
        CalculationCommand::Wear(arguments) => wear::run(arguments),
    }
}
