//! Settings of the shop.

use crate::key::Code;

sheet! {
    /// A setting of the shop. BASE-CURRENCY, LABOUR-RATE (an hour, base currency), TAX (code of the usual tax),
    /// QUOTE-VALID-DAYS, KIT-DISPLAY (one_line or spread), SURPLUS (charged or shelved), TOP-GEAR-GRADE-PERCENT (the grade that
    /// a laden vehicle should hold in its top gear).
    pub struct Setting in "settings", Price, key(setting) {
        /// Name of the setting.
        setting: Code,
        /// Its value.
        value: String,
    }
}
