//! Finds in SQLite, photographs beside them by content hash.
