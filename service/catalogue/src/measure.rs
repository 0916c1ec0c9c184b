//! Units of measure by their UN/ECE Recommendation 20 codes.

choice! {
    /// The unit in which a part is counted or a bench value is read (UN/ECE Rec 20 common code).
    pub enum UnitOfMeasure {
        /// Piece.
        Piece = "H87",
        /// Set.
        Set = "SET",
        /// Kit.
        Kit = "KT",
        /// Pair.
        Pair = "PR",
        /// Litre.
        Litre = "LTR",
        /// Millilitre.
        Millilitre = "MLT",
        /// Kilogram.
        Kilogram = "KGM",
        /// Gram.
        Gram = "GRM",
        /// Metre.
        Metre = "MTR",
        /// Millimetre.
        Millimetre = "MMT",
        /// Newton metre.
        NewtonMetre = "NU",
        /// Degree of angle.
        Degree = "DD",
        /// Degree Celsius.
        Celsius = "CEL",
    }
}

impl UnitOfMeasure {
    /// The sign a person reads beside a figure.
    pub fn sign(self) -> &'static str {
        match self {
            Self::Piece => "pc",
            Self::Set => "set",
            Self::Kit => "kit",
            Self::Pair => "pair",
            Self::Litre => "l",
            Self::Millilitre => "ml",
            Self::Kilogram => "kg",
            Self::Gram => "g",
            Self::Metre => "m",
            Self::Millimetre => "mm",
            Self::NewtonMetre => "N·m",
            Self::Degree => "°",
            Self::Celsius => "°C",
        }
    }
}
