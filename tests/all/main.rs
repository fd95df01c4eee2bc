//! All integration tests in one binary: each would link the whole of Typst.

mod bad_input;
mod cards;
mod demo;
mod drawn;
mod floors;
mod fuzz;
mod issuing;
mod json_schema;
mod kinds;
mod mutants;
mod new;
mod pack;
mod proofs;
mod properties;
mod reading;
mod readme;
mod receive;
mod record;
mod record_verify;
mod remedies;
mod sarif;
mod schema;
mod sheets;
mod support;
mod vary;
mod vectors;
