//! The changes of the database, in order.
