//! The owner's own layer: rules, grades, cautions, points and wording of a house,
//! read from a folder and laid over what is built in. It can make any rule
//! stricter by itself; what it makes milder names who takes that on, and prints
//! on every front sheet.

mod change;
mod folder;
mod schema;

pub use folder::{House, HouseError};
pub use schema::HouseFile;
