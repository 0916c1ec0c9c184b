//! What the shop asks for, one file a thing.
