//! The store from inside: what cannot be seen through its doors, and what is done to its file behind its back.

mod append_tests;
mod backup_tests;
mod law_tests;
mod made_tests;
mod open_tests;
mod status_tests;
mod verify_tests;
