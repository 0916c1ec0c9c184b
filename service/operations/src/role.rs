//! The roles that keys have.

catalogue::choice! {
    /// What somebody does in the shop, and so what their key opens.
    pub enum Role {
        /// Talks with customers: quotes, jobs, orders.
        Counter = "counter",
        /// Takes apart, measures and builds.
        Bench = "bench",
        /// Receives boxes, keeps the shelf, issues parts.
        Stores = "stores",
        /// Keeps the catalogue, prices and settings.
        DataKeeper = "data_keeper",
        /// The program that talks with suppliers for the shop.
        OrderingSystem = "ordering_system",
        /// May do everything, and alone makes and revokes keys.
        Owner = "owner",
    }
}

impl Role {
    /// All roles.
    pub const ALL: &'static [Self] =
        &[Self::Counter, Self::Bench, Self::Stores, Self::DataKeeper, Self::OrderingSystem, Self::Owner];

    /// The role in words for a sentence, to be read behind "the".
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Counter => "counter",
            Self::Bench => "bench",
            Self::Stores => "stores",
            Self::DataKeeper => "data keeper",
            Self::OrderingSystem => "ordering system",
            Self::Owner => "owner",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_roles_are_listed() {
        let words: Vec<&str> = Role::ALL.iter().map(|role| role.word()).collect();
        assert_eq!(words, Role::WORDS);
    }
}
