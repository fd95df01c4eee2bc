//! The work in order: stages, steps, controls, drawings; the [`Pack`] as one
//! value that is printed, attached to the PDF, and later verified against.

mod basis;
mod build;
mod draw;
mod fault;
mod front;
mod method;
mod pack;
mod sequence;
mod words;

pub use build::{PackRequest, build};
pub use draw::Shape;
pub use fault::ProcedureFault;
pub use pack::{Banner, Drawing, Pack, Run, Segment, Step};
pub use sequence::Procedures;
