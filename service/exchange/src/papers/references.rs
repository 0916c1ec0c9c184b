//! How papers and their lines refer to each other.

paper! {
    /// An order that a paper speaks of.
    pub struct OrderReference {
        /// The buyer's number of the order.
        number: String = "cbc:ID";
        /// The seller's number of it.
        sales_order: Option<String> = "cbc:SalesOrderID";
    }
}

paper! {
    /// Another paper that stands behind this one.
    pub struct DocumentReference {
        /// Its number.
        number: String = "cbc:ID";
        /// What sort of paper it is, such as `job`.
        kind: Option<String> = "cbc:DocumentType";
    }
}

paper! {
    /// A line of an order.
    pub struct OrderLineReference {
        /// The number of the line.
        line: String = "cbc:LineID";
        /// The number of the order; absent: the one order the paper speaks of.
        order: Option<String> = "cac:OrderReference/cbc:ID";
    }
}

paper! {
    /// A line of a despatch advice.
    pub struct DespatchLineReference {
        /// The number of the line.
        line: String = "cbc:LineID";
        /// The number of the despatch advice; absent: the one the paper speaks of.
        despatch: Option<String> = "cac:DocumentReference/cbc:ID";
    }
}
