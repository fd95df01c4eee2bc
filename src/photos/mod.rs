//! What comes off the phones: finds the label card in each picture, files a copy
//! under its card, and says what is still missing.

mod card;

pub use card::{Card, CardOf};
