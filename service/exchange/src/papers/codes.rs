//! Answers and actions as codes.

codes! {
    /// What a supplier says of a whole order, by the codes of UN/EDIFACT data element 4343 (from memory).
    pub enum OrderAnswer wanted "AB acknowledged, AP accepted, CA accepted with changes, RE rejected" {
        /// The order has arrived; the answer comes later.
        Acknowledged = "AB",
        /// Accepted as it is.
        Accepted = "AP",
        /// Accepted with the changes that the lines tell.
        AcceptedWithChanges = "CA",
        /// Rejected.
        Rejected = "RE",
    }
}

codes! {
    /// What a supplier says of one line, by the codes of UN/EDIFACT data element 1229 (from memory).
    pub enum LineAnswer wanted "1 added, 3 changed, 5 accepted, 7 rejected, 42 delivered already" {
        /// The supplier added the line.
        Added = "1",
        /// Accepted with a changed quantity, day, price or part.
        Changed = "3",
        /// Accepted as it is.
        Accepted = "5",
        /// Rejected.
        Rejected = "7",
        /// Delivered already.
        Delivered = "42",
    }
}

codes! {
    /// What a catalogue, or one line of it, asks the receiver to do (words from memory; UBL prescribes none).
    pub enum CatalogueAction wanted "Add, Update or Delete" {
        /// Take it up.
        Add = "Add",
        /// Take it up, or change what is there.
        Update = "Update",
        /// Take it out.
        Delete = "Delete",
    }
}
