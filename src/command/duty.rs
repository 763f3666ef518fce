//! `due`, `done`, `duty`.
