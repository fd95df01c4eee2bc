//! All integration tests in one binary: each would link the whole of Typst.

mod bad_input;
mod cards;
mod circuit;
mod circuit_records;
mod decide;
mod decide_command;
mod demo;
mod drawn;
mod floors;
mod from_phones;
mod fuzz;
mod given_up;
mod hazards;
mod house;
mod inspected;
mod issuing;
mod joints;
mod json_schema;
mod killed;
mod kinds;
mod language;
mod leaning;
mod limits;
mod manual;
mod messages;
mod mutants;
mod new;
mod pack;
mod page_words;
mod points_table;
mod proofs;
mod properties;
mod published;
mod reading;
mod readings_table;
mod readme;
mod reasons;
mod receive;
mod record;
mod record_answers;
mod record_people;
mod record_verify;
mod remedies;
mod sarif;
mod scenarios;
mod schema;
mod schema_beside;
mod sheets;
mod support;
mod tamper;
mod vary;
mod vectors;
mod verified;

/// As the binary's.
#[cfg(not(target_env = "msvc"))]
#[global_allocator]
static MEMORY: tikv_jemallocator::Jemalloc = tikv_jemallocator::Jemalloc;
