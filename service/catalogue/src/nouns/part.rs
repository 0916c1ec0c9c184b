//! Parts.

use crate::gtin::Gtin;
use crate::key::{Code, PartKey};
use crate::measure::UnitOfMeasure;
use crate::money::Money;
use crate::nouns::position::Renewal;

choice! {
    /// What sort of thing a part is.
    pub enum PartKind {
        /// Carries load for the life of the unit: gears, shafts, housings. Changing one that could be kept is a further change.
        Hard = "hard",
        /// Wears and is looked at: bearings, synchro rings, thrust plates.
        Wear = "wear",
        /// Is used up: seals, gaskets, fluids.
        Consumable = "consumable",
        /// One number for several pieces that go together.
        Set = "set",
        /// Sold as a list of other parts.
        Kit = "kit",
    }
}

choice! {
    /// The family of a part, as far as a rule of the trade asks for it.
    pub enum PartClass {
        /// Toothed wheel, or shaft and wheel in one piece.
        Gear = "gear",
        /// Shaft.
        Shaft = "shaft",
        /// Housing, cover, carrier.
        Housing = "housing",
        /// Rolling or plain bearing.
        Bearing = "bearing",
        /// Rotary shaft seal.
        Seal = "seal",
        /// Flat gasket.
        Gasket = "gasket",
        /// O-ring.
        ORing = "o_ring",
        /// Lock plate or tab washer.
        LockPlate = "lock_plate",
        /// Nut.
        Nut = "nut",
        /// Bolt, stud, screw.
        Bolt = "bolt",
        /// Snap ring or circlip.
        SnapRing = "snap_ring",
        /// Synchro ring.
        SynchroRing = "synchro_ring",
        /// Hub or sliding sleeve.
        Hub = "hub",
        /// Spacer, solid or crush.
        Spacer = "spacer",
        /// Shim or shim pack.
        Shim = "shim",
        /// Thrust washer or plate.
        ThrustWasher = "thrust_washer",
        /// Flange or yoke.
        Flange = "flange",
        /// Fork, rail or lever of the change.
        Fork = "fork",
        /// Spring, detent ball, plunger.
        Spring = "spring",
        /// Oil, grease.
        Fluid = "fluid",
        /// Sealing compound, thread lock.
        Sealant = "sealant",
        /// Anything else.
        Other = "other",
    }
}

impl PartClass {
    /// Whether parts of this class are used once unless the data say otherwise (common practice, no source).
    pub fn single_use_by_custom(self) -> bool {
        matches!(self, Self::Seal | Self::Gasket | Self::ORing | Self::LockPlate)
    }
}

sheet! {
    /// A part with a maker and a part number.
    pub struct Part in "parts", Structure, key(part) {
        /// Its key: maker and normalised number.
        part: PartKey = part_of_number,
        /// Who makes it.
        maker: Code,
        /// The number as the maker writes it.
        number: String,
        /// What it is called.
        name: String,
        /// What sort of thing it is.
        kind: PartKind,
        /// Its family.
        class: PartClass,
        /// The group that price rules speak of.
        price_group: Code,
        /// The unit it is counted in (UN/ECE Rec 20).
        measure: UnitOfMeasure,
        /// Its own renewal rule, which goes before the position's; empty: the position's rule holds.
        renewal: Option<Renewal>,
        /// Its GTIN.
        gtin: Option<Gtin>,
        /// Mass in kilograms.
        mass_kg: Option<f64> [positive],
        /// What a surplus piece is worth to the shop, in the base currency; empty: nothing.
        surplus_credit: Option<Money> [not_negative],
        /// Whether it is no longer made or catalogued; kept because papers use it.
        retired: bool,
    }
    references { (maker) => makers(maker) }
}
