//! Papers as text: CSV in and out. Knows no database.
