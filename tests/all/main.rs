//! All integration tests in one binary: each would link the whole of Typst.

mod cards;
mod demo;
mod drawn;
mod floors;
mod issuing;
mod json_schema;
mod kinds;
mod new;
mod pack;
mod proofs;
mod properties;
mod reading;
mod readme;
mod remedies;
mod sarif;
mod schema;
mod sheets;
mod support;
mod vary;
mod vectors;
