//! Vehicles and the units they carry.

use chrono::NaiveDate;

use crate::key::{Code, UnitKey};

choice! {
    /// What a unit does in a vehicle.
    pub enum VehicleRole {
        /// Main gearbox.
        Gearbox = "gearbox",
        /// Drop box behind the gearbox.
        DropBox = "drop_box",
        /// Front axle.
        FrontAxle = "front_axle",
        /// Rear axle.
        RearAxle = "rear_axle",
        /// Drive of the winch.
        WinchDrive = "winch_drive",
    }
}

sheet! {
    /// A vehicle model.
    pub struct Vehicle in "vehicles", Structure, key(vehicle) {
        /// Short code of the model.
        vehicle: Code,
        /// Who makes it.
        maker: Code,
        /// Name of the model.
        name: String,
        /// First day of its build span; empty: open.
        built_from: Option<NaiveDate>,
        /// Last day of its build span; empty: open.
        built_to: Option<NaiveDate>,
        /// Tyre designation, ISO metric size such as 265/70R16.
        tyre: Option<String>,
        /// Laden mass in kilograms.
        laden_mass_kg: Option<f64> [positive],
        /// Rolling resistance coefficient.
        rolling_resistance: Option<f64> [share],
        /// Drag coefficient times frontal area in square metres.
        drag_area_m2: Option<f64> [not_negative],
        /// By how many per cent the ratios of the two driven axles may differ.
        axle_ratio_tolerance_percent: Option<f64> [not_negative],
    }
    references { (maker) => makers(maker) }
}

sheet! {
    /// One point of a vehicle's engine torque curve at full load.
    pub struct EnginePoint in "engine_points", Structure, key(vehicle, speed_rpm) {
        /// The vehicle.
        vehicle: Code,
        /// Engine speed in revolutions per minute.
        speed_rpm: i64 [positive],
        /// Torque in newton metres.
        torque_nm: f64 [not_negative],
    }
    references { (vehicle) => vehicles(vehicle) }
}

sheet! {
    /// A unit that a vehicle carries.
    pub struct VehicleUnit in "vehicle_units", Structure, key(vehicle, unit, role) {
        /// The vehicle.
        vehicle: Code,
        /// The unit.
        unit: UnitKey,
        /// What it does in the vehicle.
        role: VehicleRole,
        /// Whether it drives wheels (both axles of an all-wheel drive: their ratios are tied).
        driven: bool,
    }
    references { (vehicle) => vehicles(vehicle), (unit) => units(unit) }
}
