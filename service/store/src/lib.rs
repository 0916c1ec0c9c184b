//! Tables and queries behind one code path for SQLite and PostgreSQL.
