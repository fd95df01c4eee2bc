//! `cutback` checks, prints and later verifies job packs for medium-voltage
//! cable terminations and joints.

pub mod calc;
pub mod circuit;
pub mod cli;
pub mod facts;
pub mod finding;
pub mod house;
pub mod inspection;
pub mod issuing;
pub mod job;
pub mod language;
pub mod photos;
pub mod press;
pub mod procedure;
pub mod record;
pub mod remedies;
pub mod report;
pub mod rules;
pub mod source;
pub mod tables;
pub mod units;
