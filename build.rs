//! Tells cargo that a new migration is a change: the macro that embeds them is not re-run otherwise.

fn main() {
    println!("cargo:rerun-if-changed=migrations");
}
