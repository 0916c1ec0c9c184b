//! Who sends and who receives.

paper! {
    /// A business that takes part; a code or a name says which.
    pub struct Party {
        /// Its code, as sender and receiver agreed on it.
        code: Option<String> = "cac:PartyIdentification/cbc:ID";
        /// Its name.
        name: Option<String> = "cac:PartyName/cbc:Name";
    }
}

paper! {
    /// Days from one to another, both included; one of them at least is given.
    pub struct Period {
        /// The first day; absent: open.
        from: Option<chrono::NaiveDate> = "cbc:StartDate";
        /// The last day; absent: open.
        to: Option<chrono::NaiveDate> = "cbc:EndDate";
    }
}
